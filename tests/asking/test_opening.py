"""The opening questions: what an answer says, which are left out, their order, and how an interview ends."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import pytest

from advisor.answer.judging import judge_of
from advisor.asking.interview import OPENING, Interview
from advisor.asking.opening import example_of, left_out, read_opening, taken_for
from advisor.asking.screens import screen_of
from advisor.errors import BadCase
from advisor.facts.case import make_case, read_fact
from advisor.facts.statements import Statement
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import read_document
from advisor.validation.checks.conversation import check_conversation
from advisor.validation.kept_entries import lost_entries
from explanations.reading import Reading, measuring
from explanations.wording import label
from tests.answer.test_judging import BASE, REASONER
from tests.asking_trials import trials
from tests.draws import draws
from tests.interviewed import hold

TODAY = date(2026, 11, 27)


def said(question: str, text: str, *stated: str) -> dict[str, str]:
    before = {name: Statement("unknown") for name in stated}
    found = read_opening(BASE, BASE.conversation[question], text, TODAY, before)
    return {name: each.text for name, each in found.items()}


@pytest.fixture
def held() -> Iterator[Interview]:
    interview = Interview(REASONER, judge_of(REASONER), TODAY)
    yield interview
    interview.close()


def test_every_answer_of_the_data_can_be_said_to_its_fact() -> None:
    for opening in BASE.conversation.values():
        assert opening.answers or opening.facts or opening.fact
        for sets in (opening.rest, *(each.sets for each in opening.answers)):
            for name, text in sets.items():
                assert read_fact(BASE, name, text, name).known, (name, text)
        for each in opening.answers:
            assert opening.several or not opening.rest
            assert set(each.leaves) <= opening.rest.keys()


def test_no_answer_contradicts_itself() -> None:
    """What an answer sets, and what the question then takes for the rest, is a floor that there can be."""
    for opening in BASE.conversation.values():
        typed = [str(place) for place in range(1, 1 + len(opening.answers))]
        for text in typed + (["none"] if opening.several else []):
            make_case(BASE, read_opening(BASE, opening, text, TODAY), TODAY)


def test_every_answer_is_picked_by_its_number_and_by_each_of_its_words() -> None:
    for name, opening in BASE.conversation.items():
        for place, each in enumerate(opening.answers, start=1):
            by_number = said(name, str(place))
            for word in (each.says, *each.also):
                if "," not in word and " and " not in word:
                    assert said(name, word) == by_number, (name, word)


def test_a_place_in_words_or_by_number() -> None:
    assert said("country", "us") == {"country": "united_states", "state": "other"} == said("country", "2")
    for name, means in (("Germany", "european_union"), ("Czech Republic", "european_union"), ("Canada", "elsewhere")):
        assert read_fact(BASE, "country", said("country", name)["country"], "").choice == means
    assert said("country", "Texas") == said("country", "new york") == said("country", "us")
    for odd in ("Mars", "\ud800"):
        with pytest.raises(BadCase, match="none of these"):
            said("country", odd)
    with pytest.raises(BadCase):
        said("country", "6")


def test_a_room_by_any_word_that_is_read_for_it() -> None:
    assert said("place", "bedroom") == said("place", "hall") == said("place", "1")
    assert said("place", "Hall.") == said("place", "1")  # a word of the list, however it is typed
    assert said("place", "kennel") == said("place", "rooms for animals")
    assert said("place", "brewery")["setting"] == "business"
    assert said("place", "office") == {
        "room": "office"
    }  # no answer of the list sets it: where it lies is asked by itself
    with pytest.raises(BadCase, match="none of these"):
        said("place", "elsewhere")


def test_of_several_answers_what_is_not_named_counts_as_no_and_what_was_said_stays() -> None:
    few = said("people", "dogs")
    assert (few["pets"], few["sensitive_people"]) == ("yes", "no")
    assert "urine" not in few  # with animals it is asked for by itself
    assert said("people", "none")["urine"] == "never"
    assert "sensitive_people" not in said("people", "none", "sensitive_people")
    assert said("seen", "1 4") == said("seen", "white powder, peeled")


def test_facts_told_in_a_line_go_where_they_fit() -> None:
    assert said("means", "2000 USD, 7 days") == {"budget": "2000 USD", "days_shut": "7 days"}
    assert said("means", "7 days") == {"days_shut": "7 days"}
    assert said("size", "don't know, 1998") == {"area": "unknown", "building_year": "1998 year"}
    room = said("size", "20 x 22 ft")["area"]
    area = read_fact(BASE, "area", room, "").interval
    assert area is not None
    assert area.low == pytest.approx(440 * 0.09290304, abs=0.01)  # the foot of 1959
    assert said("size", "5 m x 4 m + 3 x 3 m")["area"] == "29 m2"
    with pytest.raises(BadCase, match="cannot place"):
        said("means", "a lot")
    assert said("means", "3000, 10") == {"budget": "3000 USD", "days_shut": "10 days"}  # it asks in days


def test_what_is_on_the_floor_is_told_in_plain_words_and_typed_so_or_as_the_trade_says(held: Interview) -> None:
    screen, opening = screen_of(held, f"{OPENING}on_floor"), BASE.conversation["on_floor"]
    values = BASE.facts["on_floor"].choices
    assert [each.typed for each in screen.choices] == list(values)
    assert opening.says.keys() <= set(values)
    for place, (value, choice) in enumerate(zip(values, screen.choices, strict=True), start=1):
        assert choice.says == opening.says.get(value, label("value", value))
        assert said("on_floor", str(place)) == said("on_floor", value) == {"on_floor": value}
    plain = {"vinyl": "resilient_tile", "black glue": "black_adhesive", "nothing": "bare", "epoxy": "thick_coating"}
    for typed, value in plain.items():
        assert read_fact(BASE, "on_floor", said("on_floor", typed)["on_floor"], "").choice == value


def test_an_answer_in_part_leaves_the_rest_to_be_told_once_more() -> None:
    size, partly = BASE.conversation["size"], {"area": Statement("40 m2")}
    assert left_out(size, partly) == ("building_year", "slab_age")
    assert left_out(size, {}) == ()  # nothing of it was answered yet
    assert left_out(size, {**partly, "slab_age": Statement("unknown")}) == ()  # who does not know is not asked again
    told = read_opening(BASE, size, "1998, 25 years", TODAY, partly)
    assert {name: each.text for name, each in told.items()} == {"building_year": "1998 year", "slab_age": "25 years"}
    assert read_opening(BASE, size, "area=30 m2", TODAY, partly)["area"].text == "30 m2"


@pytest.mark.parametrize(
    ("reader", "size", "means"),
    [
        (Reading("us", "USD"), "20 x 22 ft, 1998, 25 years", "2000 USD, 7 days"),
        (Reading("si", "GBP", 1.3), "6 x 7 m, 1998, 25 years", "2000 GBP, 7 days"),
        (Reading("si", "EUR", 1.1), "6 x 7 m, 1998, 25 years", "2000 EUR, 7 days"),
    ],
)
def test_an_example_is_in_the_readers_own_units_and_money_and_can_be_typed(
    reader: Reading, size: str, means: str
) -> None:
    for name, example in (("size", size), ("means", means)):
        opening = BASE.conversation[name]
        with measuring(reader):
            assert example_of(opening, opening.facts) == example
            assert example_of(opening, opening.facts[-1:]) == example.split(", ")[-1]
        assert [*read_opening(BASE, opening, example, TODAY)] == [*opening.facts]


def test_a_patio_is_not_asked_about_heating_in_its_slab() -> None:
    document: Any = read_document(Path(__file__).parent.parent / "scenarios" / "adviser.yaml").content
    given = next(each["given"] for each in document["scenarios"] if each["name"].startswith("Stamped patio"))
    assert "floor_heating" not in given
    patio = hold(REASONER, given, TODAY)
    assert "floor_heating" not in (*patio.asked, patio.helps)


def test_not_knowing_never_says_that_a_year_was_sought_in_vain() -> None:
    """Only asked by itself does "don't know" of a building's year mean that it is not to be had, which stops a job."""
    assert "building_year" not in said("size", "don't know")
    assert said("size", "don't know")["area"] == "unknown"


