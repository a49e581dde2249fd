"""What a case says of one fact, as written: its text, and where told the date it was found and who said so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from advisor.errors import BadCase, Fault, nearest
from advisor.model.entry import UNKNOWN
from advisor.model.quantities import read_quantity
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from explanations.wording import wording
from explanations.words import visible

LONGEST_NAME = 80  # characters of who said so
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
        allowed = wording("facts.form_of_text", form=wording("facts.form"))
        raise BadCase([Fault(where, wording("facts.given_as.list", name=name), allowed)])
    faults = [
        Fault(
            where,
            wording("facts.no_part", name=name, part=key),
            ", ".join(ENTRIES),
            nearest(str(key), ENTRIES),
        )
        for key in entry
        if key not in ENTRIES
    ]
    faults += [
        Fault(where, wording("facts.part_no_text", name=name, part=key), wording("facts.form"))
        for key, value in entry.items()
        if key in ENTRIES and not (value is None or isinstance(value, str))
    ]
    if faults:
        raise BadCase(faults)
    if "is" not in entry:
        raise BadCase([Fault(where, wording("facts.no_is", name=name), wording("facts.form"))])
    by = " ".join((entry.get("by") or "").split())
    return Statement(entry["is"] or UNKNOWN, read_date(name, entry.get("on"), where, today), read_name(name, by, where))


def read_name(name: str, by: str, where: str) -> str:
    """Who found a fact.

    Raises:
        BadCase: the name is too long, or holds what cannot be shown.
    """
    if len(by) > LONGEST_NAME:
        allowed = wording("facts.characters", most=LONGEST_NAME)
        raise BadCase([Fault(where, wording("facts.by_long", name=name), allowed)])
    if odd := odd_character(by):
        what = wording("facts.by_odd", name=name, character=odd)
        raise BadCase([Fault(where, what, wording("facts.plain_name"))])
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
    allowed = wording("facts.date")
    try:
        found = date.fromisoformat(text.strip())
    except ValueError:
        raise BadCase([Fault(where, wording("facts.no_date", name=name, given=text[:40]), allowed)]) from None
    if found > today:
        what = wording("facts.date_ahead", name=name, date=found, today=today)
        raise BadCase([Fault(where, what, allowed, wording("facts.check_year"))])
    return found


class Aged(NamedTuple):
    """A test that no longer counts: how old it is and for how long such a one counts, both in days."""

    age: int
    counts_for: float


def out_of_date(kind: FactKind, found: date | None, today: date) -> Aged | None:
    """How far a test is past its time; None where it still counts, or where nobody said when it was done."""
    if kind.valid is None or found is None:
        return None
    days = read_quantity(kind.valid.given, "day", Interval(0.0, 1e5)).high
    age = (today - found).days
    return Aged(age, days) if age > days else None
