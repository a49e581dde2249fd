"""What must hold of every answer, on random floors: never a ruled-out finish, never a hazard lost, never a crash."""

from __future__ import annotations

from io import StringIO
from random import Random

import pytest
from rich.console import Console

from advisor.answer.step_cautions import step_cautions
from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice
from advisor.model.program import Program
from advisor.pages.advice_report import print_advice
from advisor.validation.loading import load_rulebase
from explanations.graph import untraced
from tests.draws import draws
from tests.floors import limits_of, random_case
from tests.referees import fixpoint

FLOORS = draws(30)


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@pytest.fixture(scope="module")
def answers(reasoner: Reasoner) -> list[tuple[Case, Advice]]:
    rng, limits = Random(11), limits_of(reasoner.program)
    cases = [Case(f"floor {i}", "", random_case(reasoner.base, rng, bounds=limits)) for i in range(FLOORS)]
    return [(case, advise(reasoner, case)) for case in cases]


def printed(advice: Advice) -> str:
    page = StringIO()
    print_advice(advice, Console(file=page, width=80))
    return " ".join(page.getvalue().split())


def test_no_ruled_out_finish_is_recommended_leads_or_follows(answers: list[tuple[Case, Advice]]) -> None:
    kinds = set()
    for _, advice in answers:
        kinds.add(advice.answer.kind)
        standing = {each.finish: each for each in advice.standings}
        for named in (advice.answer.finish, advice.answer.leading, advice.answer.runner_up, advice.answer.fallback):
            assert named is None or standing[named].verdict != "ruled out"
        for each in advice.standings:
            assert (each.verdict == "ruled out") == bool(each.ruled_out_by)
            assert (each.rank is None) == (each.verdict == "ruled out")
    assert len(kinds) >= 3  # the floors lead to different kinds of answer


def test_no_hazard_stop_or_hold_is_lost(reasoner: Reasoner, answers: list[tuple[Case, Advice]]) -> None:
    """What the naive fixpoint concludes of hazards, referrals and holds stands in the data, and in the text."""
    for case, advice in answers[:40]:
        memory = working_memory(reasoner.base, case.facts)
        concluded = conclusions(reasoner.program, fixpoint(reasoner.program, memory))
        left = [each.finish for each in advice.standings if each.verdict != "ruled out"]
        of_work = {name for finish in left for name in step_cautions(reasoner.base, memory, finish)}
        assert {h.caution for h in advice.hazards} == concluded["caution"] | of_work
        assert {r.referral for r in (*advice.stops, *advice.referrals)} == concluded["refer"]
        assert {h.need for h in advice.holds} == concluded["hold"]
        text = printed(advice)
        for hazard in advice.hazards:
            concerns = hazard.floor or (advice.answer.leading in hazard.finishes)
            in_full = " ".join(hazard.says.split()) in text  # so is what the finish asked about brings
            assert in_full or (not concerns and hazard.title in text)
        for stop in advice.stops:
            assert stop.who in text


def conclusions(program: Program, fired: set[str]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {"caution": set(), "refer": set(), "hold": set()}
    for rule in program.rules:
        if rule.name in fired:
            for conclusion in rule.conclusions:
                found.setdefault(conclusion.kind, set()).add(conclusion.name)
    return found


def test_a_stop_comes_before_any_finish(answers: list[tuple[Case, Advice]]) -> None:
    stopped = [advice for _, advice in answers if advice.stops]
    assert stopped
    for advice in stopped:
        assert advice.answer.kind == "professional"
        assert advice.answer.finish is None
        text = printed(advice)
        assert text.index("STOP. Call") < text.index("All finishes")


def test_a_recommendation_waits_for_nothing_that_decides(answers: list[tuple[Case, Advice]]) -> None:
    for _, advice in answers:
        leading = next((s for s in advice.standings if s.finish == advice.answer.leading), None)
        if advice.answer.kind == "finish":
            assert leading is not None
            assert not any(to_do.decides for to_do in leading.first)
            assert not advice.stops
            assert not advice.holds
        if advice.answer.kind == "test first":
            assert leading is not None
            assert any(to_do.decides for to_do in leading.first)


def test_points_add_up_and_rank(answers: list[tuple[Case, Advice]]) -> None:
    for _, advice in answers:
        for each in advice.standings:
            assert each.total == sum(points.weighted for points in each.points)
        left = [each.total for each in advice.standings if each.rank]
        assert left == sorted(left, reverse=True)


def test_what_to_ask_is_unknown_and_can_be_asked(reasoner: Reasoner, answers: list[tuple[Case, Advice]]) -> None:
    for case, advice in answers:
        for question in advice.ask_next:
            assert question.ask
            value = case.facts.get(question.fact)
            assert value is None or not value.known
        assert len({question.fact for question in advice.ask_next}) == len(advice.ask_next)


def test_every_explanation_traces_back_to_facts(reasoner: Reasoner, answers: list[tuple[Case, Advice]]) -> None:
    import networkx as nx

    from advisor.answer.picturing import advice_graph

    for _, advice in answers[:40]:
        graph = advice_graph(advice, reasoner.base)
        assert nx.is_directed_acyclic_graph(graph)
        assert untraced(graph) == []


def test_the_customers_weights_change_the_points(reasoner: Reasoner) -> None:
    from advisor.facts.case import read_fact

    def total(importance: str) -> dict[str, int]:
        given = {"who_works": "self", "wanted_look": "natural", "importance_look": importance}
        facts = {name: read_fact(reasoner.base, name, text, "test") for name, text in given.items()}
        return {s.finish: s.total for s in advise(reasoner, Case("f", "", facts)).standings}

    low, high = total("low"), total("high")
    assert low != high


def test_order_of_facts_and_of_rules_does_not_matter(reasoner: Reasoner) -> None:
    """Monotone and acyclic: the same conclusions whatever comes first."""
    from advisor.engines.rete import OneCase

    rng = Random(5)
    for _ in range(draws(4)):
        memory = working_memory(reasoner.base, random_case(reasoner.base, rng))
        expected = {rule.name for rule in OneCase(reasoner.program).infer(memory)}
        names = list(memory)
        rng.shuffle(names)
        rules = list(reasoner.program.rules)
        rng.shuffle(rules)
        topics = {topic: tuple(r for r in rules if r.topic == topic) for topic in reasoner.program.by_topic}
        shuffled = OneCase(Program(tuple(rules), topics))
        assert {rule.name for rule in shuffled.infer({name: memory[name] for name in names})} == expected
