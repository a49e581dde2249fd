"""A run of the command line: how it is interrupted, what it tells of errors, and what it ends with."""

from __future__ import annotations

import _thread
import atexit
import errno
import gc
import os
import signal
import sys
import threading
from contextlib import suppress

TYPE_CHECKING = False  # as in `advisor`
if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType
    from typing import NoReturn

# What a run ends with: 0 an answer, whatever it is; 1 a claim that `audit` refuted; 2 bad input, or something that
# cannot be read or written; 130 interrupted; 141, as shells tell of SIGPIPE, nobody reads our pipe any more.
BAD_INPUT, INTERRUPTED, READER_GONE = 2, 130, 141
AT_ONCE = 0.01  # seconds


def main() -> None:
    """Run the command line, and end the process."""
    try:
        run_command()
    except SystemExit as ended:
        if ended.code or threading.active_count() > 1:
            raise
    _leave()


def _leave() -> None:
    """End with 0, without taking every object apart first: that would cost a quarter of a short run."""
    atexit._run_exitfuncs()
    with suppress(OSError, ValueError):  # what could not be written was told before
        print(end="", file=sys.stdout, flush=True)
        print(end="", file=sys.stderr, flush=True)
    os._exit(0)


def run_command() -> None:
    """Run the command line; bad input is told in a sentence, without a traceback.

    An interrupt is an error of ours only once the verb is imported: before, there is nothing to put in order.
    """
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # we have none; to look costs 20 ms of CPU
    gc.set_threshold(1_000_000, 50, 50)  # a short-lived process that makes many objects and few cycles
    from advisor.cli.modules import application

    verb = application(*sys.argv[1:2])
    interrupts: list[int] = []

    def interrupt(number: int, _: FrameType | None) -> NoReturn:
        interrupts.append(number)
        raise KeyboardInterrupt

    def once_more(dropped: sys.UnraisableHookArgs) -> None:
        """Python drops what is raised while an object is let go of, as z3 does all the time: interrupt once more."""
        if interrupts:
            threading.Timer(AT_ONCE, _thread.interrupt_main).start()
        else:
            told_before(dropped)

    before, told_before = signal.getsignal(signal.SIGINT), sys.unraisablehook
    sys.unraisablehook = once_more
    if before in (signal.SIG_DFL, signal.default_int_handler):
        signal.signal(signal.SIGINT, interrupt)
    try:
        _run(verb)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        _drop_the_rest()
        sys.exit(READER_GONE)
    except OSError as error:
        from explanations.wording import wording

        where, why = error.filename or wording("cli.output"), error.strerror
        closed = error.errno == errno.EBADF and not error.filename
        _tell(wording("cli.nowhere") if closed else wording("cli.unreadable", file=where, why=why))
        _drop_the_rest()
        sys.exit(BAD_INPUT)
    except Exception:
        if interrupts:  # what came while a class was made may be told as an error of another kind
            sys.exit(INTERRUPTED)
        raise
    finally:
        sys.unraisablehook = told_before
        if signal.getsignal(signal.SIGINT) is interrupt:
            signal.signal(signal.SIGINT, before)


def _run(verb: Callable[[], object]) -> None:
    from advisor.cli.streams import ready_streams
    from advisor.errors import AdvisorError, refusal
    from advisor.physics.validity import OutsideValidity
    from explanations.errors import CannotExplain

    ready_streams()
    out = sys.stdout
    try:
        verb()
    except SystemExit as ended:
        if sys.stdout is out:
            raise
        raise BrokenPipeError from ended  # typer put something in its place: nobody reads our pipe any more
    except (AdvisorError, CannotExplain) as error:
        _tell(error)
        sys.exit(BAD_INPUT)
    except OutsideValidity as error:
        _tell(refusal(*error.args))
        sys.exit(BAD_INPUT)
    finally:
        print(end="", flush=True)  # now, so that what it meets is told above


def _drop_the_rest() -> None:
    """What is left to print has nowhere to go."""
    for stream in (sys.stdout, sys.stderr):
        if stream:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _tell(what: object) -> None:
    """Say on stderr what went wrong; where it takes no more, the exit code says it alone."""
    try:
        print(what, file=sys.stderr, flush=True)
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stderr.fileno())
