"""Measured facts that hardly go together, and tests out of date: named, explained, and not reasoned from."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.statements import Statement
from advisor.pages.advice_report import print_advice
from advisor.validation.loading import load_rulebase
from explanations.wording import label

BASE = load_rulebase()
REASONER = Reasoner(BASE)
TODAY = date(2026, 11, 25)

SOFT = {
    "sheet_and_much_emission": {"vapour_retarder": "present", "emission_rate": "12 lb"},
    "dry_sheet_and_wet_slab": {"plastic_sheet_test": "dry", "slab_humidity": "95 %"},
    "damp_sheet_and_dry_slab": {"plastic_sheet_test": "damp", "slab_humidity": "55 %"},
    "dry_slab_and_much_emission": {"slab_humidity": "60 %", "emission_rate": "14 lb"},
    "new_house_old_adhesive": {"building_year": "2015", "on_floor": "black_adhesive"},
}


def case_of(facts: dict[str, str], today: date = TODAY) -> Case:
    return make_case(BASE, {name: Statement(text) for name, text in facts.items()}, today)


@pytest.mark.parametrize("name", SOFT)
def test_facts_that_hardly_go_together_are_named_with_explanations_and_the_deciding_test(name: str) -> None:
    case = case_of(SOFT[name])
    advice = advise(REASONER, case)
    (unused,) = advice.set_aside
    assert set(unused.facts) == set(SOFT[name])
    assert len(unused.explanations) >= 2
    assert unused.test
    for fact in SOFT[name]:
        assert not case.facts[fact].known
        assert label("fact", fact) in unused.says
    # The answer does not rest on either: it is that of the floor of which neither is known.
    without = advise(REASONER, case_of({}))
    assert advice.trace == without.trace
    assert advice.answer == without.answer


def test_either_fact_alone_is_believed() -> None:
    for facts in SOFT.values():
        for name, text in facts.items():
            assert case_of({name: text}).facts[name].known
            assert not case_of({name: text}).set_aside


def test_a_young_slab_on_a_sheet_may_well_be_wet() -> None:
    facts = SOFT["sheet_and_much_emission"]
    assert not case_of({**facts, "slab_age": "60 days"}).set_aside
    assert case_of({**facts, "slab_age": "20 years"}).set_aside


def test_an_emission_worked_out_from_a_dish_is_doubted_by_its_weighing() -> None:
    stated = {"vapour_retarder": "present", "dish_gain": "9 g", "dish_hours": "64 h"}
    (aside,) = case_of(stated).set_aside
    assert set(aside.facts) == set(stated)


def test_a_hazard_does_not_go_away_with_the_doubted_fact() -> None:
    advice = advise(REASONER, case_of({**SOFT["new_house_old_adhesive"], "asbestos_suspected": "no"}))
    (caution,) = BASE.contradictions["new_house_old_adhesive"].caution
    hazard = next(each for each in advice.hazards if each.caution == caution)
    assert hazard.floor


def test_what_cannot_be_is_still_refused() -> None:
    with pytest.raises(BadCase, match="no sheet"):
        case_of({"vapour_retarder": "absent", "retarder_permeance": "0.05 perm"})


def test_a_test_counts_until_it_is_too_old(tmp_path: Path) -> None:
    path = tmp_path / "floor.yaml"
    path.write_text("facts:\n  slab_humidity: {is: 88 %, on: 2026-11-02, by: testing firm}\n")
    fresh = read_case(path, BASE, TODAY)
    assert fresh.facts["slab_humidity"].known
    assert "2026-11-02, testing firm" in fresh.facts["slab_humidity"].note
    old = read_case(path, BASE, date(2027, 6, 1))
    assert not old.facts["slab_humidity"].known
    (aside,) = old.set_aside
    assert "2026-11-02" in aside.says
    assert "60 days" in aside.says
    assert advise(REASONER, old).trace == advise(REASONER, case_of({})).trace


def test_an_old_test_no_longer_contradicts() -> None:
    stated = {"plastic_sheet_test": Statement("dry"), "slab_humidity": Statement("95 %", date(2026, 1, 1))}
    (aside,) = make_case(BASE, stated, TODAY).set_aside
    assert aside.facts == ("slab_humidity",)


def test_undated_and_ageless_facts_do_not_age() -> None:
    stated = {"slab_humidity": Statement("88 %"), "vapour_retarder": Statement("present", date(1990, 1, 1))}
    assert not make_case(BASE, stated, TODAY).set_aside


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("{is: 88 %, on: yesterday}", "not a date"),
        ("{is: 88 %, on: 2031-01-01}", "lies ahead"),
        ("{is: 88 %, at: 2026-01-01}", '"at"'),
        ("{on: 2026-01-01}", 'no "is"'),
        ("{is: [88, 89]}", "not a text"),
        ("{is: 188 %, on: 2026-11-02}", "outside what is possible"),
        ("[88 %]", "is given as a list"),
    ],
)
def test_a_malformed_statement_is_refused_by_name(tmp_path: Path, entry: str, said: str) -> None:
    path = tmp_path / "floor.yaml"
    path.write_text(f"facts:\n  slab_humidity: {entry}\n")
    with pytest.raises(BadCase, match="slab_humidity") as caught:
        read_case(path, BASE, TODAY)
    assert said in str(caught.value)
    assert "line 2" in str(caught.value)


def test_the_printed_advice_says_what_was_not_used() -> None:
    from io import StringIO

    from rich.console import Console

    out = StringIO()
    print_advice(advise(REASONER, case_of(SOFT["dry_sheet_and_wet_slab"])), Console(file=out, width=80))
    assert "does not rest on it" in out.getvalue()
    assert "What decides:" in out.getvalue()
