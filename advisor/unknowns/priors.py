"""What is usual before anybody has asked: how likely each value of a fact is, and what finding out costs.

The values of a number are stretches between cuts (the limits that rules compare it with, and the bands of its prior),
and the limits themselves, each with one representative: within a stretch no rule tells two values apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from advisor.errors import Fault, nearest
from advisor.facts.quantities import NotAQuantity, keep, read_quantity, show
from advisor.facts.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.rulebase.knowledge import Effort, FactKind, Prior, RuleBase

USUAL_EFFORT = "look"  # of a fact without an entry
PLAIN_QUESTION = Effort(cost=1.0, means="a plain question")  # where a rule base names no efforts


@dataclass(frozen=True)
class Outcome:
    """One value that an open fact may turn out to have, the whole stretch it stands for, and its share."""

    value: Value
    stretch: str
    share: float  # of all outcomes of the fact; 0 where it is possible but not expected


def effort(base: RuleBase, fact: str) -> Effort:
    """What finding a fact out costs."""
    prior = base.priors.get(fact)
    return base.efforts.get(prior.effort if prior else USUAL_EFFORT, PLAIN_QUESTION)


def has_its_turn(base: RuleBase, fact: str, memory: Mapping[str, Value]) -> bool:
    """Whether a fact may be asked for: what it comes after is known, and nothing that tells more."""
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
    kind, prior = base.facts[fact], base.priors.get(fact)
    if kind.type != "number":
        likely = prior.likely if prior else dict.fromkeys(kind.choices, 1.0)
        weighted = [(choice(each), each.replace("_", " "), likely.get(each, 0.0)) for each in kind.choices]
    else:
        assert value.interval is not None
        weighted = list(_stretches(kind, value.interval, sorted(set(limits)), _bands(kind, prior)))
    total = sum(weight for _, _, weight in weighted)
    if total <= 0:  # nothing that is expected is left: all that is possible counts alike
        return [Outcome(value, stretch, 1 / len(weighted)) for value, stretch, _ in weighted]
    return [Outcome(value, stretch, weight / total) for value, stretch, weight in weighted]


def _bands(kind: FactKind, prior: Prior | None) -> list[tuple[Interval, float]]:
    likely = prior.likely if prior else {}
    return [(read_quantity(band, kind.unit, kind.plausible), share) for band, share in likely.items()]


def _stretches(
    kind: FactKind, span: Interval, limits: list[float], bands: list[tuple[Interval, float]]
) -> Iterator[tuple[Value, str, float]]:
    """Every limit in the span, and every stretch between cuts, with the share of the bands that falls on it."""
    edges = {end for band, _ in bands for end in (band.low, band.high)}
    inner = sorted(cut for cut in edges.union(limits) if span.low < cut < span.high)
    for limit in limits:
        if span.low <= limit <= span.high:
            yield number(Interval(limit, limit), kind.unit), f"exactly {show(Interval(limit, limit), kind.unit)}", 0.0
    if span.low == span.high:
        if span.low not in limits:
            yield number(span, kind.unit), show(span, kind.unit), 1.0
        return
    for low, high in pairwise([span.low, *inner, span.high]):
        middle = keep((low + high) / 2)
        yield (
            number(Interval(middle, middle), kind.unit),
            show(Interval(low, high), kind.unit),
            sum(share * _overlap(band, low, high) for band, share in bands) if bands else 1.0,
        )


def _overlap(band: Interval, low: float, high: float) -> float:
    """The part of a band that lies in a stretch."""
    common = max(0.0, min(band.high, high) - max(band.low, low))
    return common / (band.high - band.low) if band.high > band.low else float(low <= band.low <= high)


def check_priors(base: RuleBase, where: Callable[..., str]) -> Iterator[Fault]:
    """What is wrong with the efforts and priors of a rule base."""
    if base.priors and USUAL_EFFORT not in base.efforts:
        yield Fault("efforts", f'there is no effort "{USUAL_EFFORT}"', remedy="Facts without a prior have it.")
    for name, prior in base.priors.items():
        at = where("priors", name)
        kind = base.facts.get(name)
        if kind is None:
            yield Fault(at, f'I do not know the fact "{name}"', remedy=nearest(name, base.facts))
            continue
        if prior.effort not in base.efforts:
            yield Fault(at, f'{name}: there is no effort "{prior.effort}"', ", ".join(base.efforts))
        for each in (*prior.after, *prior.unless):
            if each not in base.facts:
                yield Fault(at, f'{name}: I do not know the fact "{each}"', remedy=nearest(each, base.facts))
        if sum(prior.likely.values()) <= 0:
            yield Fault(at, f"{name}: no value is likely", "at least one share above 0")
        for value in prior.likely:
            if kind.type != "number":
                if value not in kind.choices:
                    yield Fault(at, f'{name}: "{value}" is not one of its values', ", ".join(kind.choices))
                continue
            try:
                read_quantity(value, kind.unit, kind.plausible)
            except NotAQuantity as error:
                yield Fault(at, f'{name}: the band "{value}": {error}', show(kind.plausible, kind.unit))
