"""The standard streams made ready: a closed one refuses; what one cannot hold is printed as something like it."""

from __future__ import annotations

import codecs
import os
import sys
from contextlib import suppress
from io import TextIOWrapper, UnsupportedOperation

PLAIN = {
    "²": "2",
    "³": "3",
    "°": "deg ",
    "µ": "u",
    "×": "x",
    "≤": "<=",
    "≥": ">=",
    "–": "-",
    "—": "-",
    "…": "...",
    "’": "'",
    "‘": "'",
    "“": '"',
    "”": '"',
}


def ready_streams() -> None:
    """Make stdout and stderr fall back to plain characters; what is printed to a closed stdout is an `OSError`."""
    _fill_the_closed()
    codecs.register_error("plainly", plainly)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="plainly")


def refuse_closed() -> None:
    """Meet at once what a printed line would meet.

    Raises:
        OSError: stdout is closed.
    """
    with suppress(UnsupportedOperation):  # no stream of the system's
        os.write(sys.stdout.fileno(), b"")


def _fill_the_closed() -> None:
    """Put something in the place of closed streams, or the next file opened would take it and get what is printed.

    What takes the place of stdout can only be read, so that no answer is lost in silence.
    """
    for number, name, mode in ((0, "stdin", os.O_RDONLY), (1, "stdout", os.O_RDONLY), (2, "stderr", os.O_WRONLY)):
        if getattr(sys, name) is None and _is_closed(number):
            os.dup2(os.open(os.devnull, mode), number)
            if number:
                setattr(sys, name, os.fdopen(number, "w", encoding="utf-8", closefd=False))


def _is_closed(number: int) -> bool:
    try:
        os.fstat(number)
    except OSError:
        return True
    return False


def plainly(error: UnicodeError) -> tuple[str, int]:
    """What stands for the characters that cannot be encoded, and where to go on.

    >>> codecs.register_error("plainly", plainly)
    >>> "440 ft² at 29 °C, ≥ 5\\ud800".encode("ascii", "plainly")
    b'440 ft2 at 29 deg C, >= 5?'
    """
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(PLAIN.get(each, "?") for each in error.object[error.start : error.end]), error.end
