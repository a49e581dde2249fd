"""What can kill or ruin is said whatever else the case holds: at the top of the text, in the JSON and in the graph."""

from __future__ import annotations

import json
import re
from io import StringIO
from random import Random

import pytest
from rich.console import Console

from advisor.answer.advising import conclude
from advisor.answer.picturing import advice_graph
from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_fact
from advisor.model.advice import Advice
from advisor.model.contradictions import contradicted
from advisor.model.knowledge import RuleBase
from advisor.pages.advice_report import print_advice
from advisor.validation.loading import load_rulebase
from explanations.graph import ANSWER
from explanations.views import leading_part
from tests.draws import draws
from tests.floors import random_case

FLOORS = draws(4)  # random floors for each sign

# The fact that a case states, and the referral (which stops) or the caution that must follow.
STOPS = {
    "asbestos_suspected": ("yes", "asbestos_laboratory"),
    "lead_suspected": ("yes", "lead_laboratory"),
    "active_leak": ("yes", "leak_repair"),
    "water_pressure": ("yes", "drainage_contractor"),
    "crack_offset": ("yes", "structural_engineer"),
    "heaving_or_settling": ("yes", "structural_engineer"),
}
WARNINGS = {"fuel_engine_indoors": ("yes", "carbon_monoxide")}
# What says more than the sign itself, and would take its place: a laboratory's word, a crack that was measured.
SAYS_MORE = {
    "asbestos_suspected": {"asbestos_test"},
    "lead_suspected": {"lead_test"},
    "crack_offset": {"crack_offset_height", "crack_width"},
}
LATER = re.compile(r"^(Why|Leading so far|First, for|Runner-up|What to find out next|All finishes)", re.M)


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def reasoner(base: RuleBase) -> Reasoner:
    return Reasoner(base)


def floors_with(base: RuleBase, fact: str, value: str) -> list[Case]:
    """Random floors, from nearly unknown to nearly complete, with this fact stated."""
    rng = Random(fact)
    found: list[Case] = []
    while len(found) < FLOORS:
        facts = random_case(base, rng, known=rng.choice([0.0, 0.2, 0.6, 0.9]))
        facts = {name: given for name, given in facts.items() if name not in SAYS_MORE.get(fact, ())}
        facts[fact] = read_fact(base, fact, value, "test")
        if not contradicted(base, facts):
            found.append(Case("floor", "", facts))
    return found


def top_of_text(advice: Advice) -> str:
    """The printed advice up to where the reasons, the conditions and the table of finishes begin, in one line."""
    out = StringIO()
    print_advice(advice, Console(file=out, width=80, color_system=None))
    text = out.getvalue()
    later = LATER.search(text)
    assert later is not None, "no later section: the test would see the whole text as its top"
    return flat(text[: later.start()])


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("fact", STOPS)
def test_a_stop_is_at_the_top_everywhere(fact: str, base: RuleBase, reasoner: Reasoner) -> None:
    value, referral = STOPS[fact]
    entry = base.referrals[referral]
    assert entry.stop
    for case in floors_with(base, fact, value):
        advice = advise(reasoner, case)

        top = top_of_text(advice)
        assert "Stop" in top
        assert flat(f"Call {entry.who}") in top
        assert flat(entry.tell) in top

        record = json.loads(advice.model_dump_json())
        assert record["answer"]["kind"] == "professional"
        assert record["answer"]["finish"] is None
        assert entry.who in record["answer"]["sentence"]
        assert referral in {stop["referral"] for stop in record["stops"]}
        assert list(record).index("stops") < list(record).index("standings")

        graph = leading_part(advice_graph(advice, base), advice.answer.leading)
        assert graph.has_edge(f"refer:{referral}", ANSWER)
        assert graph.has_node(f"fact:{fact}")


@pytest.mark.parametrize("fact", WARNINGS)
def test_a_warning_is_at_the_top_everywhere(fact: str, base: RuleBase, reasoner: Reasoner) -> None:
    value, caution = WARNINGS[fact]
    entry = base.cautions[caution]
    assert entry.severity == "danger"
    for case in floors_with(base, fact, value):
        advice = advise(reasoner, case)

        assert flat(entry.says) in top_of_text(advice)

        record = json.loads(advice.model_dump_json())
        hazard = next(each for each in record["hazards"] if each["caution"] == caution)
        assert hazard["floor"]
        assert hazard["severity"] == "danger"
        assert list(record).index("hazards") < list(record).index("standings")

        graph = leading_part(advice_graph(advice, base), advice.answer.leading)
        assert graph.has_edge(f"caution:{caution}", ANSWER)
        assert graph.has_node(f"fact:{fact}")


def test_no_customer_can_weigh_a_warning_away(base: RuleBase, reasoner: Reasoner) -> None:
    """The same floor with every criterion of low importance: the same stops and hazards."""
    for case in floors_with(base, "asbestos_suspected", "yes")[:4]:
        plain = conclude(reasoner, case)
        low = {each.importance: read_fact(base, each.importance, "low", "test") for each in base.criteria.values()}
        weighed = conclude(reasoner, Case("floor", "", {**case.facts, **low}))
        assert {each.referral for each in weighed.stops} == {each.referral for each in plain.stops}
        assert {each.caution for each in weighed.hazards} == {each.caution for each in plain.hazards}
