"""What is usual before anybody has asked: how likely each value of a fact is, and what finding out costs.

The values of a number are stretches between cuts (the limits that rules compare it with, and the bands of its prior),
and the limits themselves, each with one representative: within a stretch no rule tells two values apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from math import ceil, floor

from advisor.errors import Fault, nearest
from advisor.facts.complaints import beside_the_point
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import UNITS, NotAQuantity, keep, read_quantity, show
from advisor.model.remembered import OncePerBase
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import Effort, FactKind
from advisor.physics.bounds import Interval
from explanations.wording import label, wording

_read_band = lru_cache(maxsize=4096)(read_quantity)  # every floor reads the same ones
USUAL_EFFORT = "look"  # of a fact without an entry


@dataclass(frozen=True)
class Outcome:
    """One value that an open fact may turn out to have, the whole stretch it stands for, and its share."""

    value: Value
    stretch: str
    shares: tuple[float, ...]  # of all outcomes of the fact, by each table of its prior; 0: possible, not expected

    @property
    def share(self) -> float:
        """Its share where nothing else is known."""
        return self.shares[0]


def effort(base: RuleBase, fact: str) -> Effort:
    """What finding a fact out costs."""
    prior = base.priors.get(fact)
    named = base.efforts.get(prior.effort if prior else USUAL_EFFORT)
    return named or Effort(cost=1.0, means=wording("facts.prior.plain_question"))


def has_its_turn(base: RuleBase, fact: str, memory: Mapping[str, Value]) -> bool:
    """Whether a fact may be asked for: what it comes after is known, nothing that tells more, and some complaint wants
    it."""
    if beside_the_point(base, fact, memory):
        return False
    prior = base.priors.get(fact)
    if prior is None:
        return True
    ready = not prior.after or any(memory[each].known for each in prior.after)
    return ready and not any(memory[each].known for each in prior.unless)


def outcomes(base: RuleBase, fact: str, value: Value, limits: Iterable[float]) -> list[Outcome]:
    """All outcomes of a fact: with a range given, only those within it; their shares add up to one.

    Args:
        base: for the fact's kind and prior.
        fact: its name.
        value: what is known of it so far.
        limits: the numbers that rules compare it with.
    """
    kind, tables = base.facts[fact], _tables(base, fact)
    if kind.type != "number":
        possible = [(choice(each), label("value", each)) for each in kind.choices]
        weights = [[table.get(each, 0.0) if table else 1.0 for each in kind.choices] for table in tables]
    else:
        assert value.interval is not None
        bands = [_bands(kind, table) for table in tables]
        edges = {end for table in bands for band, _ in table for end in (band.low, band.high)}
        stretches = list(_stretches(kind, value.interval, sorted(set(limits)), edges))
        possible = [(each, stretch) for each, stretch, _ in stretches]
        weights = [[_weight(expected, table) for _, _, expected in stretches] for table in bands]
    shares = zip(*map(_scaled, weights), strict=True)
    return [Outcome(each, stretch, own) for (each, stretch), own in zip(possible, shares, strict=True)]


def chances_of(base: RuleBase, fact: str, value: Value) -> list[float]:
    """How often a known value is met, by each table of the fact's prior; of a single figure, how dense it lies."""
    kind, found = base.facts[fact], []
    for table in _tables(base, fact):
        total = sum(table.values()) or 1.0
        if value.interval is None:
            found.append(table.get(value.choice, 0.0) / total)
            continue
        low, high = value.interval.low, value.interval.high
        bands = _bands(kind, table)
        if low < high:
            met = sum(share * _overlap(band, low, high) for band, share in bands)
        else:
            met = sum(share / (band.high - band.low) for band, share in bands if band.low <= low < band.high)
        found.append(met / total)
    return found


def how_likely(base: RuleBase, fact: str, value: Value, memory: Mapping[str, Value]) -> float:
    """The share of the choice, or of the band that a number begins in, by the table that surely holds; 1: no prior.

    Args:
        base: for the fact's prior.
        fact: its name.
        value: what it may turn out to be.
        memory: what is known of the floor, by which the table is chosen.
    """
    prior = base.priors.get(fact)
    if prior is None:
        return 1.0
    holding = (each.likely for each in prior.where if _surely(base, each.when, memory))
    table = next(holding, prior.likely)
    total = sum(table.values())
    if value.interval is None:
        return table.get(value.choice, 0.0) / total
    low = value.interval.low
    return sum(share for band, share in _bands(base.facts[fact], table) if band.low <= low <= band.high) / total


def _surely(base: RuleBase, when: Mapping[str, tuple[str, ...]], memory: Mapping[str, Value]) -> bool:
    patterns = (pattern_on(base, name, texts, None) for name, texts in when.items())
    return all(pattern is not None and pattern.holds(memory[pattern.fact]) for pattern in patterns)


def _tables(base: RuleBase, fact: str) -> list[Mapping[str, float]]:
    """The shares of a fact's values: as usual, then where the prior says that they are others."""
    prior = base.priors.get(fact)
    return [prior.likely, *(each.likely for each in prior.where)] if prior else [{}]