def test_what_is_implied_is_not_asked(held: Interview) -> None:
    held.tell(f"{OPENING}place", read_opening(BASE, BASE.conversation["place"], "cafe", TODAY))
    asked = []
    while (coming := held.upcoming()).opening:
        asked.append(coming.opening)
        opening = BASE.conversation[coming.opening]
        held.tell(OPENING + coming.opening, read_opening(BASE, opening, "don't know", TODAY, held.case.stated))
    assert "whose" not in asked  # a cafe is a business
    assert "place" not in asked


def test_the_questions_come_in_the_order_of_the_file_in_every_branch() -> None:
    """Held twice, the same floor is asked the same; and of any two floors, what both are asked at first is in order."""
    order = list(BASE.conversation)
    drawn = trials(judge_of(REASONER), Random(3), draws(3), usual=True, hidden=0.0)
    for trial in drawn:
        floor = {name: value.choice or value.shown for name, value in trial.floor.items()}
        first, second = (hold(REASONER, floor, TODAY) for _ in range(2))
        assert first.asked == second.asked
        opened = [each.removeprefix(OPENING) for each in first.asked if each.startswith(OPENING)]
        assert opened == sorted(opened, key=order.index)
        assert opened[:2] == [each for each in order if not BASE.conversation[each].when][:2]
        plain = [each for each in first.asked if not each.startswith(OPENING)]
        assert all(BASE.facts[each].change != "test" for each in plain)  # what only a test shows is named, not asked
        assert len(first.asked) <= 30  # nine in ten take no more than 20: python -m tests.benchmarks.interview


