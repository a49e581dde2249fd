"""The command line: `advisor VERB ...`."""

from __future__ import annotations

import gc
import sys

from advisor.commands import advice, explaining, interview, many, plan, rules, teaching, vocabulary, worksheets  # noqa: F401  (importing registers the verbs)
from advisor.commands.app import app
from advisor.errors import AdvisorError
from advisor.physics.validity import OutsideValidity
from explanations.errors import CannotExplain


def main() -> None:
    """Run the command line: exit 0 with an answer (whatever it is), 2 on bad input, without a traceback."""
    gc.set_threshold(200_000, 50, 50)  # a short-lived process that makes many objects and few cycles
    try:
        app()
    except (AdvisorError, OutsideValidity, CannotExplain) as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our pipe has seen enough
        sys.exit(0)


if __name__ == "__main__":
    main()
