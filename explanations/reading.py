"""Whose units and money figures are written in, while `measuring` lasts; else in both where they differ.

Texts give figures twice where countries differ, as `10 ft (3 m)`; a reader is shown the one that is theirs.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal, NamedTuple

System = Literal["us", "si"]


class Reading(NamedTuple):
    """A reader's units and currency, and what one of it is taken for in US dollars."""

    system: System
    currency: str = "USD"
    worth: float = 1.0


_SIGNS: dict[System, str] = {
    "us": "lb/1000 ft2/24 h|lb/1000 ft²/24 h|USD/ft²|ft2/gal|ft²/gal|ft2|ft²|sq ft|ft3|ft³|ft|in|inches|mil|"
    "lb/gal|lb|gal|oz|°F|F|psi|perm|pCi/L|"
    # as people type them
    'lb/1000 ft2/24h|lb/1000 ft²/24h|inch|"|feet|sf|cu ft|cf|PSI|mils',
    "si": "g/m2/day|g/m²/24 h|USD/m²|m2/L|m²/L|m2|m²|m3|m³|mm|cm|km|m|µm|"
    "kg/L|kg/m²|kg|L|mL|°C|C|MPa|ng/(Pa s m²)|Bq/m³",
}
_EITHER = "|".join(sorted(map(re.escape, "|".join(_SIGNS.values()).split("|")), key=len, reverse=True))
_SYSTEM_OF = {sign: system for system, signs in _SIGNS.items() for sign in signs.split("|")}
_FIGURE = r"\d[\d.,/]*(?: \d/\d+)?(?:(?: to | by | and | x )\d[\d.,/]*)?"
_TWICE = re.compile(rf"(?P<one>{_FIGURE} (?P<unit>{_EITHER})) \((?P<other>{_FIGURE} (?P<also>{_EITHER}))\)")
_ONE = re.compile(rf"(?<!\w)\d[\d.,/]* ?-?(?P<unit>{_EITHER})(?![\w/²³])")

_reading: ContextVar[Reading | None] = ContextVar("reading", default=None)


def reading() -> Reading | None:
    """The reader for whom figures are written now; None where nobody said."""
    return _reading.get()


@contextmanager
def measuring(reader: Reading | None) -> Iterator[None]:
    """Write figures for a reader while this lasts, in this thread or task only; who was named first stays."""
    token = None if _reading.get() else _reading.set(reader)
    try:
        yield
    finally:
        if token:
            _reading.reset(token)


def write_for(reader: Reading | None) -> None:
    """Write figures for a reader from here on, in this thread or task only."""
    _reading.set(reader)


def theirs(text: str) -> str:
    """The text with each figure that stands there in two systems in the reader's alone.

    >>> with measuring(Reading("us")):
    ...     theirs("under a 10 ft (3 m) board at 20 °C (68 °F)")
    'under a 10 ft board at 68 °F'
    """
    reader = _reading.get()
    if reader is None or "(" not in text:
        return text

    def chosen(match: re.Match[str]) -> str:
        systems = [_SYSTEM_OF[match[name]] for name in ("unit", "also")]
        if systems[0] == systems[1]:
            return match[0]
        return match["one"] if systems[0] == reader.system else match["other"]

    return _TWICE.sub(chosen, text)


def system_of(texts: Iterable[str]) -> System | None:
    """The system of the units that texts are written in; None where they name none, or as many of the other.

    >>> system_of(["68F", "50 %", "4-inch"])
    'us'
    >>> [system_of([each]) for each in ("4-inch", "400 sf", "300 PSI", "20 cu ft", "3 lb/1000 ft²/24h", "20 m2")]
    ['us', 'us', 'us', 'us', 'us', 'si']
    """
    named = [_SYSTEM_OF[each["unit"]] for text in texts for each in _ONE.finditer(text)]
    american = named.count("us") * 2 - len(named)
    return "us" if american > 0 else "si" if american < 0 else None


def in_other_units(text: str) -> bool:
    """Whether a text names a unit that is not the reader's.

    >>> with measuring(Reading("us")):
    ...     in_other_units("4 in"), in_other_units("10 cm")
    (False, True)
    """
    reader = _reading.get()
    return reader is not None and any(_SYSTEM_OF[each["unit"]] != reader.system for each in _ONE.finditer(text))
