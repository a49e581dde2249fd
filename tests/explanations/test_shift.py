"""What a new fact changes, on a few nodes: the rule that turns the answer is there, and nothing still stated falls."""

from __future__ import annotations

from random import Random
from typing import NamedTuple

import pytest

from advisor.asking.explaining import Explained
from advisor.errors import BadCase
from advisor.facts.case import say
from advisor.facts.statements import Statement
from advisor.model.grounding import unbound
from explanations.graph import ANSWER, Graph, of_kind
from explanations.shift import shift
from explanations.views import GIST
from tests.explained import demos, random_floors, the_reasoner

SAID = {
    "slab_humidity": ["60 %", "90 %"],
    "wanted_look": ["solid_colour", "natural_stone"],
    "must_be_reversible": ["yes"],
    "active_leak": ["yes"],
    "importance_cost": ["high"],
    "budget": ["300 USD"],
    "who_works": ["crew"],
}


class Shifted(NamedTuple):
    """A floor before and after something was said of it, and what that changes."""

    told: Explained
    other: Explained
    small: Graph[str]
    fact: str


@pytest.fixture(scope="module")
def floors() -> list[Shifted]:
    found = []
    for told in [*demos().values(), *random_floors(5)]:
        for fact, values in SAID.items():
            value = Random(f"{told.case.floor}{fact}").choice(values)
            try:
                case = say(told.base, told.case, {fact: Statement(value)}, told.today)
            except BadCase:
                continue
            other = Explained(the_reasoner(), case, told.today)
            found.append(Shifted(told, other, shift(told.graph, other.graph), fact))
    return found


def test_it_is_small_and_says_what_was_said(floors: list[Shifted]) -> None:
    for told, other, small, fact in floors:
        assert ANSWER in small
        anew = [node for node in of_kind(small, {"given"}) if small.nodes[node]["change"] != "same"]
        was, now = told.case.facts.get(fact), other.case.facts.get(fact)
        if now is not None and now.known and (was is None or was.shown != now.shown):
            assert f"fact:{fact}" in anew
        assert len(small) <= GIST


def test_a_fact_still_stated_never_falls(floors: list[Shifted]) -> None:
    for _, other, small, _ in floors:
        fallen = {node.removeprefix("fact:") for node in of_kind(small, {"given"})
                  if small.nodes[node]["change"] == "removed"}  # fmt: skip
        assert not fallen & {name for name, value in other.case.facts.items() if value.known}


def test_what_turns_the_answer_is_in_it(floors: list[Shifted]) -> None:
    """Where another finish leads or another kind of answer is given, a reason that only one of the two has is drawn."""
    turned = 0
    for told, other, small, _ in floors:
        was, now = told.advice.answer, other.advice.answer
        if (was.kind, was.leading) == (now.kind, now.leading):
            continue
        turned += 1
        moved = [node for node in of_kind(small, {"rule", "refer", "hold"}) if small.nodes[node]["change"] != "same"]
        weighed = [node for node in of_kind(small, {"given"}) if unbound(node)[0].startswith("fact:importance_")]
        assert moved or weighed, (told.case.floor, was.sentence, now.sentence)
    assert turned > 10
