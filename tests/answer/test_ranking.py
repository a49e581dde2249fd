"""The one definition of rank and kind of answer, held to definitions written out here, in all that it is used on."""

from __future__ import annotations

from datetime import date
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import z3

from advisor.answer.advising import conclude
from advisor.answer.bit_columns import less, total
from advisor.answer.judging import Floors, Judge
from advisor.answer.many_answers import NOBODY, ManyAnswers
from advisor.answer.ranking import (
    KINDS,
    VERDICTS,
    Recommendation,
    by_kind,
    has_room,
    is_left,
    order_of,
    parts,
    place_of,
    rank,
    standings,
    weights,
)
from advisor.asking.advice import advise
from advisor.engines.columns import columns_of
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case
from advisor.facts.statements import Statement
from advisor.model.advice import Advice
from advisor.model.program import Conclusion
from tests.rule_folders import faults_of, of_three_weights, sound, write

GROUNDS = ("stops", "holds", "asks", "nothing_left", "waits")
EVERY = list(product((False, True), repeat=len(GROUNDS)))
TODAY = date(2026, 1, 2)


def kind(stops: bool, holds: bool, asks: bool, nothing_left: bool, waits: bool) -> str:
    if stops:
        return "professional"
    if holds:
        return "none yet"
    if asks:
        return "ask first"
    if nothing_left:
        return "none yet"
    return "test first" if waits else "finish"


def test_stop_comes_before_hold_before_question_before_test_before_finish() -> None:
    wanted = [kind(*so) for so in EVERY]
    everything = (1 << len(EVERY)) - 1
    sets = {name: sum(so[at] << place for place, so in enumerate(EVERY)) for at, name in enumerate(GROUNDS)}
    bits = by_kind(everything, **sets)
    flags = by_kind(
        np.ones(len(EVERY), np.bool), **{n: np.array([so[at] for so in EVERY]) for at, n in enumerate(GROUNDS)}
    )
    ones = [by_kind(1, **dict(zip(GROUNDS, map(int, so), strict=True))) for so in EVERY]
    symbols = {name: z3.Bool(name) for name in GROUNDS}
    formulas: Any = by_kind(z3.BoolVal(True), **symbols)
    for place, so in enumerate(EVERY):
        put = [(symbols[name], z3.BoolVal(it)) for name, it in zip(GROUNDS, so, strict=True)]
        for each in KINDS:
            assert bool(bits[each] >> place & 1) == bool(flags[each][place]) == bool(ones[place][each])
            assert bool(bits[each] >> place & 1) == (wanted[place] == each)
            assert z3.is_true(z3.simplify(z3.substitute(formulas[each], put))) == (wanted[place] == each)


def test_a_finish_ranks_by_ruling_out_then_points_then_conditions_then_order() -> None:
    some = list(product((0, 1), (-60, -1, 0, 1, 60), (0, 1, 5, 100), (0, 1, 63)))
    by_definition = sorted(some, key=lambda each: (each[0], -each[1], each[2], each[3]))
    assert sorted(some, key=lambda each: rank(*each)) == by_definition
    columns = [np.array(column, np.int32) for column in zip(*some, strict=True)]
    ranks = rank(*columns)
    assert ranks.dtype == np.int32
    assert [some[place] for place in np.argsort(ranks)] == by_definition
    for out, points, conditions, order in some:
        assert is_left(rank(out, points, conditions, order)) == (not out)
        assert place_of(rank(out, points, conditions, order)) == order


def test_numbers_in_columns_of_bits_add_up_and_compare() -> None:
    values, size = list(range(13)), 13
    everywhere = (1 << size) - 1
    digits = [(1 << digit, sum(1 << place for place in values if place >> digit & 1)) for digit in range(4)]
    first = total(0, digits, 6, everywhere)
    for number in (0, 1, 6, 7, 24, 40):
        second = total(7, [(number, 0b1010101010101)], 6, everywhere)
        for place in values:
            other = (7 + (number if place % 2 == 0 else 0)) % 64
            assert sum((column >> place & 1) << at for at, column in enumerate(second)) == other
            assert less(first, second, everywhere) >> place & 1 == (place < other)


