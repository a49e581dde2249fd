"""Random floors drawn from the vocabulary: complete or full of holes, with ranges, and at the limits; one by hand."""

from __future__ import annotations

from collections import Counter
from random import Random

from advisor.facts.complaints import told_by_complaints
from advisor.facts.implied import with_implied
from advisor.model.conditions import Comparison
from advisor.model.contradictions import contradicted
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern, Program, unbound
from advisor.model.quantities import UNITS, keep
from advisor.model.remembered import OncePerBase
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval

CALM = 2 / 3  # of the floors
FEW = 15  # rules that ask for a fact; what more of them ask for makes a floor what it is
FLOOR_A = {
    # V24, worked by hand: saturated ground at 13 C, the room 21 C and 50 %, 4 in of concrete of 3.2 perm-in (0.8 perm)
    "ground_temperature": "13 C",
    "ground_humidity": "100 %",
    "air_temperature": "21 C",
    "air_humidity": "50 %",
    "slab_thickness": "4 in",
    "slab_permeability": "3.2 perm-in",
}


def random_case(
    base: RuleBase, rng: Random, known: float | None = None, bounds: dict[str, list[float]] | None = None
) -> dict[str, Value]:
    """The stated facts of one random floor, free of contradictions.

    Two in three are calm: nothing is drawn that only calls a professional, for of the others nearly all do, and what
    comes after such a call would hardly be tried.

    Args:
        base: for the vocabulary.
        rng: the source of chance.
        known: the share of facts that are stated; drawn for each floor if not given.
        bounds: by fact the values to prefer, so that limits are hit exactly (see `limits_of`).
    """
    share = rng.choice([0.1, 0.5, 0.9, 1.0]) if known is None else known
    alarms = _ALARMS(base) if rng.random() < CALM else {}
    while True:
        drawn = {
            name: _value(kind, rng, (bounds or {}).get(name, []))
            for name, kind in base.facts.items()
            if kind.ask and kind.of == "floor" and rng.random() < share
        }
        facts = {
            name: value for name, value in drawn.items() if not any(each.holds(value) for each in alarms.get(name, ()))
        }
        as_read = with_implied(base, told_by_complaints(base, facts, facts), facts)
        if not contradicted(base, as_read):
            return facts
        share *= 0.95  # full floors may be hard to draw without a contradiction


def _alarms(base: RuleBase) -> dict[str, list[Pattern]]:
    """By fact what the rules that call a professional first ask of it, where few other rules ask for the fact."""
    asking = Counter(name for rule in base.rules.values() for name in rule.when)
    calling = [rule for rule in base.rules.values() if any(base.referrals[each].stop for each in rule.then.refer)]
    found: dict[str, list[Pattern]] = {}
    for rule in calling:  # which grows: of a finding, the rules that conclude it
        for name, texts in rule.when.items():
            if name in base.findings:
                calling += [each for each in base.rules.values() if name in each.then.finding and each not in calling]
            elif asking[name] <= FEW and (pattern := pattern_on(base, name, texts, None)):
                found.setdefault(name, []).append(pattern)
    return found


_ALARMS = OncePerBase(_alarms)


def _value(kind: FactKind, rng: Random, limits: list[float]) -> Value:
    if kind.type != "number":
        return choice(rng.choice(kind.choices))
    low = high = _number(kind, rng, limits)
    if rng.random() < 0.2:
        low, high = sorted((low, _number(kind, rng, limits)))
    return number(Interval(low, high), kind.unit)


def _number(kind: FactKind, rng: Random, limits: list[float]) -> float:
    span = kind.plausible
    if limits and rng.random() < 0.5:
        drawn = rng.choice(limits) + rng.choice([0.0, 0.0, 1e-6, -1e-6, 1.0, -1.0])
    elif rng.random() < 0.5:
        drawn = rng.uniform(span.low, span.high)
    else:
        drawn = span.low + (span.high - span.low) * rng.random() ** 6  # most ranges matter near their low end
    drawn = min(max(drawn, span.low), span.high)
    return float(round(drawn)) if UNITS[kind.unit].whole else keep(drawn)


def limits_of(program: Program) -> dict[str, list[float]]:
    """By fact the bounds that the program compares it with."""
    found: dict[str, set[float]] = {}
    for rule in program.rules:
        for pattern in rule.patterns:
            for comparison in pattern.comparisons:
                assert isinstance(comparison, Comparison)
                found.setdefault(unbound(pattern.fact)[0], set()).add(comparison.bound)
    return {name: sorted(bounds) for name, bounds in found.items()}
