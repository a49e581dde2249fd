"""A fact in working memory: the set of values it can have, where it came from, and how it reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.model.knowledge import UNKNOWN, FactKind
from advisor.model.quantities import show
from advisor.physics.bounds import Interval
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
    shown: str
    interval: Interval | None = None
    choice: str = ""
    note: str = ""  # for an assumed value its source, for a computed one its formula
    inputs: tuple[str, ...] = ()
    rate: str = ""  # of money told in another currency, or worked out from such: what it was taken for


def unknown(kind: FactKind) -> Value:
    """The value of a fact that nobody stated."""
    said = label("value", UNKNOWN)
    if kind.type == "number":
        return Value("unknown", False, said, interval=kind.plausible)
    return Value("unknown", False, said, choice=UNKNOWN)


def number(interval: Interval, unit: str, origin: Origin = "given", shown: str = "", **rest: object) -> Value:
    """A known number; `shown` is the wording to repeat, else it is written in the vocabulary's unit."""
    return Value(origin, True, shown or show(interval, unit), interval=interval, **rest)  # type: ignore[arg-type]


def choice(value: str, origin: Origin = "given", note: str = "") -> Value:
    """A known choice."""
    return Value(origin, True, label("value", value), choice=value, note=note)
