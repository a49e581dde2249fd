"""Faults in what people gave us, worded so that they can be mended."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from explanations.wording import listed, wording
from explanations.words import visible

MOST_TOLD = 100  # faults in a message: somebody who names the wrong folder need not read them all
SHORTEST_WORD, MOST_NAMED = 4, 24  # a word that may stand for the names it is part of, and how many of those


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: where, what was found, what is allowed, and what to do.

    `plain` says what was found to somebody who was asked in words, without the name of the fact.
    """

    where: str
    what: str
    allowed: str = ""
    remedy: str = ""
    plain: str = ""

    def __str__(self) -> str:
        lines = [wording("errors.at", where=self.where, what=self.what)]
        if self.allowed:
            lines.append(f"  {wording('errors.allowed', what=self.allowed)}")
        if self.remedy:
            lines.append(f"  {self.remedy}")
        return "\n".join(visible(line) for each in lines for line in each.split("\n"))


class AdvisorError(Exception):
    """Something a person can mend; carries every fault found, not only the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        told = [str(fault) for fault in self.faults[:MOST_TOLD]]
        more = len(self.faults) - len(told)
        super().__init__("\n".join([*told, wording("errors.more", n=more)] if more else told))

    def __reduce__(self) -> tuple[type[AdvisorError], tuple[tuple[Fault, ...]]]:  # a worker's faults reach its master
        return type(self), (self.faults,)


class BadFile(AdvisorError):
    """A file cannot be read as what it should be."""


class BadCase(AdvisorError):
    """A case states something that cannot be."""


class BadRequest(AdvisorError):
    """A verb was asked for something that does not exist."""


class BadRuleBase(AdvisorError):
    """The rule base is malformed."""


def refusal(quantity: str, value: float, low: float, high: float, unit: str) -> str:
    """What a formula of the physics does not hold for, from the `args` of its `OutsideValidity`.

    >>> refusal("relative_humidity", 120.0, 0.0, 100.0, "%")
    'relative humidity is 120 %; allowed is 0 to 100 %'
    """
    given, most = (f"{each:g} {unit}".rstrip() for each in (value, high))
    named = wording(f"physics.quantity.{quantity}")
    return wording("physics.outside", quantity=named, value=given, low=f"{low:g}", high=most)


def nearest(name: str, known: Iterable[str]) -> str:
    """The hint `Did you mean "X"?`: the names that hold the word, else the one spelled alike; empty if none does."""
    names = list(known)
    holding = [each for each in names if name in each] if len(name) >= SHORTEST_WORD else []
    if len(holding) > MOST_NAMED:
        holding = []
    return did_you_mean(holding or get_close_matches(name, names, n=1, cutoff=0.6))


def did_you_mean(names: Sequence[str]) -> str:
    """The question which of these names was meant; empty if there are none.

    >>> did_you_mean(["oil", "wax", "paint"])
    'Did you mean "oil", "wax" or "paint"?'
    """
    quoted = [f'"{each}"' for each in names]
    return wording("errors.did_you_mean", names=listed(quoted, "or")) if quoted else ""
