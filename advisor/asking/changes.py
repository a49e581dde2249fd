"""The changes worth trying on a case: of each fact one value for each region between which some rule tells apart.

Two values of a fact are alike if every pattern on it, and on what is computed from it, holds for both or for neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from advisor.answer.variants import Changed, Variants
from advisor.asking.outlook_words import in_years
from advisor.engines.contradicting import refused
from advisor.engines.many_cases import Tests, unpack
from advisor.facts.case import Case
from advisor.facts.complaints import COMPLAINTS
from advisor.facts.likelihoods import effort, how_likely, outcomes
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.contradictions import asked
from advisor.model.edges import step
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.quantities import keep, write
from advisor.model.rules import Need, Referral
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from explanations.wording import listed, wording

GRID = 24  # points over a number's plausible range, where a computed fact hangs on it
ALL_DIGITS = 17  # significant; values keep nine decimals
ROUNDS, PARTS = 5, 8  # rounds in which the stretch between two that differ is cut, and into how many parts
RAREST = 0.01  # what is met more seldom than this costs no more to find out

Way = Literal["choose", "find out", "test", "wait", "do", "use", "fixed"]
Signature = bytes
REFUSED: Signature = b"contradicts what else is said"


@dataclass(frozen=True)
class Change(Changed):
    """A fact with another value: what it was, in what way it can come about, what that takes, and the same in effect.

    Attributes:
        was: as shown in the case.
        way: `find out` where the fact is unknown and may turn out so, else as the vocabulary says.
        cost: of the way, relative.
        alike: further values that do the same.
    """

    was: str = "unknown"
    way: Way = "fixed"
    cost: float = 100.0
    alike: tuple[str, ...] = ()

    @property
    def to(self) -> str:
        """What it comes to, in words: of a number the stretch that does the same, of a choice each that does."""
        if self.value.interval is not None and self.alike:
            return in_years(self.alike[0])
        return listed([self.value.shown, *self.alike], "or")


def candidates(variants: Variants, case: Case, everything: bool = False) -> list[Change]:
    """All changes of one fact that some rule could notice, in the order of the vocabulary.

    Those that contradict the case's other facts are left out.

    Args:
        variants: for the rule base.
        case: the floor.
        everything: what nobody may do before a professional called has been there, too.
    """
    base, given = variants.base, case.as_read
    memory = working_memory(base, case.facts)
    hanging = patterns_on(variants, given)
    points = {name: points_of(variants, name, memory[name], patterns) for name, patterns in hanging.items()}
    marks = _marks(variants, given, points, hanging)
    refine(base, hanging, points, marks, lambda some: _marks(variants, given, some, hanging))
    now = _marks(variants, given, {name: [given.get(name, memory[name])] for name in points}, hanging)
    untouched = set() if everything else _untouched(variants, case.facts)
    found: list[Change] = []
    for name in points:
        for value, alike in _representatives(memory[name], points[name], marks[name], now[name][0]):
            way, cost = way_to(base, name, memory, value)
            if not (name in untouched and way == "do"):
                found.append(Change(name, value, memory[name].shown, way, cost, alike))
    return found


Points = dict[str, list[Value]]  # by fact its values, a number's in order
Marks = dict[str, list[Signature]]  # by fact what each of its values comes to


def refine(
    base: RuleBase,
    hanging: Mapping[str, Sequence[Pattern]],
    points: Points,
    marks: Marks,
    mark: Callable[[Points], Marks],
    rounds: int = ROUNDS,
) -> None:
    """Cut the stretches between values of a number that differ, where something computed hangs on it, again and again.

    Args:
        base: for the vocabulary.
        hanging: by fact the patterns on it and on what is computed from it.
        points: by fact its values; those between are added.
        marks: what they come to; likewise.
        mark: what further values come to.
        rounds: how often.
    """
    open_ = {name for name in points if base.facts[name].type == "number" and _has_computed(hanging[name], name)}
    for _ in range(rounds):
        between = {name: _between(base.facts[name], points[name], marks[name]) for name in open_}
        between = {name: middles for name, middles in between.items() if middles}
        if not between:
            break
        fresh = mark(between)
        for name, middles in between.items():
            both = dict(zip(points[name] + middles, marks[name] + fresh[name], strict=True))
            points[name] = sorted(both, key=lambda value: _low(value))
            marks[name] = [both[value] for value in points[name]]


def _untouched(variants: Variants, given: Mapping[str, Value]) -> set[str]:
    """What nobody may change before a professional called, or a test asked for, of the case as it stands."""
    base = variants.base
    kinds: dict[str, Mapping[str, Need | Referral]] = {
        "refer": base.referrals,
        "hold": base.needs,
        "first": base.needs,
    }
    return {
        fact
        for each in variants.concluded(given)
        if each.kind in kinds
        for fact in kinds[each.kind][each.name].untouched
    }


def patterns_on(variants: Variants, given: Mapping[str, Value]) -> dict[str, list[Pattern]]:
    """By fact that a case may state, the patterns on it and on all that is computed from it: the rules', and those by
    which it clashes with others."""
    base = variants.base
    by_fact = {name: list(some) for name, some in variants.patterns.items()}
    for pattern in _clashing(base, given):
        by_fact.setdefault(pattern.fact, []).append(pattern)
    for name in reversed(base.facts):  # a computed fact follows its inputs in the vocabulary, or is checked later
        for inner in base.facts[name].computed.inputs if base.facts[name].computed else ():  # type: ignore[union-attr]
            by_fact.setdefault(inner, []).extend(by_fact.get(name, []))
    weighed = {criterion.importance for criterion in base.criteria.values()}
    for name in COMPLAINTS if base.signs else ():  # a complaint tells what else is so
        by_fact.setdefault(name, []).extend(pattern for fact in base.signs for pattern in by_fact.get(fact, []))
    return {
        name: list(dict.fromkeys(by_fact.get(name, [])))
        for name, kind in base.facts.items()
        if kind.ask and kind.of == "floor" and (name in by_fact or name in weighed)
    }


def _clashing(base: RuleBase, given: Mapping[str, Value]) -> Iterator[Pattern]:
    """What contradictions ask of single facts, and of a fact beside the others as they are given."""
    for contradiction in base.contradictions.values():
        clash = asked(base, contradiction)
        yield from clash.patterns
        for each in (side for both in clash.between for side in (both, both.mirrored())):
            if each.other in given:
                yield each.given(given[each.other])


def _has_computed(patterns: Sequence[Pattern], name: str) -> bool:
    return any(pattern.fact != name for pattern in patterns)


def points_of(variants: Variants, name: str, value: Value, patterns: Sequence[Pattern]) -> list[Value]:
    """The values of a fact to try: each choice; of a number on and beside every bound, and if more hangs on it a grid
    and what it is likely to be, so that nothing likely lies between two points of the grid.

    Args:
        variants: for the vocabulary.
        name: of the fact.
        value: what it is now.
        patterns: on it, and on what is computed from it.
    """
    kind = variants.base.facts[name]
    if kind.type != "number":
        return [choice(each) for each in kind.choices]
    low, high = kind.plausible.low, kind.plausible.high
    bounds = [c.bound for p in patterns if p.fact == name for c in p.comparisons]
    near = {point for b in bounds for point in (b - step(kind.unit, b), b, b + step(kind.unit, b))}
    near |= {low, high}
    if _has_computed(patterns, name):
        grid = np.geomspace(low, high, GRID) if low > 0 and high > 50 * low else np.linspace(low, high, GRID)
        near |= {_whole(kind, float(point)) for point in grid}
        near |= {value.interval.low, value.interval.high} if value.interval else set()
        likely = outcomes(variants.base, name, unknown(kind), bounds)
        near |= {each.value.interval.low for each in likely if each.value.interval}
    return [_at(kind, point) for point in sorted({keep(float(p)) for p in near if low <= p <= high})]


def _whole(kind: FactKind, point: float) -> float:
    """The nearest number that anyone would state."""
    size = step(kind.unit, point)
    return keep(round(point / size) * size)


def _at(kind: FactKind, point: float) -> Value:
    return number(Interval(keep(point), keep(point)), kind.unit)


def _low(value: Value) -> float:
    assert value.interval is not None
    return value.interval.low


def _marks(
    variants: Variants,
    given: Mapping[str, Value],
    values: Mapping[str, Sequence[Value]],
    hanging: Mapping[str, Sequence[Pattern]],
) -> dict[str, list[Signature]]:
    """For each value of each fact, which of the patterns that hang on it hold if it is put in; or that it cannot be."""
    changes: list[Changed] = []
    rows: list[int] = []
    for name, some in values.items():
        for value in some:
            rows.append(len(changes) if value.known else -1)  # an unknown value changes nothing
            changes += [Changed(name, value)] if value.known else []
    places = np.array(rows)[:, None]
    memory = variants.memory(given, changes, places)
    tests = Tests(memory)
    no_floor = np.zeros(memory.floors, np.bool)
    for flags in refused(variants.base, variants.stated(given, changes, places)).values():
        no_floor |= flags
    found, at = {}, 0
    weighed = {criterion.importance for criterion in variants.base.criteria.values()}
    for name, some in values.items():
        here = slice(at, at + len(some))
        flags = np.array([unpack(tests.pattern(p), memory.floors)[here] for p in hanging[name]], np.bool)
        flags = flags.reshape(len(hanging[name]), len(some))  # none may hang on it
        # each value of an importance weighs otherwise, whatever rules ask of it besides
        whole = variants.base.facts[name].type != "number" and (not hanging[name] or name in weighed)
        found[name] = [
            REFUSED if no_floor[at + i] else some[i].choice.encode() if whole else np.packbits(flags[:, i]).tobytes()
            for i in range(len(some))
        ]
        at += len(some)
    return found


def _between(kind: FactKind, points: Sequence[Value], marks: Sequence[Signature]) -> list[Value]:
    """Points between neighbours that differ, as long as a step lies between them."""
    found = []
    for (one, first), (other, second) in pairwise(zip(points, marks, strict=True)):
        low, high = _low(one), _low(other)
        if first != second and high - low > 1.5 * step(kind.unit, high):
            cuts = {_whole(kind, low + (high - low) * part / PARTS) for part in range(1, PARTS)}
            found += [_at(kind, cut) for cut in sorted(cuts) if low < cut < high]
    return found


def _representatives(
    now: Value, points: Sequence[Value], marks: Sequence[Signature], mark: Signature
) -> Iterator[tuple[Value, tuple[str, ...]]]:
    """One value of each region other than the present one: the nearest to the present, or to the other regions."""
    regions: dict[Signature, list[Value]] = {}
    for value, here in zip(points, marks, strict=True):
        regions.setdefault(here, []).append(value)
    for same in (mark, REFUSED):
        regions.pop(same, None)
    for values in regions.values():
        if values[0].interval is None:
            yield values[0], tuple(each.shown for each in values[1:])
        elif now.known:
            assert now.interval is not None
            middle = (now.interval.low + now.interval.high) / 2
            yield min(values, key=lambda value: abs(_low(value) - middle)), stretch(points, values)
        else:
            yield _towards(points, values), stretch(points, values)


def _towards(points: Sequence[Value], values: Sequence[Value]) -> Value:
    """Of a region at one end of what is plausible the value next to the others, else one in its middle."""
    if values[-1] is points[-1]:
        return values[0]
    return values[-1] if values[0] is points[0] else values[len(values) // 2]


def stretch(points: Sequence[Value], values: Sequence[Value]) -> tuple[str, ...]:
    """Between which ends all values do the same; nothing if others lie between."""
    first, last = points.index(values[0]), points.index(values[-1])
    if len(values) == 1 or last - first + 1 > len(values):
        return ()
    which = "most" if first == 0 else "least" if last == len(points) - 1 else "between"
    low, high = values[0].shown, values[-1].shown
    if which == "between" and low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    return (wording("changes.stretch", which=which, low=low, high=high),)


def way_to(base: RuleBase, name: str, memory: Mapping[str, Value], value: Value) -> tuple[Way, float]:
    """In what way a fact can come to have a value, and what that takes; to find it out, the more the rarer it is."""
    kind, now = base.facts[name], memory[name]
    way: Way = kind.change
    if way != "choose" and now.origin in ("unknown", "assumed"):
        return "find out", effort(base, name).cost / max(how_likely(base, name, value, memory), RAREST)
    if way == "wait" and now.interval and value.interval and value.interval.low <= now.interval.high:
        way = "fixed"  # time does not run backwards
    return way, base.changes[way].cost


def said(changes: Sequence[Change]) -> dict[str, Statement]:
    """Changes, as somebody would state them, to the last digit: a rounded edge may lie on its other side."""
    return {change.fact: Statement(_exactly(change.value)) for change in changes}


def _exactly(value: Value) -> str:
    if value.interval is None or value.said or not value.unit:
        return value.typed
    return write(value.interval, value.unit, ALL_DIGITS)
