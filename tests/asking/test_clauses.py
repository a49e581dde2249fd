"""What a fact says after "if": a sentence of its own for the facts there, an open end told by the other end."""

from __future__ import annotations

import pytest

from advisor.asking.outlook_words import clause, reaching
from explanations.reading import Reading, measuring
from explanations.wording import group_of_texts
from tests.explained import the_reasoner


def test_every_clause_is_of_a_fact_that_is_asked_for() -> None:
    facts = the_reasoner().base.facts
    clauses = group_of_texts("en", "clauses")
    assert len(clauses) > 60
    for name, text in clauses.items():
        kind = facts[name]
        assert kind.ask
        assert ("{values}" in text) == (kind.type != "yes/no" and "other" not in kind.choices)
        assert ("{choice" in text) == (kind.type != "number")


def test_each_choice_reads_otherwise() -> None:
    """Every value of a choice has words of its own, and several values together have theirs."""
    facts = the_reasoner().base.facts
    for name in group_of_texts("en", "clauses"):
        kind = facts[name]
        if kind.type != "number":
            said = [clause(kind, name, "AS LISTED", [each]) for each in kind.choices]
            assert len(set(said)) == len(said), name
            assert not [each for each in said if "{" in each or "AS LISTED" in each], name
        if kind.type == "choice" and "other" not in kind.choices:  # "other" is the grammar's word for several, too
            assert "AS LISTED" in clause(kind, name, "AS LISTED", kind.choices[:2]), name


@pytest.mark.parametrize(
    ("fact", "values", "said"),
    [
        ("slab_humidity", "85 to 100 %", "the probes read over 85 %"),
        ("slab_humidity", "80 to 85 %", "the probes read 80 to 85 %"),
        ("surface_ph", "9 to 14", "the pH paper shows over 9"),
        ("active_leak", "yes", "water is coming in"),
        ("strong_acids", "often", "cleaning or battery acid gets on it often"),
    ],
)
def test_a_fact_as_it_reads_after_if(fact: str, values: str, said: str) -> None:
    choices = [] if "to" in values else [values]
    assert clause(the_reasoner().base.facts[fact], fact, values, choices) == said


def test_an_open_end_in_the_readers_units() -> None:
    kind = the_reasoner().base.facts["hot_water_temperature"]
    with measuring(Reading("us")):
        assert reaching(kind, "140 to 392 °F") == "over 140 °F"
    assert reaching(kind, "several things") == "several things"
