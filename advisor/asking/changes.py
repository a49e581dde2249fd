"""The changes worth trying on a case: of each fact one value for each region between which some rule tells apart.

Two values of a fact are alike if every pattern on it, and on what is computed from it, holds for both or for neither.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor
from typing import Literal

import numpy as np

from advisor.answer.variants import Changed, Variants
from advisor.asking.outlook_words import A_YEAR, beside_a_year, end_in_years
from advisor.engines.contradicting import refused
from advisor.engines.many_cases import Tests, unpack
from advisor.facts.case import Case
from advisor.facts.complaints import COMPLAINTS, beside_the_point
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
ROUNDS, PARTS = 3, 32  # rounds in which the stretch between two that differ is cut, and into how many parts
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
            return self.alike[0]
        return listed([self.value.shown, *self.alike], "or")


def candidates(variants: Variants, case: Case, everything: bool = False) -> list[Change]:
    """All changes of one fact that some rule could notice, in the order of the vocabulary.

    Those that contradict the case's other facts are left out, and what is open though no complaint wants it.

    Args:
        variants: for the rule base.
        case: the floor.
        everything: what nobody may do before a professional called has been there, too.
    """
    memory = working_memory(variants.base, case.facts)
    regions = Regions(variants, case.as_read, memory)
    untouched = set() if everything else _untouched(variants, case.facts)
    return [
        each
        for each in regions.changes()
        if not (each.fact in untouched and each.way == "do")
        and (memory[each.fact].known or not beside_the_point(variants.base, each.fact, memory))
    ]


Points = dict[str, list[Value]]  # by fact its values, a number's in order
Marks = dict[str, list[Signature]]  # by fact what each of its values comes to


class Regions:
    """Of each fact that a case may state its values, in regions that neither rules nor contradictions tell apart.

    Attributes:
        points: by fact some values; of a number in order, with those next to each edge.
        marks: what they come to; those with the same mark are of one region.
        now: the mark of what it is.
    """

    def __init__(
        self,
        variants: Variants,
        given: Mapping[str, Value],
        memory: Mapping[str, Value],
        names: Container[str] | None = None,
    ) -> None:
        """Find them.

        Args:
            variants: for the rule base.
            given: the facts that the case states.
            memory: its working memory.
            names: the facts to look at; all that some rule asks for, if not given.
        """
        self._variants, self._given, self._memory = variants, given, memory
        hanging = patterns_on(variants, given)
        self._hanging = {name: some for name, some in hanging.items() if names is None or name in names}
        self.points: Points = {name: points_of(variants, name, memory[name], p) for name, p in self._hanging.items()}
        present = {name: [given.get(name, memory[name])] for name in self.points}
        both = self._marked({name: [*some, *present[name]] for name, some in self.points.items()})
        self.now = {name: some[-1] for name, some in both.items()}
        self.marks: Marks = {name: some[:-1] for name, some in both.items()}
        self._refine()

    def mark(self, name: str, value: Value) -> Signature:
        """What one more value of a fact comes to."""
        return self._marked({name: [value]})[name][0]

    def changes(self) -> list[Change]:
        """For each region but the present one a change into it, in the order of the vocabulary."""
        return [change for change, _ in self.entered()]

    def entered(self) -> Iterator[tuple[Change, Signature]]:
        """The same, each with the mark of its region."""
        base, memory = self._variants.base, self._memory
        for name, points in self.points.items():
            for mark, value, alike in _representatives(memory[name], points, self.marks[name], self.now[name]):
                yield Change(name, value, memory[name].shown, *way_to(base, name, memory, value), alike), mark

    def _refine(self) -> None:
        """Cut the stretches between values of a number that differ, where something computed hangs on it, again and
        again."""
        base = self._variants.base
        open_ = [n for n in self.points if base.facts[n].type == "number" and _has_computed(self._hanging[n], n)]
        for _ in range(ROUNDS):
            between = {name: _between(base.facts[name], self.points[name], self.marks[name]) for name in open_}
            between = {name: middles for name, middles in between.items() if middles}
            if not between:
                break
            fresh = self._marked(between)
            for name, middles in between.items():
                both = dict(zip(self.points[name] + middles, self.marks[name] + fresh[name], strict=True))
                self.points[name] = sorted(both, key=_low)
                self.marks[name] = [both[value] for value in self.points[name]]

    def _marked(self, values: Mapping[str, Sequence[Value]]) -> Marks:
        """For each value of each fact, which of the patterns that hang on it hold if it is put in; or that it cannot
        be."""
        variants, hanging = self._variants, self._hanging
        changes: list[Changed] = []
        rows: list[int] = []
        for name, some in values.items():
            for value in some:
                rows.append(len(changes) if value.known else -1)  # an unknown value changes nothing
                changes += [Changed(name, value)] if value.known else []
        places = np.array(rows)[:, None]
        asked = {pattern for name in values for pattern in hanging[name]}
        memory = variants.memory(self._given, changes, places, {pattern.fact for pattern in asked})
        tests = Tests(memory)
        met = {pattern: unpack(tests.pattern(pattern), memory.floors) for pattern in asked}
        no_floor = np.zeros(memory.floors, np.bool)
        for flags in refused(variants.base, variants.stated(self._given, changes, places)).values():
            no_floor |= flags
        found, at = {}, 0
        weighed = {criterion.importance for criterion in variants.base.criteria.values()}
        for name, some in values.items():
            here, at = slice(at, at + len(some)), at + len(some)
            # each value of an importance weighs otherwise, whatever rules ask of it besides
            if variants.base.facts[name].type != "number" and (not hanging[name] or name in weighed):
                marks = [value.choice.encode() for value in some]
            else:
                flags = np.array([met[pattern][here] for pattern in hanging[name]], np.bool)
                flags = flags.reshape(len(hanging[name]), len(some))  # none may hang on it
                marks = [each.tobytes() for each in np.packbits(flags, axis=0).T]
            found[name] = [REFUSED if no else mark for no, mark in zip(no_floor[here], marks, strict=True)]
        return found


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
    for name, kind in base.facts.items():
        for other in kind.implied_by:
            by_fact.setdefault(other, []).extend(by_fact.get(name, []))
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
    """The nearest number that anyone would state: a time of years in years and days."""
    years = floor(point / A_YEAR) if kind.unit == "day" and point >= 2 * A_YEAR else 0
    size = step(kind.unit, point)
    return keep(years * A_YEAR + round((point - years * A_YEAR) / size) * size)


def _at(kind: FactKind, point: float) -> Value:
    return number(Interval(keep(point), keep(point)), kind.unit)


def _low(value: Value) -> float:
    assert value.interval is not None
    return value.interval.low


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
) -> Iterator[tuple[Signature, Value, tuple[str, ...]]]:
    """Mark and one value of each region other than the present one: the nearest to it, or to the other regions."""
    regions: dict[Signature, list[int]] = {}
    for place, here in enumerate(marks):
        regions.setdefault(here, []).append(place)
    for same in (mark, REFUSED):
        regions.pop(same, None)
    for here, places in regions.items():
        values = [points[place] for place in places]
        if values[0].interval is None:
            yield here, values[0], tuple(each.shown for each in values[1:])
        elif now.known:
            assert now.interval is not None
            middle = (now.interval.low + now.interval.high) / 2
            yield here, min(values, key=lambda value: abs(_low(value) - middle)), stretch(points, places)
        else:
            yield here, _towards(points, values), stretch(points, places)


def _towards(points: Sequence[Value], values: Sequence[Value]) -> Value:
    """Of a region at one end of what is plausible the value next to the others, else one in its middle."""
    if values[-1] is points[-1]:
        return values[0]
    return values[-1] if values[0] is points[0] else values[len(values) // 2]


def stretch(points: Sequence[Value], places: Sequence[int]) -> tuple[str, ...]:
    """Between which ends the values at these places do the same; nothing if others lie between."""
    first, last = places[0], places[-1]
    if len(places) == 1 or last - first + 1 > len(places):
        return ()
    which = "between" if first else "most"
    if last == len(points) - 1:
        which = "least" if first else "any"
    (low, above), (high, below) = _told(points[first], "low"), _told(points[last], "high")
    if which == "between" and low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    if (which == "least" and above) or (which == "most" and below):
        which = "only"
    return (wording("changes.stretch", which=which, low=low, high=high, only=low if above else high),)


def _told(value: Value, end: Literal["low", "high"]) -> tuple[str, bool]:
    """An end of a stretch, and whether what is told is a limit that does not belong to it."""
    if value.unit == "day" and (_low(value) >= 2 * A_YEAR or beside_a_year(_low(value))):
        return end_in_years(_low(value), end)
    return value.shown, False


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