def _bands(kind: FactKind, table: Mapping[str, float]) -> list[tuple[Interval, float]]:
    return [(_read_band(band, kind.unit, kind.plausible), share) for band, share in table.items()]


def _scaled(weights: list[float]) -> list[float]:
    """Shares that add up to one; where nothing that is expected is left, all that is possible counts alike."""
    total = sum(weights)
    return [each / total for each in weights] if total > 0 else [1 / len(weights)] * len(weights)


def _stretches(
    kind: FactKind, span: Interval, limits: list[float], edges: set[float]
) -> Iterator[tuple[Value, str, Interval | None]]:
    """Every limit in the span, which is never expected, and every stretch between cuts, with what it covers."""
    inner = sorted(cut for cut in edges.union(limits) if span.low < cut < span.high)
    for limit in limits:
        if span.low <= limit <= span.high:
            exactly = wording("facts.prior.exactly", value=show(Interval(limit, limit), kind.unit))
            yield number(Interval(limit, limit), kind.unit), exactly, None
    if span.low == span.high:
        if span.low not in limits:
            yield number(span, kind.unit), show(span, kind.unit), span
        return
    for low, high in pairwise([span.low, *inner, span.high]):
        middle, covered = _middle(kind, low, high, limits), Interval(low, high)
        if middle is not None:
            yield number(Interval(middle, middle), kind.unit), show(covered, kind.unit), covered


def _middle(kind: FactKind, low: float, high: float, limits: list[float]) -> float | None:
    """A value that stands for a stretch between cuts; None where a fact without fractions has no other than limits."""
    if not UNITS[kind.unit].whole:
        return keep((low + high) / 2)
    inside = range(floor(low) + 1, ceil(high))
    ends = (end for end in (low, high) if end % 1 == 0 and end not in limits)
    return float(inside[len(inside) // 2]) if inside else next(ends, None)


def _weight(expected: Interval | None, bands: list[tuple[Interval, float]]) -> float:
    """How often a stretch is met: its part of each band; alike for every stretch where no band is known."""
    if expected is None:
        return 0.0
    return sum(share * _overlap(band, expected.low, expected.high) for band, share in bands) if bands else 1.0


def _overlap(band: Interval, low: float, high: float) -> float:
    """The part of a band that lies in a stretch."""
    common = max(0.0, min(band.high, high) - max(band.low, low))
    return common / (band.high - band.low) if band.high > band.low else float(low <= band.low <= high)


def check_priors(base: RuleBase, where: Callable[..., str]) -> Iterator[Fault]:
    """What is wrong with the efforts and priors of a rule base."""
    if base.priors and USUAL_EFFORT not in base.efforts:
        what = wording("facts.prior.no_effort", name=USUAL_EFFORT)
        yield Fault("efforts", what, remedy=wording("facts.prior.usual_effort"))
    for name, prior in base.priors.items():
        at = where("priors", name)
        kind = base.facts.get(name)
        if kind is None:
            yield Fault(at, wording("facts.no_fact", name=name), remedy=nearest(name, base.facts))
            continue
        if prior.effort not in base.efforts:
            what = wording("facts.prior.effort_of", fact=name, name=prior.effort)
            yield Fault(at, what, ", ".join(base.efforts))
        for each in (*prior.after, *prior.unless):
            if each not in base.facts:
                what = wording("facts.prior.fact_of", fact=name, name=each)
                yield Fault(at, what, remedy=nearest(each, base.facts))
        for other in prior.where:
            yield from _check_depends(base, name, other.when, at)
        for likely in (prior.likely, *(other.likely for other in prior.where)):
            yield from _check_shares(kind, name, likely, at)
    try:
        drawing_order(base)
    except CycleError as error:
        what = wording("facts.prior.waits", facts=", ".join(error.args[1]))
        yield Fault("priors", what, remedy=wording("facts.prior.see_where"))


def _check_depends(base: RuleBase, name: str, when: Iterable[str], at: str) -> Iterator[Fault]:
    for each in when:
        if each in base.findings or (each in base.facts and not base.facts[each].ask):
            what = wording("facts.prior.worked_out", fact=name, name=each)
            yield Fault(at, what, wording("facts.prior.given_facts"))


def _check_shares(kind: FactKind, name: str, likely: Mapping[str, float], at: str) -> Iterator[Fault]:
    if sum(likely.values()) <= 0:
        yield Fault(at, wording("facts.prior.nothing_likely", fact=name), wording("facts.prior.one_share"))
    for value in likely:
        if kind.type != "number":
            if value not in kind.choices:
                what = wording("facts.prior.no_value", fact=name, value=value)
                yield Fault(at, what, ", ".join(kind.choices))
            continue
        try:
            read_quantity(value, kind.unit, kind.plausible)
        except NotAQuantity as error:
            what = wording("facts.prior.band", fact=name, band=value, why=error)
            yield Fault(at, what, show(kind.plausible, kind.unit))


@OncePerBase
def drawing_order(base: RuleBase) -> Sequence[str]:
    """The facts with a prior, each after those that its shares hang on.

    Raises:
        CycleError: some wait for each other.
    """
    graph = {name: {fact for each in prior.where for fact in each.when} for name, prior in base.priors.items()}
    return tuple(TopologicalSorter(graph).static_order())