def test_an_interview_ends_with_its_reason() -> None:
    tiles = {"on_floor": "black_adhesive", "building_year": "1968 year", "country": "united_states", "room": "kitchen"}
    assert hold(REASONER, {**tiles, "exposure": "indoors", "slab_position": "on_ground"}, TODAY).ends == "stop"


def test_taking_an_opening_answer_back_takes_all_of_it_back(held: Interview) -> None:
    held.answer("pets", Statement("yes"))
    before = dict(held.case.stated)
    held.tell(f"{OPENING}people", read_opening(BASE, BASE.conversation["people"], "none", TODAY, before))
    undone = held.undo()
    assert undone is not None
    assert undone[0] == f"{OPENING}people"
    assert held.case.stated == before


def test_an_overlay_changes_no_meaning_of_an_answer_and_tells_no_hazard_less() -> None:
    def refused(**sections: object) -> list[str]:
        above = BASE.model_copy(update=sections)
        return [str(fault.what) for fault in lost_entries(BASE, above, lambda *_: "shop")]

    seen = BASE.conversation["seen"]
    mild = seen.model_copy(update={"rest": {**seen.rest, "post_tensioned": "no"}})
    assert refused(conversation={**BASE.conversation, "seen": mild})
    turned = seen.model_copy(update={"ask": "What do you not see?"})
    assert refused(conversation={**BASE.conversation, "seen": turned})
    tendons = BASE.cautions["tendons"]
    for weaker in ({"usual": True}, {"hangs_on": ("area",)}):
        assert refused(cautions={**BASE.cautions, "tendons": tendons.model_copy(update=weaker)})
    assert not refused()


