"""What a floor may turn out to be: the open facts of a case, their outcomes, and floors drawn from the priors.

A fact is open if it is unknown or given as a range; what is assumed is held as assumed. Facts are drawn one by one
as the priors say, each after the facts that its shares hang on. Floors that contradict themselves are left out, and
so is a fact that has no meaning on a floor (the permeance of a sheet that is not there).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from random import Random

from advisor.answer.bit_columns import Bits
from advisor.answer.judging import Floors, Judge
from advisor.facts.likelihoods import Outcome, chances_of, drawing_order, outcomes
from advisor.model.contradictions import asked
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.remembered import OncePerBase
from advisor.model.values import Value, unknown
from advisor.model.vocabulary import Contradiction
from explanations.reading import Reading, reading

FINENESS = 12  # binary digits of a share when floors are drawn


def open_facts(judge: Judge, memory: Mapping[str, Value]) -> dict[str, list[Outcome]]:
    """The facts that a person can still be asked for, with their outcomes; those that no rule asks for left out."""
    base, found = judge.base, {}
    for name in judge.asked_for:
        value = memory[name]
        if value.known and (value.interval is None or value.interval.low == value.interval.high):
            continue
        if value.origin in ("assumed", "computed") or (value.origin == "unknown" and not base.facts[name].ask):
            continue
        possible = _possible(judge, name, value)
        if len(possible) > 1:
            found[name] = possible
    return found


Possible = dict[tuple[str, Value, Reading | None], list[Outcome]]
_of_unknown: OncePerBase[Possible] = OncePerBase(lambda _: {})


def _possible(judge: Judge, name: str, value: Value) -> list[Outcome]:
    """The outcomes of a fact; those of one that nobody stated are the same for all floors, in each reader's words."""
    base, limits = judge.base, judge.limits.get(name, ())
    if value.origin != "unknown" or value.inputs:
        return outcomes(base, name, value, limits)
    kept, key = _of_unknown(base), (name, value, reading())
    if key not in kept:
        kept[key] = outcomes(base, name, value, limits)
    return kept[key]


def draw(judge: Judge, memory: Mapping[str, Value], undecided: Mapping[str, list[Outcome]], size: int) -> Floors:
    """Floors as the case leaves them possible, drawn from the priors; always the same ones for the same case and seed.

    Args:
        judge: for the rule base.
        memory: the case's working memory.
        undecided: its open facts.
        size: how many to draw; those that contradict themselves do not count.
    """
    base, everything = judge.base, (1 << size) - 1
    facts: dict[str, list[tuple[Value, Bits]]] = {
        name: [(memory[name], everything)]
        for name, kind in base.facts.items()
        if kind.of == "floor" and not judge.is_computed(memory, name)
    }
    for name in dict.fromkeys((*drawing_order(base), *undecided)):
        if name in undecided:
            facts[name] = _drawn(base, name, undecided[name], Floors(size, facts), judge.seed)
    floors = Floors(size, facts)
    floors.impossible = unsettled(base, floors, undecided) | _hardly(base, memory, floors, judge.seed)
    return floors


def _drawn(base: RuleBase, name: str, possible: list[Outcome], floors: Floors, seed: int) -> list[tuple[Value, Bits]]:
    """The values of one fact, each with floors, by the shares that hold on each floor."""
    found = [0] * len(possible)
    for place, here in _tables(base, name, floors):
        spread = _spread(name, tuple(outcome.shares[place] for outcome in possible), floors.size, seed)
        for outcome, some in enumerate(spread):
            found[outcome] |= some & here
    return [(outcome.value, some) for outcome, some in zip(possible, found, strict=True) if some]


def _hardly(base: RuleBase, memory: Mapping[str, Value], floors: Floors, seed: int) -> Bits:
    """Floors left out so that what is known counts as evidence of what it hangs on (Bayes' rule, by rejection).

    Where a fact that is stated would be met half as often as elsewhere, half of the floors are left out.
    """
    out = 0
    for name in drawing_order(base):
        tables = _tables(base, name, floors) if name in memory and memory[name].origin == "given" else []
        if len(tables) < 2:
            continue
        chances = chances_of(base, name, memory[name])
        most = max(chances[place] for place, _ in tables)
        rng = _random(f"known {name} {floors.size}", seed)
        for place, here in tables:
            if chances[place] < most:
                out |= here & ~_chance(rng, chances[place] / most, floors.size)
    return out


