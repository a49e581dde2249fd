"""What is printed where the terminal or file cannot hold a character: something that reads the same."""

from __future__ import annotations

import codecs
import sys
from io import TextIOWrapper

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


def plain_streams() -> None:
    """Make stdout and stderr fall back to plain characters."""
    codecs.register_error("plainly", plainly)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="plainly")


def plainly(error: UnicodeError) -> tuple[str, int]:
    """What stands for the characters that cannot be encoded, and where to go on.

    >>> codecs.register_error("plainly", plainly)
    >>> "440 ft² at 29 °C, ≥ 5\\ud800".encode("ascii", "plainly")
    b'440 ft2 at 29 deg C, >= 5?'
    """
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(PLAIN.get(each, "?") for each in error.object[error.start : error.end]), error.end