def test_a_wrong_entry_of_the_conversation_is_named() -> None:
    country = BASE.conversation["country"]
    for answers in (
        (country.answers[0].model_copy(update={"sets": {"countri": "united_states"}}),),
        (country.answers[0].model_copy(update={"sets": {"country": "mars"}}),),
    ):
        altered = {"country": country.model_copy(update={"answers": answers})}
        faults = list(check_conversation(BASE.model_copy(update={"conversation": altered}), lambda *_: "here"))
        assert faults
    assert not list(check_conversation(BASE, lambda *_: "here"))


def test_a_piece_may_name_its_fact() -> None:
    assert said("size", "slab_age=25 years; area=20 x 22 ft") == {"slab_age": "25 years", "area": "440 ft2"}
    with pytest.raises(BadCase, match="building_year"):
        said("size", "building_year=long ago")


def test_a_sentence_that_speaks_of_one_answer_is_taken_for_it_and_told() -> None:
    """As people answer a plain question; what denies, or speaks of two answers, is asked again."""
    work, place, look = (BASE.conversation[each] for each in ("work", "place", "look"))
    for opening, typed, fact, value in (
        (work, "We will get a company to do it.", "who_works", "hired"),
        (place, "it's the new living room", "room", "living_area"),
        (look, "concrete look", "wanted_look", "natural"),
    ):
        said = read_opening(BASE, opening, typed, TODAY)
        assert said[fact].text == value
        assert taken_for(opening, typed), typed
        assert not taken_for(opening, "1")
    for opening, typed, says in (
        (work, "not a company", "none of these"),
        (look, "anything but natural", "none of these"),
        (place, "the living room and the shower", "more than one"),
    ):
        with pytest.raises(BadCase) as refused:
            read_opening(BASE, opening, typed, TODAY)
        assert says in refused.value.faults[0].what


def test_a_new_slab_is_said_so() -> None:
    said = read_opening(BASE, BASE.conversation["size"], "45 m2, 2026, new", TODAY)
    value = read_fact(BASE, "slab_age", said["slab_age"].text, "slab_age")
    assert value.interval == Interval(0.0, 365.25)


def test_money_with_its_sign_before_it_is_read_as_it_is_said() -> None:
    for typed in ("$2,500", "$2500, 7 days", "2500, a week"):
        said = read_opening(BASE, BASE.conversation["means"], typed, TODAY)
        assert read_fact(BASE, "budget", said["budget"].text, "budget").interval == Interval(2500.0, 2500.0)


@pytest.mark.parametrize(
    ("typed", "dollars", "days"),
    [
        ("3000 USD and 14 days", 3000.0, 14.0),
        ("$3000 and two weekends", 3000.0, 4.0),
        ("3k, a week", 3000.0, 7.0),
        ("3k and 10 days", 3000.0, 10.0),
        ("$2.5k and a weekend", 2500.0, 2.0),
    ],
)
def test_plain_answers_to_money_and_days_are_read(typed: str, dollars: float, days: float) -> None:
    said = read_opening(BASE, BASE.conversation["means"], typed, TODAY)
    for name, wanted in (("budget", dollars), ("days_shut", days)):
        assert read_fact(BASE, name, said[name].text, name).interval == Interval(wanted, wanted)


def test_what_belongs_together_by_and_is_not_taken_apart() -> None:
    told = said("size", "slab_age=1 year and 3 months, 1998")
    age = read_fact(BASE, "slab_age", told["slab_age"], "").interval
    assert age is not None
    assert age.low == pytest.approx(365.25 * 1.25)
    span = said("means", "between 2000 and 3000 USD, a week")["budget"]
    assert read_fact(BASE, "budget", span, "").interval == Interval(2000.0, 3000.0)
    assert read_fact(BASE, "budget", "2 to 3k USD", "").interval == Interval(2000.0, 3000.0)


def test_a_bare_sum_is_the_readers_own_money() -> None:
    for currency in ("USD", "GBP", "EUR"):
        with measuring(Reading("si", currency, 1.2)):
            assert said("means", "3000, 7 days")["budget"] == f"3000 {currency}"
