"""Sentences: the reason of a rule with a case's own numbers, and small pieces of grammar."""

from __future__ import annotations

import re
from collections.abc import Mapping
from textwrap import TextWrapper

from explanations.reading import theirs

WIDTH = 79  # columns of a page of text

_BLANK = re.compile(r"\{([^{}]+)\}")
# What a terminal or a page obeys instead of showing: controls, marks of direction, line separators, half characters,
# and tags, which nobody sees.
_OBEYED = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff"
    "\U000e0000-\U000e007f]"
)

_END = re.compile(r"(?<=[.!?])\s+(?=[^\W\d_])")


def fill(template: str, blanks: Mapping[str, str]) -> str:
    """Put values into a reason's blanks, and mend its ends: one capital, one stop, single spaces.

    Raises:
        KeyError: a blank has no value.

    >>> fill("the slab holds {rh}, over {limit}.", {"rh": "88 %", "limit": "75 %"})
    'The slab holds 88 %, over 75 %.'
    """
    text = _BLANK.sub(lambda match: _capital(template, match.start(), blanks[match[1]]), template)
    return sentence(text)


def _capital(template: str, place: int, value: str) -> str:
    """The value with a capital where it begins a sentence."""
    begins = template[:place].rstrip().endswith((".", "!", "?"))
    return value[:1].upper() + value[1:] if begins else value


def blanks_in(template: str) -> list[str]:
    """The names of a reason's blanks.

    >>> blanks_in("{a} lies over {b}")
    ['a', 'b']
    """
    return _BLANK.findall(template)


def sentence(text: str) -> str:
    """One sentence: capital at its start, a stop at its end, no doubled spaces or stops.

    >>> sentence("water is coming in")
    'Water is coming in.'
    """
    text = theirs(" ".join(text.split()))
    text = re.sub(r"\.{2,}", ".", text)
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."


def wrapped(text: str, lead: str = "", hang: str | None = None, width: int = WIDTH) -> str:
    """Text within a page's width: its first line behind `lead`, the others behind `hang` (blanks as long as `lead`).

    >>> wrapped("one two three", "- ", width=8)
    '- one\\n  two\\n  three'
    """
    after = " " * len(lead) if hang is None else hang
    return TextWrapper(width, lead, after, break_long_words=False, break_on_hyphens=False).fill(theirs(text))


def visible(text: str) -> str:
    """The text with each character that would be obeyed instead of shown written as its number.

    >>> visible("red \\x1b[31m")
    'red \\\\u001b[31m'
    """
    return _OBEYED.sub(lambda match: _number(ord(match[0])), text)


def in_short(text: str, most: int = 60) -> str:
    """A text to quote in a message: cut where it is long.

    >>> in_short("a garage"), in_short("9" * 5000, 5)
    ('a garage', '99999...')
    """
    return text if len(text) <= most else f"{text[:most]}..."


def visible_lines(text: str) -> str:
    """The same of several lines: line breaks and tabs stand.

    >>> visible_lines("red \\x1b[31m\\n\\tand on")
    'red \\\\u001b[31m\\n\\tand on'
    """
    return _OBEYED.sub(lambda match: match[0] if match[0] in "\n\t" else _number(ord(match[0])), text)


def _number(code: int) -> str:
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def obeyed(text: str) -> str:
    """The first character that would be obeyed instead of shown, as its number; line breaks and tabs may stand.

    >>> obeyed("red \\x1b[31m"), obeyed("two\\nlines")
    ('U+001B', '')
    """
    found = _OBEYED.search(text.translate({ord("\n"): " ", ord("\t"): " "}))
    return f"U+{ord(found[0]):04X}" if found else ""


def first_sentence(text: str) -> str:
    """The first sentence of a reason, without its stop.

    >>> first_sentence("The slab is 3 days old. In its first week it needs water.")
    'The slab is 3 days old'
    """
    end = next((each for each in _END.finditer(text) if text[each.end()].isupper()), None)
    return text[: end.start() if end else None].rstrip(".!?")


def inside(text: str) -> str:
    """The first sentence of a reason, as it reads inside another.

    >>> inside("The slab is 3 days old. In its first week it needs water.")
    'the slab is 3 days old'
    >>> inside("pH 12 was measured.")
    'pH 12 was measured'
    """
    first = first_sentence(text)
    proper = first[1:2].isupper() or first.startswith("I ")
    return first if proper else first[:1].lower() + first[1:]