# A rule base in which one question decides, and finishes tie and lose by each part of the rank.
MORE = """\
needs:
  depth: {kind: ask, decides: yes, says: Find out how thick it is., source: handbook, asks: thickness}
  sweep: {kind: prepare, decides: no, says: Sweep it., source: handbook}
limits:
  slight: {is: 30 mm, means: where thin ends, source: handbook}
rules:
  - id: ask.depth
    when: {thickness: may be above limit.thick, leak: not yes}
    then: {hold: depth}
    because: "It may be thick."
    source: handbook
  - id: ask.thick
    when: {thickness: above limit.thick}
    then: {refer: plumber}
    because: "It is {thickness} thick."
    source: handbook
  - id: ask.open
    judges: {film: open}
    when: {room: garage}
    then: {rule_out: yes, first: test_first}
    because: "No oil in a garage."
    source: handbook
  - id: ask.dense
    judges: {film: dense}
    when: {room: may be garage}
    then: {first: sweep, points: {cost: 2}}
    because: "Garages are swept."
    source: handbook
  - id: ask.thin
    judges: every finish
    when: {thickness: below limit.slight}
    then: {points: {cost: -1}}
    because: "It is thin."
    source: handbook
  - id: ask.test
    judges: {looks: flecked}
    when: {room: kitchen}
    then: {first: test_first, points: {cost: 3}}
    because: "Kitchens are tested."
    source: handbook
"""


@pytest.fixture(scope="module")
def reasoner(tmp_path_factory: pytest.TempPathFactory) -> Reasoner:
    return of_three_weights(tmp_path_factory.mktemp("rules"), MORE)


def said(reasoner: Reasoner, **facts: str) -> Advice:
    case = make_case(reasoner.base, {name: Statement(text) for name, text in facts.items()}, TODAY)
    return advise(reasoner, case, TODAY)


def test_every_reading_gives_the_kind_the_leader_and_the_standings_of_one_case(reasoner: Reasoner) -> None:
    base = reasoner.base
    judge, many = Judge(base, reasoner.program), ManyAnswers(base, reasoner.program)
    values = {
        "room": ("kitchen", "garage", "hall", "unknown"),
        "wetness": ("60 percent", "90 percent", "unknown"),
        "thickness": ("50 mm", "300 mm", "unknown"),
        "leak": ("yes", "no", "unknown"),
        "care": ("low", "high", "unknown"),
    }
    floors, wanted, kinds = [], [], set()
    for texts in product(*values.values()):
        facts = dict(zip(values, texts, strict=True))
        if facts["leak"] == "yes" and facts["wetness"] == "60 percent":
            continue  # a contradiction
        case = make_case(base, {name: Statement(text) for name, text in facts.items()}, TODAY)
        advice = conclude(reasoner, case, TODAY)
        memory, trace = reasoner.reason(case.facts)
        assert [each.finish for each in standings(base, memory, trace)] == [each.finish for each in advice.standings]
        now = Recommendation.of(advice.answer.kind, advice.answer.leading)
        alone = Floors(1, {name: [(value, 1)] for name, value in memory.items()})
        assert judge.recommend(alone, weights(base, memory)) == {now: 1}, facts
        floors.append({name: value for name, value in case.facts.items() if value.known})
        wanted.append(advice)
        kinds.add(now.kind)
    assert kinds == set(KINDS)
    assert {each.answer.fallback for each in wanted} >= {None, "paint"}
    answers = many.answer(columns_of(base, floors))
    order = [order_of(base)[finish] for finish in answers.finishes]
    for at, advice in enumerate(wanted):
        assert KINDS[answers.kind[at]] == advice.answer.kind
        ranks = rank(answers.out[:, at].astype(int), answers.total[:, at], answers.conditions[:, at].astype(int), order)
        assert [answers.finishes[place] for place in np.argsort(ranks)] == [each.finish for each in advice.standings]
        places = (answers.finish, answers.leading, answers.runner_up, answers.fallback)
        one = advice.answer
        names = [answers.finishes[each[at]] if each[at] != NOBODY else None for each in places]
        assert names == [one.finish, one.leading, one.runner_up, one.fallback]
        for standing in advice.standings:
            place = answers.finishes.index(standing.finish)
            assert VERDICTS[answers.verdicts[place, at]] == standing.verdict
            assert answers.reasons_out[place, at] == len(standing.ruled_out_by)
        left = sorted((each.total for each in advice.standings if each.verdict != "ruled out"), reverse=True)
        if len(left) > 1:
            assert answers.lead()[at] == left[0] - left[1]
        for standing in advice.standings:
            best = max(
                (each.total for each in advice.standings if each.verdict != "ruled out" and each != standing),
                default=None,
            )
            if best is not None:
                assert answers.behind(answers.finishes.index(standing.finish))[at] == best - standing.total
    held = set(answers.names("hold"))
    assert held
    assert {conclusion.kind for conclusion in held} == {"hold"}
    assert {conclusion.finish for conclusion in answers.names("rule_out", "paint")} <= {"paint"}


