from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.floor_tests import emission_rate
from advisor.physics.units import POUND_PER_1000FT2_DAY, US_PERM, celsius_from_fahrenheit
from advisor.physics.validity import OutsideValidity
from advisor.physics.vapour_source import Source, explain_dish_reading, steady_emission_bound

SLAB = 0.8 * US_PERM


@pytest.mark.parametrize(("temp_c", "pounds"), [(celsius_from_fahrenheit(58.0), 1.3), (23.0, 2.28)])
def test_bound_of_steady_diffusion(temp_c, pounds):
    # 4 in of 3.2 perm-in (ASHRAE Handbook of Fundamentals, older table, from memory); by hand.
    bound = steady_emission_bound(temp_c, 100.0, SLAB)
    assert bound / POUND_PER_1000FT2_DAY == pytest.approx(pounds, abs=0.06)


@pytest.mark.parametrize(
    ("pounds", "age", "water", "source"),
    [
        (1.0, 20.0, True, Source.DIFFUSION_SUFFICES),
        (5.0, 20.0, False, Source.CONSTRUCTION_WATER),
        (5.0, 4000.0, True, Source.LIQUID_WATER),
        (5.0, 20.0, True, Source.EITHER),
        (5.0, None, None, Source.EITHER),
        (5.0, None, False, Source.CONSTRUCTION_WATER),
        (5.0, 4000.0, None, Source.LIQUID_WATER),
        (5.0, 4000.0, False, Source.UNEXPLAINED),
    ],
)
def test_which_water_is_likelier(pounds, age, water, source):
    bound = steady_emission_bound(13.0, 100.0, SLAB)
    found = explain_dish_reading(pounds * POUND_PER_1000FT2_DAY, bound, age, 120.0, water)
    assert found.source is source
    assert found.ratio == pytest.approx(pounds * POUND_PER_1000FT2_DAY / bound)


@given(st.floats(0.0, 100.0), st.floats(1.0, 1000.0))
def test_a_reading_above_the_bound_is_never_put_down_to_diffusion(gain, hours):
    bound = steady_emission_bound(23.0, 100.0, SLAB)
    found = explain_dish_reading(emission_rate(gain, hours), bound, 30.0, 100.0, None)
    assert (found.source is Source.DIFFUSION_SUFFICES) == (found.ratio <= 1.0)


def test_one_and_many_agree(agree):
    agree(steady_emission_bound, 13.0, 100.0, SLAB, abs=0.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: steady_emission_bound(13.0, 120.0, SLAB),
        lambda: steady_emission_bound(13.0, 100.0, 0.0),
        lambda: explain_dish_reading(-1e-8, 1e-8, 30.0, 100.0, None),
        lambda: explain_dish_reading(1e-8, 0.0, 30.0, 100.0, None),
        lambda: explain_dish_reading(1e-8, 1e-8, -1.0, 100.0, None),
        lambda: explain_dish_reading(1e-8, 1e-8, 30.0, 0.0, None),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
