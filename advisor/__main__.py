"""The command line: `advisor VERB ...`."""

from __future__ import annotations

import gc
import os
import sys

from advisor.cli import advice, explaining, interview, many, plan, rules, teaching, vocabulary, worksheets  # noqa: F401  (importing registers the verbs)
from advisor.cli.app import app
from advisor.errors import AdvisorError
from advisor.physics.validity import OutsideValidity
from explanations.errors import CannotExplain


def main() -> None:
    """Run the command line: exit 0 with an answer (whatever it is), 2 on bad input, without a traceback."""
    gc.set_threshold(200_000, 50, 50)  # a short-lived process that makes many objects and few cycles
    try:
        try:
            app()
        finally:
            print(end="", flush=True)  # now, so that what it meets is told below
    except (AdvisorError, OutsideValidity, CannotExplain) as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our pipe has seen enough
        sys.exit(0)
    except OSError as error:
        print(f"{error.filename or 'The output'} cannot be read or written ({error.strerror}).", file=sys.stderr)
        if sys.stdout:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what is left to print has nowhere to go
        sys.exit(2)


if __name__ == "__main__":
    main()
