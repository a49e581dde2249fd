"""Many floors at once refuse and set aside what one floor stated by itself does."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from advisor.engines.columns import columns_of, value_at
from advisor.engines.contradicting import in_doubt, refused, told_by_complaints, with_implied
from advisor.facts import complaints, implied
from advisor.facts.complaints import COMPLAINTS
from advisor.facts.setting_aside import doubts
from advisor.model.contradictions import Between, asked, contradicted
from advisor.model.entry import UNKNOWN
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import Contradiction
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase
from tests.floors import random_case

BASE = load_rulebase()
CLASHING = sorted(
    {name for each in BASE.contradictions.values() for name in asked(BASE, each).facts} | {"dish_gain", "dish_hours"}
)


def floors(number_of: int, seed: int) -> list[dict[str, Value]]:
    """Floors that state little else than what may clash, so that much of it does."""
    rng, found = Random(seed), []
    for _ in range(number_of):
        drawn: dict[str, Value] = {}
        for name in CLASHING:
            drawn |= {each: value for each, value in random_case(BASE, rng, known=0.6).items() if each == name}
        found.append(drawn)
    return found


@pytest.mark.parametrize("seed", range(3))
def test_columns_refuse_and_doubt_as_one_floor_does(seed: int) -> None:
    some = floors(60, seed)
    columns = columns_of(BASE, some)
    no, aside = refused(BASE, columns), in_doubt(BASE, columns)
    for at, floor in enumerate(some):
        assert {name for name, flags in no.items() if flags[at]} == {
            name for name, each in BASE.contradictions.items() if each in contradicted(BASE, floor)
        }
        assert {name for name, flags in aside.items() if flags[at]} == {
            name for each in doubts(BASE, floor) for name in each.facts
        }
    assert no
    assert aside


@pytest.mark.parametrize("seed", range(3))
def test_columns_tell_of_other_facts_what_one_floor_does(seed: int) -> None:
    rng, asked_for = Random(seed), {name for each in BASE.facts.values() for name in each.implied_by}
    telling = sorted({*COMPLAINTS, *BASE.signs, *asked_for, *(n for n, each in BASE.facts.items() if each.implied_by)})
    some = []
    for _ in range(300):
        stated = [name for name in telling if rng.random() < 0.4]
        some.append({name: choice(rng.choice(BASE.facts[name].choices)) for name in stated})
    for columns, told in (
        (told_by_complaints(BASE, columns_of(BASE, some)), complaints.told_by_complaints),
        (with_implied(BASE, columns_of(BASE, some)), implied.with_implied),
    ):
        assert columns.facts.keys() <= {name for floor in some for name in told(BASE, floor, floor)}
        new = 0
        for at, floor in enumerate(some):
            expected = told(BASE, floor, floor)
            new += len(expected) - len(floor)
            for name, column in columns.facts.items():
                there = value_at(BASE.facts[name], column, at)
                assert there.choice == (expected[name].choice if name in expected else UNKNOWN)
        assert new


def test_floors_of_which_nothing_is_told_stay_as_they_are() -> None:
    some = columns_of(BASE, [{"pets": choice("yes")}, {}])
    assert told_by_complaints(BASE, some).facts == some.facts
    assert with_implied(BASE, some).facts == some.facts


def test_a_comparison_of_two_facts_takes_the_ends_that_make_it_sure() -> None:
    """By listing: above holds surely if every value of the one lies above every value of the other."""
    spans = [(low, high) for low in range(4) for high in range(low, 4)]
    words = {
        "above": lambda one, two: one > two,
        "at least": lambda one, two: one >= two,
        "below": lambda one, two: one < two,
        "at most": lambda one, two: one <= two,
    }
    for order, meets in words.items():
        for may, quantifier in (("", all), ("may be ", any)):
            when = {"time_in_use": (f"{may}{order} fact.slab_age",)}
            clash = asked(BASE, Contradiction.model_construct(when=when, says="x", test=None))
            assert clash.asserted == (() if may else ("time_in_use",))
            (between,) = clash.between
            for one in spans:
                for two in spans:
                    facts = {
                        "time_in_use": number(Interval(*map(float, one)), "day"),
                        "slab_age": number(Interval(*map(float, two)), "day"),
                    }
                    sure = quantifier(meets(x, y) for x in range(one[0], one[1] + 1) for y in range(two[0], two[1] + 1))
                    assert clash.holds(facts) == sure
                    assert between.given(facts["slab_age"]).holds(facts["time_in_use"]) == sure
                    assert between.mirrored().given(facts["time_in_use"]).holds(facts["slab_age"]) == sure


def test_a_contradiction_needs_every_fact_that_it_names() -> None:
    clash = asked(BASE, BASE.contradictions["used_longer_than_it_exists"])
    assert clash.between == (Between("time_in_use", "low", ">", "slab_age", "high"),)
    assert not clash.holds({"time_in_use": number(Interval(50.0, 50.0), "day")})
    sheet = asked(BASE, BASE.contradictions["fill_over_no_sheet"])
    assert not sheet.holds({"vapour_retarder": choice("absent")})
    assert sheet.holds({"vapour_retarder": choice("absent"), "fill_over_sheet": choice("yes")})
    assert np.array_equal(list(refused(BASE, columns_of(BASE, [{"vapour_retarder": choice("absent")}]))), [])
