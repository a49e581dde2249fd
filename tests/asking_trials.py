"""Trials of the order of questions: complete floors with facts hidden, and how many answers each order needs.

An order has got there after k answers if from then on, whatever else it asks, the recommendation is that of the
complete floor. All prefixes of an order, for all floors, are judged at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from random import Random

from advisor.answer.bit_columns import Bits
from advisor.answer.judging import Floors, Judge
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.outlook import Outlook
from advisor.asking.proof import certain
from advisor.asking.sampling import draw, mooted, open_facts
from advisor.facts.memory import working_memory
from advisor.facts.setting_aside import doubts
from advisor.model.contradictions import contradicted
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from tests.floors import random_case

SIZE = 1024  # floors drawn for each question; the tool draws more, which only orders finer


@dataclass(frozen=True, eq=False)
class Trial:
    """A complete floor, and what is known of it at the start; the rest is hidden."""

    floor: Mapping[str, Value]
    known: Mapping[str, Value]

    @property
    def hidden(self) -> list[str]:
        """The facts that can be asked for, in the order of the vocabulary."""
        return [name for name in self.floor if name not in self.known]


def trials(judge: Judge, rng: Random, count: int, usual: bool, hidden: float) -> list[Trial]:
    """Complete floors: as the priors say they are met, or any at all; each fact is hidden by this chance."""
    base = judge.base
    empty = working_memory(base, {})
    askable = open_facts(judge, empty)
    drawn = draw(judge, empty, askable, 8 * count)
    places = [place for place in range(drawn.size) if drawn.real >> place & 1]
    found: list[Trial] = []
    while len(found) < count:
        if usual:
            one = drawn.one(places[len(found)])
            floor = {name: one[name] for name in askable if one[name].known}
        else:
            any_floor = random_case(base, rng, known=1.0)
            floor = {name: _point(value) for name, value in any_floor.items() if name in askable}
            for each in base.contradictions.values():
                for name in mooted(each):
                    if contradicted(base, floor):
                        floor.pop(name, None)
            if contradicted(base, floor) or doubts(base, floor):
                continue
        found.append(Trial(floor, {name: value for name, value in floor.items() if rng.random() > hidden}))
    return found


def _point(value: Value) -> Value:
    """A complete floor has no ranges: of one, its low end."""
    if value.interval is None or value.interval.low == value.interval.high:
        return value
    return replace(value, interval=Interval(value.interval.low, value.interval.low), said="")


def asked_in_turn(judge: Judge, trial: Trial) -> tuple[list[str], Recommendation | None]:
    """The facts as the tool asks for them until it stops, and what it then calls certain, if anything."""
    known, order = dict(trial.known), list[str]()
    while True:
        memory = working_memory(judge.base, known)
        look = Outlook(judge, memory, SIZE)
        if len(look.turns) < 2:
            verdict = certain(judge, memory)
            if verdict.recommendation:
                return order, verdict.recommendation
        hidden = (each for each in look.questions() if each.fact in trial.floor and each.fact not in known)
        question = next(hidden, None)
        if question is None:
            return order, None
        known[question.fact] = trial.floor[question.fact]
        order.append(question.fact)


def answers_needed(judge: Judge, some: Sequence[Trial], orders: Sequence[Sequence[str]]) -> list[int]:
    """For each floor, after how many answers its order has got there."""
    steps, count = 1 + max(len(order) for order in orders), len(some)
    size = steps * count  # floor after floor, and that for every number of answers
    base, empty = judge.base, working_memory(judge.base, {})
    known_since = [sum(1 << step * count for step in range(since, steps)) for since in range(steps + 1)]
    turns = [{name: place for place, name in enumerate(order, start=1)} for order in orders]
    facts: dict[str, list[tuple[Value, Bits]]] = {}
    for name in base.facts:
        if name not in empty or judge.is_computed(empty, name):
            continue
        spread: dict[int, tuple[Value, Bits]] = {}
        told = 0
        for place, (trial, turn) in enumerate(zip(some, turns, strict=True)):
            if (value := trial.floor.get(name)) is not None:
                have = known_since[0 if name in trial.known else turn.get(name, steps)] << place
                spread[id(value)] = value, spread.get(id(value), (value, 0))[1] | have
                told |= have
        spread[0] = empty[name], ((1 << size) - 1) & ~told
        facts[name] = [(value, have) for value, have in spread.values() if have]
    recommended = judge.recommend(Floors(size, facts), weights(base, empty))
    right = 0
    targets = [complete(judge, trial) for trial in some]
    for target in set(targets):
        same = sum(1 << place for place, each in enumerate(targets) if each == target)
        right |= recommended.get(target, 0) & (same * known_since[0])
    wrong = ~right & ((1 << size) - 1)
    return [-(-((wrong >> place) & known_since[0]).bit_length() // count) for place in range(count)]


@cache
def complete(judge: Judge, trial: Trial) -> Recommendation:
    """The recommendation with everything known."""
    memory = working_memory(judge.base, trial.floor)
    (found,) = judge.recommend(Floors(1, {name: [(v, 1)] for name, v in memory.items()}), weights(judge.base, memory))
    return found


def best_fixed_order(
    judge: Judge, some: Sequence[Trial], start: Sequence[str], rng: Random, tries: int
) -> tuple[list[str], list[int]]:
    """One order for all floors, found by moving facts about with all answers known; and what each floor needs by it."""
    order = list(start)
    needed = answers_needed(judge, some, [_of(order, trial) for trial in some])
    for _ in range(tries):
        moved = list(order)
        fact = moved.pop(rng.randrange(len(moved)))
        moved.insert(rng.randrange(1 + min(len(moved), 40)), fact)
        now = answers_needed(judge, some, [_of(moved, trial) for trial in some])
        if sum(now) <= sum(needed):
            order, needed = moved, now
    return order, needed


def _of(order: Sequence[str], trial: Trial) -> list[str]:
    return [name for name in order if name in trial.floor and name not in trial.known]
