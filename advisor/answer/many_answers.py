"""From the firings of many floors to their standings and answers, as arrays (see `ranking`)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.answer.ranking import KINDS, NAMING, by_kind, has_room, is_left, order_of, parts, place_of, rank, weight_of
from advisor.engines.columns import ChoiceColumn, Columns, Flags
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import Bits, Fired, ManyCases, bounds_of, concluding, unpack
from advisor.model.entry import UNKNOWN
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, Program

NOBODY = -1  # in place of a finish

Ints: TypeAlias = NDArray[np.int32]
Places: TypeAlias = NDArray[np.int8]  # places of finishes in the rule base, or NOBODY

_LAST = np.int32(2**31 - 1)


@dataclass(frozen=True)
class Answers:
    """The answers for some floors. Arrays by finish have one row a finish, in the order of the rule base."""

    floors: int
    finishes: tuple[str, ...]
    out: Flags  # finish x floor: ruled out
    conditions: NDArray[np.int8]  # finish x floor: how many needs come first
    total: Ints  # finish x floor: points, weighted
    kind: NDArray[np.uint8]  # place in KINDS
    leading: Places
    runner_up: Places
    fallback: Places
    rules: Mapping[Conclusion, Sequence[int]]  # by which needs, holds, cautions, referrals are concluded, as places
    fired: Fired

    @cached_property
    def conclusions(self) -> Mapping[Conclusion, Bits]:
        """Needs, holds, cautions and referrals, each by its floors."""
        return {conclusion: _any_of(self.fired, rules) for conclusion, rules in self.rules.items()}

    @property
    def verdicts(self) -> NDArray[np.uint8]:
        """finish x floor: place in VERDICTS."""
        return np.where(self.out, 2, self.conditions > 0).astype(np.uint8)

    @property
    def names_a_finish(self) -> Flags:
        """Where the leading finish is recommended, or waited for."""
        named: Flags = np.isin(self.kind, [KINDS.index(kind) for kind in NAMING])
        return named

    @property
    def finish(self) -> Places:
        """The finish recommended outright."""
        return np.where(self.kind == KINDS.index("finish"), self.leading, NOBODY).astype(np.int8)

    @cached_property
    def reasons_out(self) -> NDArray[np.int64]:
        """finish x floor: how many rules rule it out."""
        found = np.zeros(self.total.shape, np.int64)
        for rule, bits in zip(self.fired.program.rules, self.fired.bits, strict=True):
            for conclusion in rule.conclusions:
                if conclusion.kind == "rule_out" and bits.any():
                    found[self.finishes.index(conclusion.finish)] += unpack(bits, self.floors)
        return found

    def behind(self, finish: int) -> NDArray[np.int64]:
        """By how many points a finish is behind the best of the others that are left."""
        others = np.where(self.out, -9999, self.total).astype(np.int64)
        others[finish] = -9999
        behind: NDArray[np.int64] = others.max(axis=0) - self.total[finish]
        return behind

    def lead(self) -> NDArray[np.int64]:
        """By how many points the leading finish is ahead of the best other that is left; 9999 without another."""
        left = np.sort(np.where(self.out, -9999, self.total), axis=0).astype(np.int64)
        return np.minimum(left[-1] - left[-2], 9999) if len(left) > 1 else np.full(left.shape[1], 9999)

    def where(self, conclusion: Conclusion) -> Flags:
        """The floors on which something is concluded."""
        rules = self.rules.get(conclusion)
        return unpack(_any_of(self.fired, rules), self.floors) if rules else np.zeros(self.floors, np.bool)

    def names(self, kind: str, finish: str | None = None) -> Iterator[Conclusion]:
        """The conclusions of a kind that some rule can draw, about one finish if given."""
        return (c for c in self.rules if c.kind == kind and finish in (None, c.finish))


class ManyAnswers:
    """A rule base made ready to answer for many floors: columns of stated facts in, answers out."""

    def __init__(self, base: RuleBase, program: Program | None = None) -> None:
        self.base = base
        self.program = program or ground(base)
        self.cases = ManyCases(self.program)
        self.finishes = tuple(base.finishes)
        self._bounds = bounds_of(self.program)
        self.asked = {pattern.fact for rule in self.program.rules for pattern in rule.patterns}
        all_rules = concluding(self.program)
        self._rules = {c: some for c, some in all_rules.items() if c.kind not in ("finding", "points")}
        self._parts = [(c, some) for c in self._rules if (some := parts(base, c))]
        # By finish and criterion: the rules that award points, by how many.
        self._awards: dict[tuple[int, str], list[tuple[int, int]]] = {}
        for conclusion, rules in all_rules.items():
            if conclusion.kind == "points":
                key = self.finishes.index(conclusion.finish), conclusion.name
                self._awards.setdefault(key, []).extend((rule, conclusion.points) for rule in rules)
        order = order_of(base)
        self._order = np.array([order[name] for name in self.finishes], np.int32)
        if not has_room(base, self.program.rules):
            raise ValueError("more points, needs or finishes than a rank has room for")

    def working(self, stated: Columns) -> Columns:
        """The working memory of floors; computed facts that no rule asks about are left unknown."""
        return working_columns(self.base, stated, self._bounds, self.asked)

    def answer(self, stated: Columns) -> Answers:
        """The answers for some floors (`Columns.chunks` keeps the memory bounded).

        Args:
            stated: the facts that the floors state.
        """
        working = self.working(stated)
        return self.conclude(working, self.cases.infer(working))

    def conclude(self, working: Columns, fired: Fired) -> Answers:
        """From firings to answers.

        Args:
            working: the working memory that the rules fired on.
            fired: which rules fired.
        """
        floors, finishes = fired.floors, self.finishes
        shape = (len(finishes), floors)
        out, waits, conditions = np.zeros(shape, np.bool), np.zeros(shape, np.bool), np.zeros(shape, np.int8)
        on_floor = {"stops": np.zeros(floors, np.bool), "holds": np.zeros(floors, np.bool)}
        on_floor["asks"] = np.zeros(floors, np.bool)
        for conclusion, some in self._parts:
            about = finishes.index(conclusion.finish) if conclusion.finish else NOBODY
            bits = _any_of(fired, self._rules[conclusion])
            for part in some if bits.any() else ():
                flags = unpack(bits, floors)
                match part:
                    case "out":
                        out[about] |= flags
                    case "waits":
                        waits[about] |= flags
                    case "condition":
                        conditions[about] += flags.view(np.int8)
                    case _:
                        on_floor[part] |= flags
        total = self._totals(working, fired)
        ranks = rank(out.view(np.int8).astype(np.int32), total, conditions.astype(np.int32), self._order[:, None])
        leading, runner_up = self._best_two(ranks)
        first_waits = np.take_along_axis(waits, np.maximum(leading, 0)[None], axis=0)[0] & (leading != NOBODY)
        fallback = np.where(first_waits, self._finish_of(np.where(waits, _LAST, ranks).min(axis=0)), NOBODY)
        kinds = by_kind(np.ones(floors, np.bool), nothing_left=leading == NOBODY, waits=first_waits, **on_floor)
        kind = np.zeros(floors, np.uint8)
        for place, name in enumerate(KINDS):
            kind[kinds[name]] = place
        fallback = fallback.astype(np.int8)
        return Answers(floors, finishes, out, conditions, total, kind, leading, runner_up, fallback, self._rules, fired)

    def _totals(self, working: Columns, fired: Fired) -> Ints:
        weights = self.weights(working)
        totals = np.zeros((len(self.finishes), fired.floors), np.int32)
        for place, criterion, sums in self.sums(fired):
            totals[place] += np.multiply(sums, weights[criterion], dtype=np.int32)
        return totals

    def sums(self, fired: Fired) -> Iterator[tuple[int, str, NDArray[np.signedinteger[Any]]]]:
        """By finish and criterion the points of each floor, unweighted."""
        flags: dict[int, NDArray[np.int8]] = {}
        for (place, criterion), awards in self._awards.items():
            sums: NDArray[np.signedinteger[Any]] = np.zeros(fired.floors, np.int8)
            if sum(abs(points) for _, points in awards) > 127:
                sums = sums.astype(np.int16)
            for rule, points in awards:
                if rule not in flags:
                    flags[rule] = unpack(fired.bits[rule], fired.floors).view(np.int8)
                sums += flags[rule] if points == 1 else np.multiply(flags[rule], points, dtype=sums.dtype)
            yield place, criterion, sums

    @cached_property
    def awards(self) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
        """The places of the rules that give points, and rule x criterion x finish how many."""
        given = [(r, criterion, finish, n) for (finish, criterion), some in self._awards.items() for r, n in some]
        places = sorted({rule for rule, *_ in given})
        at, criteria = {rule: at for at, rule in enumerate(places)}, list(self.base.criteria)
        found = np.zeros((len(places), len(criteria), len(self.finishes)), np.float32)
        for rule, criterion, finish, points in given:
            found[at[rule], criteria.index(criterion), finish] += points
        return np.array(places, np.int64), found

    def weights(self, working: Columns) -> dict[str, Ints]:
        """What one point under each criterion counts, by the customer's importance."""
        weights = {}
        for name, criterion in self.base.criteria.items():
            if not criterion.importance:
                weights[name] = np.array([weight_of(self.base, "normal")], np.int32)
                continue
            column = working.facts[criterion.importance]
            assert isinstance(column, ChoiceColumn)
            counts = [weight_of(self.base, value) for value in (UNKNOWN, *column.values)]
            weights[name] = np.array(counts, np.int32)[column.codes]
        return weights

    def _best_two(self, ranks: Ints) -> tuple[Places, Places]:
        best = second = np.full(ranks.shape[1], _LAST, np.int32)
        for row in ranks:
            second = np.minimum(second, np.maximum(best, row))
            best = np.minimum(best, row)
        return self._finish_of(best), self._finish_of(second)

    def _finish_of(self, ranks: Ints) -> Places:
        """The finish whose rank this is, unless it is ruled out."""
        finish_at = np.full(int(self._order.max(initial=0)) + 1, NOBODY, np.int8)
        finish_at[self._order] = np.arange(len(self.finishes))
        return np.where(is_left(ranks), finish_at[np.where(is_left(ranks), place_of(ranks), 0)], NOBODY).astype(np.int8)


def _any_of(fired: Fired, rules: Sequence[int]) -> Bits:
    """Where any of these rules fires."""
    bits: Bits = np.bitwise_or.reduce(fired.bits[rules], axis=0) if len(rules) > 1 else fired.bits[rules[0]]
    return bits
