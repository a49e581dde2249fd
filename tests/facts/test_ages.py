"""Ages bound each other, and "unknown" said by the customer is more than nothing said."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

import advisor
from advisor.asking.advice import advise
from advisor.asking.interview import interview_about
from advisor.engines.columns import NumberColumn, columns_of
from advisor.engines.computed_columns import working_columns
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.years import in_year
from advisor.validation.loading import load_rulebase

BASE = load_rulebase()
DAYS = 365.25  # in a year, as units.py has it
TILE = "country: united_states, on_floor: resilient_tile, exposure: indoors"
PAIRS = [(name, kind.unknown_means) for name, kind in BASE.facts.items() if kind.unknown_means]


def case_of(folder: Path, facts: str) -> Case:
    path = folder / "floor.yaml"
    path.write_text(f"facts: {{{facts}}}", encoding="utf-8")
    return read_case(path, BASE)


@pytest.mark.parametrize(
    ("facts", "least", "most"),
    [
        ("area: 20 m2", 0.0, 60000.0),
        ("building_year: 1924", 101 * DAYS, 60000.0),  # to the end of 2025, the year after it not counted
        ("building_year: 1924 to 1930", 95 * DAYS, 60000.0),
        ("building_year: 2026", 0.0, 60000.0),
        ("building_year: 2090", 0.0, 60000.0),
        ("time_in_use: 30 years", 30 * DAYS, 60000.0),
        ("time_in_use: 30 years, building_year: 2010", 30 * DAYS, 60000.0),
        ("time_in_use: 3 years, building_year: 2010", 15 * DAYS, 60000.0),
        ("slab_age: 90 days, building_year: 1924", 90.0, 90.0),  # an extension: what is said counts
    ],
)
def test_a_slab_is_no_younger_than_its_use_or_its_building(
    tmp_path: Path, facts: str, least: float, most: float
) -> None:
    given = case_of(tmp_path, facts).facts
    age = working_memory(BASE, given)["slab_age"]
    assert age.interval is not None
    assert age.interval.low == pytest.approx(least)
    assert age.interval.high == most
    column = working_columns(BASE, columns_of(BASE, [given]), {}).facts["slab_age"]
    assert isinstance(column, NumberColumn)
    ends = [float(np.broadcast_to(end, 1)[0]) for end in (column.low, column.high)]
    assert ends == [age.interval.low, age.interval.high]


@pytest.mark.parametrize(("fact", "companion"), PAIRS)
def test_unknown_says_that_it_was_sought(tmp_path: Path, fact: str, companion: str) -> None:
    assert case_of(tmp_path, f"{fact}: unknown").facts[companion].choice == "yes"
    assert companion not in case_of(tmp_path, "area: 20 m2").facts
    assert companion not in case_of(tmp_path, f"{fact}: {'1990' if 'year' in fact else '5 years'}").facts
    assert case_of(tmp_path, f"{fact}: unknown, {companion}: no").facts[companion].choice == "no"


def test_the_facts_that_a_customer_can_only_say_are_not_to_be_had() -> None:
    assert {fact for fact, _ in PAIRS} == {"building_year", "covering_age", "coating_age"}


def test_nobody_asked_the_customer_cannot_tell_and_both_sought_in_vain(tmp_path: Path) -> None:
    reasoner = Reasoner(BASE)
    answers = []
    for facts in (TILE, f"{TILE}, building_year: unknown", f"{TILE}, building_year: unknown, covering_age: unknown"):
        advice = advise(reasoner, case_of(tmp_path, facts))
        answers.append((advice.answer.kind, [each.need for each in advice.holds], [r.referral for r in advice.stops]))
        assert "asbestos_unknown" in [hazard.caution for hazard in advice.hazards]
    assert answers == [
        ("ask first", ["ask_building_year"], []),
        ("ask first", ["ask_covering_age"], []),
        ("professional", [], ["asbestos_laboratory"]),
    ]


def test_next_asks_no_more_for_what_is_not_to_be_had(tmp_path: Path) -> None:
    held = interview_about(BASE, case_of(tmp_path, f"{TILE}, building_year: unknown"), keep_declined=False)
    try:
        assert held.memory["building_year_not_to_be_found"].choice == "yes"
    finally:
        held.close()


# A tile of 48 years: put down in 1978 seen from 2026, in 1983 seen from 2031; tiles of 1980 and before are suspected
# (29 CFR 1926.1101). A house of 2022 has a slab of 3 years at least in 2026, of 8 in 2031.


@pytest.mark.parametrize(("year", "suspected"), [(2026, True), (2029, True), (2031, False)])
def test_ages_are_counted_to_the_year_of_the_advice(year: int, suspected: bool) -> None:
    adviser, today = advisor.load(), date(year, 6, 1)
    facts = {"country": "united_states", "on_floor": "resilient_tile", "covering_age": "48 years"}
    advice = adviser.advise(adviser.case(facts, today=today), today, certainty=False)
    assert ("asbestos_laboratory" in {stop.referral for stop in advice.stops}) is suspected


def test_a_buildings_age_is_counted_to_the_year_of_the_advice() -> None:
    for year, least in ((2026, 3), (2031, 8), (2020, 0)):
        base = in_year(BASE, year)
        case = make_case(base, {"building_year": Statement("2022")}, date(year, 6, 1))
        age = working_memory(base, case.facts)["slab_age"].interval
        assert age is not None
        assert age.low == pytest.approx(least * DAYS)
    assert in_year(BASE, 2026) is BASE
    assert in_year(in_year(BASE, 2031), 2026).limits == BASE.limits