def test_one_question_first_is_told_with_what_each_answer_leads_to(reasoner: Reasoner) -> None:
    advice = said(reasoner, room="garage", wetness="60 percent", leak="no", care="low")
    answer = advice.answer
    assert (answer.kind, answer.finish, answer.waits_for) == ("ask first", None, ("ask",))
    (asked,) = answer.asks
    assert (asked.need, asked.fact) == ("depth", "thickness")
    clears, calls = asked.branches
    assert (clears.kind, clears.finish) == ("finish", "paint")
    assert (calls.kind, calls.finish) == ("professional", None)
    assert "101.6" in clears.values
    assert answer.sentence == (
        f"One question first: Find out how thick it is. If {clears.values}: {clears.sentence} "
        f"If {calls.values}: {calls.sentence}"
    )
    for branch, text in ((clears, "50 mm"), (calls, "300 mm")):  # what is told is what the advice then says
        then = said(reasoner, room="garage", wetness="60 percent", leak="no", care="low", thickness=text)
        assert then.answer.sentence == branch.sentence


def test_another_hold_or_a_stop_comes_before_the_question(reasoner: Reasoner) -> None:
    assert said(reasoner, room="hall", leak="yes").answer.kind == "professional"
    assert said(reasoner, thickness="50 mm", leak="no").answer.asks == ()


def test_the_least_bad_is_said_below_zero_points_and_not_at_zero(reasoner: Reasoner) -> None:
    known = {"wetness": "60 percent", "leak": "no", "thickness": "50 mm", "care": "low"}
    level = said(reasoner, room="hall", **known)
    assert (level.standings[0].total, level.answer.sentence) == (0, "Floor paint.")
    below = said(reasoner, room="hall", **{**known, "thickness": "20 mm"})
    assert [each.total for each in below.standings] == [-1, -1, -1]
    assert below.answer.sentence == "None suits well; the least bad is floor paint."


def test_parts_of_the_answer(reasoner: Reasoner) -> None:
    wanted = {
        Conclusion("refer", "plumber"): ("stops",),
        Conclusion("hold", "test_first"): ("holds",),
        Conclusion("hold", "depth"): ("asks",),
        Conclusion("rule_out", finish="oil"): ("out",),
        Conclusion("first", "test_first", "oil"): ("condition", "waits"),
        Conclusion("first", "sweep", "oil"): ("condition",),
        Conclusion("points", "cost", "oil", 2): ("points",),
        Conclusion("caution", "fumes"): (),
        Conclusion("finding", "damp"): (),
    }
    assert {each: parts(reasoner.base, each) for each in wanted} == wanted


def test_a_rank_has_room_for_so_many_points_and_no_more(reasoner: Reasoner) -> None:
    base, rules = reasoner.base, reasoner.program.rules
    assert has_room(base, rules)
    assert not has_room(base.model_copy(update={"importance": {"normal": 1 << 20}}), rules)
    assert not has_room(base.model_copy(update={"needs": dict.fromkeys(map(str, range(256)))}), rules)
    assert not has_room(base.model_copy(update={"finishes": dict.fromkeys(map(str, range(129)))}), rules)


@pytest.mark.parametrize(
    ("need", "what"),
    [
        ("{kind: ask, decides: yes, says: Ask., source: handbook}", "does not say what it `asks`"),
        ("{kind: ask, decides: yes, says: Ask., source: handbook, asks: thicknes}", "cannot be asked for"),
        ("{kind: ask, decides: yes, says: Ask., source: handbook, asks: budget_per_area}", "cannot be asked for"),
        ("{kind: test, decides: yes, says: Ask., source: handbook, asks: thickness}", "is no question"),
    ],
)
def test_a_question_names_a_fact_that_can_be_asked_for(tmp_path: Path, need: str, what: str) -> None:
    (fault,) = faults_of(write(sound(tmp_path), {"more.yaml": f"needs:\n  q: {need}\n"}))
    assert what in fault.what
