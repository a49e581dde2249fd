"""What a case says of one fact, as written: its text, and where told the date it was found and who said so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from advisor.errors import BadCase, Fault, nearest
from advisor.model.knowledge import UNKNOWN, FactKind
from advisor.model.quantities import read_quantity, show_number
from advisor.physics.bounds import Interval
from explanations.words import visible

LONGEST_NAME = 80  # characters of who said so
FORM = "`slab_thickness: 4 in`, or `slab_humidity: {is: 88 %, on: 2026-11-02, by: testing firm}`"
ENTRIES = ("is", "on", "by")


@dataclass(frozen=True)
class Statement:
    """A fact as somebody stated it."""

    text: str
    on: date | None = None
    by: str = ""

    @property
    def source(self) -> str:
        """When and by whom, as `2026-11-02, testing firm`; empty if neither is told."""
        return ", ".join(each for each in (self.on.isoformat() if self.on else "", self.by) if each)


def read_statement(name: str, entry: object, where: str, today: date) -> Statement:
    """Read one entry under `facts:`.

    Raises:
        BadCase: it is neither a text nor `is`, `on` and `by`, or its date is none or lies ahead.
    """
    if entry is None or isinstance(entry, str):
        return Statement(entry or UNKNOWN)
    if not isinstance(entry, Mapping):
        raise BadCase([Fault(where, f"{name} is given as a list", f"one text, as in {FORM}")])
    faults = [
        Fault(where, f'{name}: I do not know the entry "{key}"', ", ".join(ENTRIES), nearest(str(key), ENTRIES))
        for key in entry
        if key not in ENTRIES
    ]
    faults += [
        Fault(where, f'{name}: "{key}" is not a text', f"as in {FORM}")
        for key, value in entry.items()
        if key in ENTRIES and not (value is None or isinstance(value, str))
    ]
    if faults:
        raise BadCase(faults)
    if "is" not in entry:
        raise BadCase([Fault(where, f'{name} has no "is"', f"as in {FORM}")])
    by = " ".join((entry.get("by") or "").split())
    return Statement(entry["is"] or UNKNOWN, read_date(name, entry.get("on"), where, today), read_name(name, by, where))


def read_name(name: str, by: str, where: str) -> str:
    """Who found a fact.

    Raises:
        BadCase: the name is too long, or holds what cannot be shown.
    """
    if len(by) > LONGEST_NAME:
        raise BadCase([Fault(where, f'{name}: "by" is too long', f"at most {LONGEST_NAME} characters")])
    if odd := odd_character(by):
        what = f'{name}: "by" holds a character that cannot be shown ({odd})'
        raise BadCase([Fault(where, what, "a name in plain text")])
    return by


def odd_character(text: str) -> str:
    """The first character that a terminal or a page would obey instead of show, as `U+001B`; empty if there is none."""
    odd = next((each for each in text if each not in "\n\t" and visible(each) != each), "")
    return f"U+{ord(odd):04X}" if odd else ""


def read_date(name: str, text: str | None, where: str, today: date) -> date | None:
    """The date on which a fact was found.

    Raises:
        BadCase: it is not a date, or lies ahead.
    """
    if not text:
        return None
    allowed = "a date as year-month-day, 2026-11-02"
    try:
        found = date.fromisoformat(text.strip())
    except ValueError:
        raise BadCase([Fault(where, f'{name} is dated "{text[:40]}", which is not a date', allowed)]) from None
    if found > today:
        raise BadCase(
            [Fault(where, f"{name} is dated {found}, which lies ahead of {today}", allowed, "Check the year.")]
        )
    return found


def out_of_date(kind: FactKind, found: date | None, today: date) -> str:
    """Why a test no longer counts; nothing where it does, or where nobody said when it was done."""
    if kind.valid is None or found is None:
        return ""
    days = read_quantity(kind.valid.given, "day", Interval(0.0, 1e5)).high
    age = (today - found).days
    if age <= days:
        return ""
    return f"found on {found}, {age} days ago, and such a result counts for {show_number(days)} days"
