"""A fact in working memory: the set of values it can have, where it came from, and how it reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.model.entry import UNKNOWN
from advisor.model.quantities import in_own_unit, show, show_both, show_sum, write
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from explanations.reading import in_other_units, reading
from explanations.wording import label

Origin = Literal["given", "assumed", "computed", "unknown"]


@dataclass(frozen=True)
class Value:
    """What is known of one fact. A number is an interval; a choice is one value or `unknown`.

    A number that is unknown still has an interval: the vocabulary's plausible range, or for a computed fact the
    bounds that follow from the inputs' ranges.
    """

    origin: Origin
    known: bool
    said: str = ""  # in the words of who stated it; a choice's label
    interval: Interval | None = None
    choice: str = ""
    note: str = ""  # for an assumed value its source, for a computed one its formula
    inputs: tuple[str, ...] = ()
    rate: str = ""  # of money told in another currency, or worked out from such: what it was taken for
    unit: str = ""  # of a number: the vocabulary's

    @property
    def shown(self) -> str:
        """How it reads: as it was said, but in the reader's units and money."""
        if self.interval is None or not self.unit or (self.said and not self._foreign()):
            return in_own_unit(self.said, self.unit)
        if self.origin == "computed" and self.unit == "usd":
            shown = show_sum(self.interval)
        elif self.origin == "computed":  # what is worked out is not known more closely
            shown = show_both(self.interval, self.unit, digits=3)
        else:
            shown = show(self.interval, self.unit)
        return f"{shown} ({self.rate})" if self.rate else shown

    @property
    def typed(self) -> str:
        """How one types it: as it was said, else in the vocabulary's unit."""
        if self.choice or self.interval is None or not self.unit or self.said:
            return self.choice or self.said
        return write(self.interval, self.unit)

    def _foreign(self) -> bool:
        reader = reading()
        if reader is None or self.rate:  # money of another currency is told as it was said, with what it is taken for
            return False
        money = self.unit in ("usd", "usd_m2") and reader.currency != "USD"
        return money or in_other_units(self.said)


def unknown(kind: FactKind) -> Value:
    """The value of a fact that nobody stated."""
    said = label("value", UNKNOWN)
    if kind.type == "number":
        return Value("unknown", False, said, interval=kind.plausible)
    return Value("unknown", False, said, choice=UNKNOWN)


def number(interval: Interval, unit: str, origin: Origin = "given", said: str = "", **rest: object) -> Value:
    """A known number; `said` is the wording to repeat, else it is written in the reader's unit."""
    return Value(origin, True, said, interval=interval, unit=unit, **rest)  # type: ignore[arg-type]


def choice(value: str, origin: Origin = "given", note: str = "") -> Value:
    """A known choice."""
    return Value(origin, True, label("value", value), choice=value, note=note)
