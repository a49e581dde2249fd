"""Stating a fact: one way, whoever states it; what is written down can be read again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

import advisor
from advisor.asking.explaining import Explained
from advisor.asking.revision import revise
from advisor.asking.typed_answers import say_typed
from advisor.errors import AdvisorError, BadCase, BadFile
from advisor.facts.case import Case, make_case, read_case, say
from advisor.facts.case_file import case_text, save_case
from advisor.facts.statements import Statement
from advisor.physics.bounds import Interval
from tests.explained import demos, the_reasoner

BASE = the_reasoner().base
TODAY = date(2026, 11, 27)
BLANK = Case("", "", {})
GARAGE = demos()["untested_garage"].case


def said(**facts: str) -> dict[str, Statement]:
    return {name: Statement(text) for name, text in facts.items()}


def test_one_by_one_or_all_at_once_comes_to_the_same_case() -> None:
    """Also where what comes later puts what came before in doubt, or takes the doubt away."""
    facts = said(plastic_sheet_test="dry", slab_humidity="97 %", area="40 m2", emission_rate="12 lb", pets="unknown")
    case = BLANK
    for name, statement in facts.items():
        case = say(BASE, case, {name: statement}, TODAY)
    assert case == make_case(BASE, facts, TODAY)
    assert set(case.doubted) == {"plastic_sheet_test", "slab_humidity"}
    assert not case.facts["plastic_sheet_test"].known
    better = say(BASE, case, said(slab_humidity="80 %"), TODAY)
    assert better.facts["plastic_sheet_test"].choice == "dry", "nothing speaks against it any more"
    assert not better.doubted


def test_an_old_test_stays_set_aside_whatever_else_is_said_until_it_is_made_anew() -> None:
    old = {"slab_humidity": Statement("70 %", date(2020, 1, 1), "lab")}
    case = say(BASE, make_case(BASE, old, TODAY), said(area="40 m2"), TODAY)
    assert [each.facts for each in case.set_aside] == [("slab_humidity",)]
    assert set(case.outdated) == {"slab_humidity"}
    assert "slab_humidity" not in {name for name, value in case.as_read.items() if value.known}
    fresh = say(BASE, case, said(slab_humidity="70 %"), TODAY)
    assert not fresh.set_aside
    assert fresh.facts["slab_humidity"].interval == Interval(70.0, 70.0)


def test_what_is_refused_changes_nothing_and_every_fault_is_told() -> None:
    case = make_case(BASE, said(slab_age="20 years"), TODAY)
    with pytest.raises(BadCase, match="longer than the slab exists"):
        say(BASE, case, said(time_in_use="80 years"), TODAY)
    with pytest.raises(BadCase) as caught:
        say(BASE, case, said(area="wet", on_floor="tiles", colour="red"), TODAY)
    assert len(caught.value.faults) == 3
    assert case == make_case(BASE, said(slab_age="20 years"), TODAY)


@pytest.mark.parametrize(
    ("typed", "aside"),
    [
        (["plastic_sheet_test=dry", "slab_humidity=97 %"], {"plastic_sheet_test", "slab_humidity"}),
        (["slab_humidity=70 % on 2020-01-01 by lab"], {"slab_humidity"}),
        (["slab_humidity=97 %"], set()),
    ],
)
def test_a_graph_or_a_reason_takes_what_is_said_as_a_revision_does(typed: list[str], aside: set[str]) -> None:
    revised = revise(the_reasoner(), GARAGE, typed, TODAY)
    drawn = Explained(the_reasoner(), say_typed(BASE, GARAGE, typed, TODAY), TODAY)
    assert drawn.case == revised.case
    alone = {"turns_alone": revised.after.turns_alone}  # single facts that turn the answer are sought for a graph only
    assert drawn.advice.model_copy(update=alone) == revised.after
    assert {name for each in drawn.case.set_aside for name in each.facts} == aside


@pytest.mark.parametrize(
    ("typed", "said_of_it"),
    [
        ("slab_humidity: 70 %", "Write slab_humidity='70 %'"),
        ("slab_humidity", "FACT=VALUE"),
        ("slab_humidity=", "FACT=VALUE"),
        ("slab_humidty=70 %", 'Did you mean "slab_humidity"'),
        ("slab_humidity=70 % on tuesday", "not a date"),
        ("slab_humidity=70 % by " + "x" * 81, "too long"),
        ("slab_humidity=70 % by \x1b[31m", r"U\+001B"),
        ("slab_humidity=70 % by \u202eevil", r"U\+202E"),
    ],
)
def test_what_is_not_a_new_fact_says_how_to_write_one(typed: str, said_of_it: str) -> None:
    with pytest.raises(BadCase, match=said_of_it):
        say_typed(BASE, GARAGE, [typed], TODAY)


def test_a_budget_in_other_money_is_a_range_and_the_rate_is_told_wherever_it_counts() -> None:
    case = make_case(BASE, said(budget="£1,000", area="50 m2", who_works="hired"), TODAY)
    rate = next(each for each in BASE.currencies.values() if "£" in each.names)
    assert case.facts["budget"].interval == Interval(1000 * rate.worth.low, 1000 * rate.worth.high)
    advice = Explained(the_reasoner(), case, TODAY).advice
    reasons = [each.because for standing in advice.standings for each in standing.ruled_out_by]
    assert any("rough rate of 2023 to 2025" in each for each in reasons)
    with pytest.raises(BadCase, match="I know USD, GBP, EUR, CAD, AUD"):
        make_case(BASE, said(budget="1000 CHF"), TODAY)
    dollars = make_case(BASE, said(budget="$1,000", area="50 m2"), TODAY)
    assert dollars.facts["budget"].shown == "$1,000"


@pytest.mark.parametrize("money", ["1000 GBP", "1000 gbp", "£1000", "1000 Pounds"])
def test_the_rate_is_told_however_the_money_is_written(money: str) -> None:
    facts = make_case(BASE, said(budget=money), TODAY).facts
    assert facts["budget"].rate
    assert "rough rate" in facts["budget"].shown


@pytest.mark.parametrize(
    ("fact", "typed", "read"),
    [
        ("state", "Texas", "other"),
        ("state", "New York", "other"),
        ("state", "CA", "california"),
        ("room", "office", "classroom"),
        ("room", "gym", "hall"),
        ("foot_traffic", "medium", "normal"),
        ("wanted_look", "flakes", "flecked"),
        ("hot_water", "no", "no"),
        ("urine", "no", "never"),
        ("hair_dye", "none", "never"),
        ("floor_machine_before", "no", "never"),
    ],
)
def test_what_people_say_for_a_value_is_read(fact: str, typed: str, read: str) -> None:
    assert make_case(BASE, said(**{fact: typed}), TODAY).facts[fact].choice == read


def test_of_several_readings_the_highest_counts_where_the_vocabulary_says_so() -> None:
    case = make_case(BASE, said(slab_humidity="78, 80, 84 %", slab_temperature="15, 18 C"), TODAY)
    assert case.facts["slab_humidity"].interval == Interval(84.0, 84.0)
    assert "the highest counts" in case.facts["slab_humidity"].shown
    assert case.facts["slab_temperature"].interval == Interval(15.0, 18.0)


@given(st.text(max_size=60), st.text(max_size=60))
def test_whatever_was_typed_is_written_so_that_it_reads_back(floor: str, by: str) -> None:
    case = Case(floor, floor, {}, {"area": Statement(floor, TODAY, by)})
    content = yaml.load(case_text(case), Loader=yaml.BaseLoader)
    assert content["floor"] == content["note"] == content["facts"]["area"]["is"] == floor
    assert content["facts"]["area"].get("by", "") == by


ODD = ["\x7f", "\x92", "\x00", "\x1b", "\ufffe", "\u202e", "\u2028"]


@pytest.mark.parametrize("character", [*ODD, "\\", '"', ":", "é", "😀"])
def test_a_saved_case_is_read_again_or_says_which_character_cannot_be(tmp_path: Path, character: str) -> None:
    path = tmp_path / "floor.yaml"
    save_case(replace(GARAGE, floor=f"a{character}b"), path)
    if character not in ODD:
        assert read_case(path, BASE, TODAY).floor == f"a{character}b"
    else:
        with pytest.raises(BadFile, match=rf"U\+{ord(character):04X}"):
            read_case(path, BASE, TODAY)


def test_no_message_carries_what_a_terminal_would_obey() -> None:
    for text in ("\x1b[31mbad", "\u202ebad", "\ud800"):
        with pytest.raises(BadCase) as caught:
            make_case(BASE, {"area": Statement(text)}, TODAY)
        assert text not in str(caught.value)
        assert "\\u" in str(caught.value)


def test_a_file_of_ones_own_is_not_written_over(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("facts: {pets: yes}\n")
    with pytest.raises(AdvisorError, match="of your own"):
        save_case(GARAGE, own)
    assert own.read_text() == "facts: {pets: yes}\n"
    save_case(GARAGE, tmp_path / "new.yaml")
    save_case(GARAGE, tmp_path / "new.yaml")  # its own it renews


def test_what_a_room_implies_is_not_asked_and_what_is_said_counts_before_it() -> None:
    adviser = advisor.load()
    patio = adviser.case({"room": "patio"})
    assert (patio.facts["exposure"].choice, patio.facts["slab_position"].choice) == ("open_air", "on_ground")
    assert "patio" in patio.facts["exposure"].note
    assert not {"exposure", "slab_position"} & patio.stated.keys()
    roofed = adviser.case({"room": "patio", "exposure": "covered_outdoors", "slab_position": "unknown"})
    assert roofed.facts["exposure"].choice == "covered_outdoors"
    assert not roofed.facts["slab_position"].known
    moved = say(adviser.base, patio, {"room": Statement("garage")}, TODAY)
    assert not {"exposure", "slab_position"} & moved.facts.keys()
    asked = adviser.next_question(adviser.case({"room": "patio", "on_floor": "bare", "who_works": "self"}))
    assert asked is not None
    assert asked.fact not in ("exposure", "slab_position")