def _tables(base: RuleBase, name: str, floors: Floors) -> list[tuple[int, Bits]]:
    """Which table of a prior holds on which floors: 0 is `likely`, then those of each `where`; empty ones left out."""
    found, rest = [], floors.all
    prior = base.priors.get(name)
    for place, each in enumerate(prior.where if prior else (), start=1):
        here = rest & _meeting_all(base, each.when, floors)
        rest &= ~here
        found.append((place, here))
    return [(place, here) for place, here in [(0, rest), *found] if here]


def _meeting_all(base: RuleBase, when: Mapping[str, tuple[str, ...]], floors: Floors) -> Bits:
    """The floors that surely meet all conditions."""
    met = floors.all
    for name, texts in when.items():
        pattern = pattern_on(base, name, texts, None)
        assert pattern is not None
        met &= sum(have for value, have in floors.facts.get(name, ()) if pattern.holds(value))
    return met


@lru_cache(maxsize=1024)
def _spread(name: str, shares: tuple[float, ...], size: int, seed: int) -> tuple[Bits, ...]:
    """Sets of floors, one for each share, that together are all floors; each fact has its own chance."""
    rng = _random(f"{name} {size}", seed)
    rest, left, found = (1 << size) - 1, sum(shares), []
    for place, share in enumerate(shares):
        last = place == max(index for index, each in enumerate(shares) if each > 0)
        some = rest if last else rest & _chance(rng, share / left, size) if share > 0 else 0
        found.append(some)
        rest &= ~some
        left = max(left - share, 1e-12)
    return tuple(found)


def _random(about: str, seed: int) -> Random:
    return Random(f"{about} {seed}" if seed else about)


def _chance(rng: Random, share: float, size: int) -> Bits:
    """A random set of floors: each is in it with this chance, made from the binary digits of the chance."""
    some, digits = 0, min(round(share * (1 << FINENESS)), (1 << FINENESS) - 1)
    for place in range(FINENESS):
        toss = rng.getrandbits(size)
        some = some | toss if digits >> place & 1 else some & toss
    return some


def unsettled(base: RuleBase, floors: Floors, undecided: Collection[str]) -> Bits:
    """Take open facts away where they have no meaning; return the floors that contradict themselves all the same."""
    hard = []
    for contradiction in base.contradictions.values():
        moot = [name for name in mooted(contradiction) if name in undecided]
        if not moot:
            hard.append(contradiction)
        for name in moot:
            nothing = unknown(base.facts[name])
            has = meeting(base, contradiction, floors, [other for other in contradiction.when if other != name])
            spread = [(value, have & ~has) for value, have in floors.facts[name]]
            floors.facts[name] = [(value, have) for value, have in spread if have] + [(nothing, has)] * bool(has)
    impossible = 0
    for contradiction in hard:  # only now, since what has no meaning on a floor contradicts nothing there
        impossible |= meeting(base, contradiction, floors, contradiction.when)
    return impossible


def mooted(contradiction: Contradiction) -> list[str]:
    """The facts that have no meaning where its other conditions hold: it says that they cannot be known there."""
    return [name for name, texts in contradiction.when.items() if texts == ("known",)]


def meeting(base: RuleBase, contradiction: Contradiction, floors: Floors, names: Collection[str]) -> Bits:
    """The floors on which the conditions on these facts hold."""
    clash = asked(base, contradiction, names)
    if not floors.facts.keys() >= {*names, *clash.facts}:
        return 0  # it asks for a fact that is still to be worked out
    found = floors.all
    for pattern in clash.patterns:
        found &= _having(floors, pattern)
    for each in clash.between:
        found &= sum(have & _having(floors, each.given(value)) for value, have in floors.facts[each.other])
    return found


def _having(floors: Floors, pattern: Pattern) -> Bits:
    """The floors whose fact meets a pattern; no floor has two values of a fact."""
    return sum(have for value, have in floors.facts[pattern.fact] if pattern.holds(value))
