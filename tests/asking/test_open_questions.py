"""What a rule waits for, for one floor and in columns, and what may be asked: on a small rule base."""

from __future__ import annotations

from datetime import date
from itertools import product

import pytest

from advisor.answer.judging import judge_of
from advisor.answer.many_answers import NOBODY, ManyAnswers
from advisor.answer.ranking import Recommendation
from advisor.asking.advice import advise
from advisor.asking.open_questions import waited_for, weight_of
from advisor.asking.proof import certain
from advisor.engines.columns import columns_of
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.program import Conclusion
from advisor.survey.many_asking import ask_first
from tests.rule_folders import of_three_weights

TODAY = date(2026, 1, 2)
MORE = """\
facts:
  tested: {type: yes/no, ask: Was it tested, find_out: Test, why: Doubt, change: test}
  dry_test: {type: yes/no, ask: Is it dry, find_out: Test, why: Doubt, change: test}
priors:
  tested: {likely: {yes: 1, no: 1}, effort: ask, after: [leak, room], source: handbook}
efforts:
  ask: {cost: 1, means: you ask}
  look: {cost: 2, means: you look}
rules:
  - id: more.tested
    when: {tested: yes, dry_test: may be no}
    then: {hold: test_first}
    because: "It was tested and may be wet."
    source: handbook
  - id: more.garage
    when: {room: garage, dry_test: may be no}
    then: {refer: plumber}
    because: "Garages leak."
    source: handbook
  - id: more.spread
    when: {wetness: may be above limit.wet}
    then: {caution: fumes}
    because: "It holds {wetness}."
    source: handbook
  - id: more.deep
    when: {thickness: "at least limit.thick"}
    then: {refer: plumber}
    because: "It is deep."
    source: handbook
  - id: more.open
    judges: {film: open}
    when: {thickness: unknown, wetness: [above limit.thin, below limit.wet]}
    then: {points: {cost: -3}}
    because: "It is neither wet nor dry."
    source: handbook
limits:
  thin: {is: 20 percent, means: where dry ends, source: handbook}
"""


@pytest.fixture(scope="module")
def reasoner(tmp_path_factory: pytest.TempPathFactory) -> Reasoner:
    return of_three_weights(tmp_path_factory.mktemp("rules"), MORE)


def case_of(reasoner: Reasoner, **facts: str) -> Case:
    return make_case(reasoner.base, {name: Statement(text) for name, text in facts.items()}, TODAY)


def test_how_much_each_conclusion_can_move_the_answer() -> None:
    kinds = ("refer", "hold", "rule_out", "first", "points", "finding", "caution")
    assert [weight_of(Conclusion(kind, "x")) for kind in kinds] == [4, 4, 4, 2, 1, 1, 1]
    assert [weight_of(Conclusion("points", "x", "y", points)) for points in (-5, -1, 2)] == [5, 1, 2]


def test_the_survey_asks_for_the_fact_that_rules_of_most_weight_wait_for(reasoner: Reasoner) -> None:
    base, judge, many = reasoner.base, judge_of(reasoner), ManyAnswers(reasoner.base, reasoner.program)
    values = {
        "room": ("kitchen", "hall", "unknown"),
        "wetness": ("10 percent", "75 percent", "90 percent", "unknown", "10 to 60 percent"),
        "thickness": ("50 mm", "4 in", "unknown"),
        "leak": ("yes", "no", "unknown"),
        "tested": ("yes", "unknown"),
        "dry_test": ("no", "unknown"),
    }
    floors, wanted = [], []
    for texts in product(*values.values()):
        given = dict(zip(values, texts, strict=True))
        if given["leak"] == "yes" and given["wetness"] in ("10 percent", "10 to 60 percent"):
            continue  # a contradiction
        facts = case_of(reasoner, **given).facts
        memory, trace = reasoner.reason(facts)
        found = {fact.name for fact in trace.facts if fact.origin == "found"}
        ruled_out = {c.finish for firing in trace.firings for c in firing.conclusions if c.kind == "rule_out"}
        _, weight = waited_for(judge, memory, found, ruled_out)
        best = max(weight, key=lambda fact: (weight[fact], -list(base.facts).index(fact)), default=None)
        wanted.append(list(base.facts).index(best) if best else NOBODY)
        floors.append({name: value for name, value in facts.items() if value.known})
    working = many.working(columns_of(base, floors))
    asked = ask_first(many, working, many.conclude(working, many.cases.infer(working)))
    assert asked.tolist() == wanted
    assert len(set(wanted)) >= 5


def test_under_a_stop_no_test_is_asked_for_and_other_things_are(reasoner: Reasoner) -> None:
    free = advise(reasoner, case_of(reasoner, leak="no", tested="yes", thickness="50 mm"), TODAY)
    stopped = advise(reasoner, case_of(reasoner, leak="yes", tested="yes", thickness="50 mm"), TODAY)
    assert not free.stops
    assert stopped.stops
    assert "dry_test" in {question.fact for question in free.ask_next}
    asked = {question.fact for question in stopped.ask_next}
    assert "dry_test" not in asked
    assert asked
    garage = advise(reasoner, case_of(reasoner, leak="no", room="garage", thickness="50 mm"), TODAY)
    assert garage.stops
    assert "dry_test" in {question.fact for question in garage.ask_next}  # the stop itself waits for it


def test_a_question_has_its_turn_once_any_of_what_it_comes_after_is_known(reasoner: Reasoner) -> None:
    for facts, wanted in (
        ({}, False),
        ({"leak": "no"}, True),
        ({"room": "hall"}, True),
        ({"leak": "no", "room": "hall"}, True),
    ):
        memory = working_memory(reasoner.base, case_of(reasoner, **facts).facts)
        assert has_its_turn(reasoner.base, "tested", memory) == wanted


def test_a_floor_that_contradicts_itself_refutes_no_proof(reasoner: Reasoner) -> None:
    """Only a leak would change the answer, and so dry a floor has none."""
    facts = {"wetness": "60 percent", "thickness": "50 mm", "room": "hall", "tested": "no", "care": "normal"}
    dry = working_memory(reasoner.base, case_of(reasoner, **facts).facts)
    assert certain(judge_of(reasoner), dry).recommendation == Recommendation("finish", "paint")
    wet = working_memory(reasoner.base, case_of(reasoner, **{**facts, "wetness": "75 percent"}).facts)
    assert certain(judge_of(reasoner), wet).recommendation is None


def test_an_estimate_that_spans_all_that_is_plausible_is_not_told(reasoner: Reasoner) -> None:
    advice = advise(reasoner, case_of(reasoner), TODAY)
    (reason,) = (each.because for hazard in advice.hazards for each in hazard.reasons if each.rule == "more.spread")
    assert reason == "It holds unknown."


def test_the_judge_of_a_reasoner_is_made_once(reasoner: Reasoner) -> None:
    other = Reasoner(reasoner.base)
    assert judge_of(reasoner) is judge_of(reasoner)
    assert judge_of(other) is not judge_of(reasoner)
