"""Lines that people type, for the verbs that ask questions: reading them, and being told to stop while they wait."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from types import FrameType

import typer

from advisor.cli.streams import refuse_closed
from advisor.errors import BadRequest, Fault
from explanations.wording import wording
from explanations.words import visible

STOPS = [getattr(signal, name) for name in ("SIGHUP", "SIGTERM") if hasattr(signal, name)]

HANG_UP = 1  # the number of SIGHUP, also where there is no such signal


def line_reader() -> Callable[[], str | None]:
    """A function that asks for the next line; it gives None at the end.

    Raises:
        BadRequest: the input is closed.
        OSError: the output is.
    """
    if sys.stdin is None:
        raise BadRequest([Fault("input", wording("cli.closed"), remedy=wording("cli.answer_at"))])
    refuse_closed()  # nobody is asked what nobody can see
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")  # an odd byte is a bad answer, not the end

    at_terminal = sys.stdin.isatty()

    def read() -> str | None:
        typer.echo("> ", nl=False)
        try:
            line = sys.stdin.readline()
            gone = not line and at_terminal and not sys.stdin.isatty()
        except OSError:
            gone = True
        if gone:  # the terminal, which may come without the signal; at Ctrl-D it is still there
            raise KeyboardInterrupt(HANG_UP)
        if not (line and at_terminal):
            typer.echo(visible(line.rstrip("\n")))
        return line if line else None

    return read


@contextmanager
def stops_interrupt() -> Iterator[None]:
    """Within it a hang-up or a request to end does what Ctrl-C does, so that what was answered is saved."""

    def interrupt(number: int, _: FrameType | None) -> None:
        raise KeyboardInterrupt(number)

    before = {each: signal.signal(each, interrupt) for each in STOPS}
    try:
        yield
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


def exit_code(stop: KeyboardInterrupt) -> int:
    """The exit code after Ctrl-C, a hang-up or a request to end: 128 and the signal's number."""
    return 128 + int(stop.args[0] if stop.args else signal.SIGINT)
