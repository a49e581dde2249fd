"""The fact to ask of each of many floors first: by a plain count, or weighed as `advisor next` does for one floor.

A rule waits for an unknown fact as in `asking.open_questions`, but facts that others are computed from are left out.
The fact asked first is the one that rules of most weight wait for. `asking`, for one floor, weighs the answers'
likelihood and the effort as well; this is what a survey of many can afford.
"""

from __future__ import annotations

from functools import reduce
from operator import or_

import numpy as np

from advisor.answer.judging import Judge
from advisor.answer.many_answers import NOBODY, Answers, Ints, ManyAnswers
from advisor.asking.certainty import is_settled
from advisor.asking.open_questions import undecided, weight_of
from advisor.asking.outlook import Outlook
from advisor.engines.columns import Columns, NumberColumn, floor_at
from advisor.engines.many_cases import Bits, Tests, unpack
from advisor.facts.memory import working_memory
from advisor.model.entry import UNKNOWN
from advisor.model.program import GroundRule, Pattern


def ask_first(reading: ManyAnswers, working: Columns, answers: Answers) -> Ints:
    """For each floor the place in the vocabulary of the fact to ask first, or NOBODY.

    Args:
        reading: the rule base made ready.
        working: the working memory of the floors.
        answers: for these floors.
    """
    tests, floors, fired = Tests(working), answers.floors, answers.fired
    left = dict(zip(answers.finishes, np.packbits(~answers.out, axis=1), strict=True))
    found: dict[str, Bits] = {}
    for place, rule in enumerate(reading.program.rules):
        for name in rule.findings:
            found[name] = found[name] | fired.bits[place] if name in found else fired.bits[place]
    asked = {name for name, kind in reading.base.facts.items() if kind.ask and kind.of == "floor"}
    weights: dict[str, Ints] = {}
    for rule in reading.program.rules:
        weight = sum(map(weight_of, rule.conclusions))
        waiting, open_facts = _waiting(rule, working, tests, found)
        if rule.finishes:
            waiting = waiting & np.bitwise_or.reduce([left[finish] for finish in rule.finishes])
        if not waiting.any():
            continue
        for name, opens in open_facts.items():
            if name in asked:
                more = unpack(waiting & opens, floors).view(np.int8) * np.int32(weight)
                weights[name] = weights[name] + more if name in weights else more
    most, first = np.zeros(floors, np.int32), np.full(floors, NOBODY, np.int32)
    for place, name in enumerate(reading.base.facts):  # of equal ones the first
        if name in weights:
            np.copyto(first, place, where=weights[name] > most)
            np.maximum(most, weights[name], out=most)
    return first


def weigh_first(reading: ManyAnswers, stated: Columns) -> Ints:
    """For each floor the place in the vocabulary of the question that is worth most, or NOBODY: time to stop.

    Args:
        reading: the rule base made ready.
        stated: the facts that the floors state.
    """
    base, places = reading.base, list(reading.base.facts)
    judge, first = Judge(base, reading.program), np.full(stated.floors, NOBODY, np.int32)
    for floor in range(stated.floors):
        look = Outlook(judge, working_memory(base, floor_at(base, stated, floor)))
        if not is_settled(look):
            question = next(look.questions(), None)
            if question:
                first[floor] = places.index(question.fact)
    return first


def _waiting(rule: GroundRule, working: Columns, tests: Tests, found: dict[str, Bits]) -> tuple[Bits, dict[str, Bits]]:
    """The floors on which a rule could still fire, and for each fact those on which it is open."""
    waiting = np.full((working.floors + 7) // 8, 255, np.uint8)
    open_facts: dict[str, Bits] = {}
    for pattern in rule.patterns:
        if pattern.fact not in working.facts:
            waiting = waiting & found.get(pattern.fact, np.zeros_like(waiting))
            continue
        opens = tests.pattern(_unknown(pattern, working))
        for either in undecided(pattern):
            opens = opens & reduce(or_, map(tests.pattern, either), np.zeros_like(opens))
        open_facts[pattern.fact] = opens
        waiting = waiting & (tests.pattern(pattern) | opens)
    return waiting, open_facts


def _unknown(pattern: Pattern, working: Columns) -> Pattern:
    if isinstance(working.facts[pattern.fact], NumberColumn):
        return Pattern(pattern.fact, known=False)
    return Pattern(pattern.fact, values=frozenset({UNKNOWN}))
