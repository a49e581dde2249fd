"""From the firings of many floors to their standings and answers, as arrays; the meaning is that of `standing` and
`advising` for one floor.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.engines.columns import ChoiceColumn, Columns, Flags
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import Bits, Fired, ManyCases, bounds_of, concluding, unpack
from advisor.model.grounding import Conclusion, Program, ground
from advisor.model.knowledge import UNKNOWN, RuleBase

KINDS = ("finish", "test first", "none yet", "professional")
VERDICTS = ("suits", "suits if", "ruled out")
NOBODY = -1  # in place of a finish

Ints: TypeAlias = NDArray[np.int32]
Places: TypeAlias = NDArray[np.int8]  # places of finishes in the rule base, or NOBODY

# A finish's rank in one whole number, so that the least is the best: ruled out, points, conditions, order.
_RULED_OUT, _POINTS, _CONDITIONS, _ORDER = 30, 13, 6, 0
_MIDDLE = 1 << (_RULED_OUT - _POINTS - 1)
_LAST = np.int32(2**31 - 1)


@dataclass(frozen=True)
class Answers:
    """The answers for some floors. Arrays by finish have one row a finish, in the order of the rule base."""

    floors: int
    finishes: tuple[str, ...]
    verdicts: NDArray[np.uint8]  # finish x floor: place in VERDICTS
    totals: Ints  # finish x floor: points, weighted
    keys: Ints  # finish x floor: the less, the better it ranks
    kinds: NDArray[np.uint8]  # place in KINDS
    leading: Places
    runner_up: Places
    fallback: Places
    conclusions: Mapping[Conclusion, Bits]  # needs, holds, cautions and referrals, each by its floors

    @cached_property
    def finish(self) -> Places:
        """The finish recommended outright."""
        return np.where(self.kinds == KINDS.index("finish"), self.leading, NOBODY).astype(np.int8)

    @cached_property
    def ranking(self) -> NDArray[np.int64]:
        """floor x place: the finishes, best first."""
        return np.argsort(self.keys.T, axis=1)

    def where(self, conclusion: Conclusion) -> Flags:
        """The floors on which something is concluded."""
        bits = self.conclusions.get(conclusion)
        return unpack(bits, self.floors) if bits is not None else np.zeros(self.floors, np.bool)

    def names(self, kind: str, finish: str | None = None) -> Iterator[Conclusion]:
        """The conclusions of a kind that some rule can draw, about one finish if given."""
        return (c for c in self.conclusions if c.kind == kind and finish in (None, c.finish))


class ManyAnswers:
    """A rule base made ready to answer for many floors: columns of stated facts in, answers out."""

    def __init__(self, base: RuleBase, program: Program | None = None) -> None:
        self.base = base
        self.program = program or ground(base)
        self.cases = ManyCases(self.program)
        self.finishes = tuple(base.finishes)
        self._bounds = bounds_of(self.program)
        self._asked = {pattern.fact for rule in self.program.rules for pattern in rule.patterns}
        self._rules = concluding(self.program)
        # By finish and criterion: the rules that award points, by how many.
        self._awards: dict[tuple[int, str], list[tuple[int, int]]] = {}
        for conclusion, rules in self._rules.items():
            if conclusion.kind == "points":
                key = self.finishes.index(conclusion.finish), conclusion.name
                self._awards.setdefault(key, []).extend((rule, conclusion.points) for rule in rules)
        by_order = sorted(base.finishes.values(), key=lambda finish: finish.order)
        place = {finish.id: number for number, finish in enumerate(by_order)}
        self._order = np.array([place[name] for name in self.finishes], np.int32)
        most = max(base.importance.values()) * sum(
            max(abs(points) for _, points in awards) * len(awards) for awards in self._awards.values()
        )
        if most >= _MIDDLE or len(self.finishes) > 1 << _CONDITIONS or len(base.needs) > 1 << (_POINTS - _CONDITIONS):
            raise ValueError("more points, needs or finishes than a rank has room for")

    def working(self, stated: Columns) -> Columns:
        """The working memory of floors; computed facts that no rule asks about are left unknown."""
        return working_columns(self.base, stated, self._bounds, self._asked)

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
        said = {
            conclusion: np.bitwise_or.reduce(fired.bits[rules], axis=0) if len(rules) > 1 else fired.bits[rules[0]]
            for conclusion, rules in self._rules.items()
            if conclusion.kind not in ("finding", "points")
        }
        totals = self._totals(working, fired)
        verdicts = np.zeros((len(finishes), floors), np.uint8)
        conditions = np.zeros((len(finishes), floors), np.int8)
        waits = np.zeros((len(finishes), floors), np.bool)
        out = np.zeros((len(finishes), floors), np.bool)
        for place, finish in enumerate(finishes):
            deciding = np.zeros(fired.bits.shape[1], np.uint8)
            for conclusion, bits in said.items():
                if conclusion.finish != finish:
                    continue
                if conclusion.kind == "first":
                    conditions[place] += unpack(bits, floors).view(np.int8)
                    if self.base.needs[conclusion.name].decides:
                        deciding |= bits
                elif conclusion.kind == "rule_out":
                    out[place] = unpack(bits, floors)
            waits[place] = unpack(deciding, floors)
        np.copyto(verdicts, 1, where=conditions > 0)
        np.copyto(verdicts, 2, where=out)
        keys = (_MIDDLE - totals) << _POINTS
        keys += conditions.astype(np.int32) << _CONDITIONS
        keys += self._order[:, None]
        keys |= out.astype(np.int32) << _RULED_OUT
        leading, runner_up = self._best_two(keys)
        first_waits = np.take_along_axis(waits, np.maximum(leading, 0)[None], axis=0)[0] & (leading != NOBODY)
        fallback = np.where(first_waits, self._best(np.where(waits, _LAST, keys)), NOBODY).astype(np.int8)
        stops = self._any(said, floors, (c for c in said if c.kind == "refer" and self.base.referrals[c.name].stop))
        holds = self._any(said, floors, (c for c in said if c.kind == "hold"))
        kinds = np.select([stops, holds | (leading == NOBODY), first_waits], [3, 2, 1], 0).astype(np.uint8)
        return Answers(floors, finishes, verdicts, totals, keys, kinds, leading, runner_up, fallback, said)

    def _totals(self, working: Columns, fired: Fired) -> Ints:
        weights = self._weights(working)
        totals = np.zeros((len(self.finishes), fired.floors), np.int32)
        flags: dict[int, NDArray[np.int8]] = {}
        for (place, criterion), awards in self._awards.items():
            sums: NDArray[np.signedinteger[Any]] = np.zeros(fired.floors, np.int8)
            if sum(abs(points) for _, points in awards) > 127:
                sums = sums.astype(np.int16)
            for rule, points in awards:
                if rule not in flags:
                    flags[rule] = unpack(fired.bits[rule], fired.floors).view(np.int8)
                sums += flags[rule] if points == 1 else np.multiply(flags[rule], points, dtype=sums.dtype)
            totals[place] += np.multiply(sums, weights[criterion], dtype=np.int32)
        return totals

    def _weights(self, working: Columns) -> dict[str, Ints]:
        """What one point under each criterion counts, by the customer's importance."""
        weights = {}
        for name, criterion in self.base.criteria.items():
            column = working.facts[criterion.importance]
            assert isinstance(column, ChoiceColumn)
            normal = self.base.importance["normal"]
            counts = [self.base.importance.get(value, normal) for value in (UNKNOWN, *column.values)]
            weights[name] = np.array(counts, np.int32)[column.codes]
        return weights

    def _best_two(self, keys: Ints) -> tuple[Places, Places]:
        best = second = np.full(keys.shape[1], _LAST, np.int32)
        for row in keys:
            second = np.minimum(second, np.maximum(best, row))
            best = np.minimum(best, row)
        return self._finish_of(best), self._finish_of(second)

    def _best(self, keys: Ints) -> Places:
        return self._finish_of(keys.min(axis=0))

    def _finish_of(self, keys: Ints) -> Places:
        """The finish whose rank this is, unless it is ruled out."""
        finish_at = np.empty(1 << _CONDITIONS, np.int8)
        finish_at[self._order] = np.arange(len(self.finishes))
        return np.where(keys < 1 << _RULED_OUT, finish_at[keys & ((1 << _CONDITIONS) - 1)], NOBODY).astype(np.int8)

    @staticmethod
    def _any(said: Mapping[Conclusion, Bits], floors: int, conclusions: Iterable[Conclusion]) -> Flags:
        found = [said[each] for each in conclusions]
        return unpack(np.bitwise_or.reduce(found), floors) if found else np.zeros(floors, np.bool)
