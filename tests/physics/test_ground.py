from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.ground import WARMEST_DAY, damping_depth, ground_temperature
from advisor.physics.units import FOOT
from advisor.physics.validity import OutsideValidity


@pytest.mark.table("ground_wave")
def test_the_wave_damps_with_depth(row):
    depth = float(row["depth_m"])
    year = [ground_temperature(0.0, 1.0, depth, float(day)) for day in range(366)]
    assert max(year) == pytest.approx(float(row["amplitude_left"]), abs=6e-4)


def test_the_wave_lags_a_week_a_foot():
    # The lag per depth is tau/(2 pi d): 7.2 d/ft for 6e-7 m2/s (computed; Labs: about a week a foot).
    depth = 3 * FOOT
    warmest = max(range(366), key=lambda day: ground_temperature(10.0, 10.0, depth, float(day)))
    assert (warmest - WARMEST_DAY) / 3 == pytest.approx(7.2, abs=0.2)
    assert damping_depth(6e-7) == pytest.approx(2.454, abs=2e-3)


@given(st.floats(-30, 40), st.floats(0, 40), st.floats(0, 100), st.floats(0, 366))
def test_it_stays_within_the_surface_and_one_and_many_agree(agree, mean, swing, depth, day):
    assert abs(ground_temperature(mean, swing, depth, day) - mean) <= swing + 1e-9
    agree(ground_temperature, mean, swing, depth, day)
    agree(damping_depth, 6e-7)


@pytest.mark.parametrize(
    "call",
    [
        lambda: ground_temperature(50.0, 10.0, 1.0, 100.0),
        lambda: ground_temperature(10.0, -1.0, 1.0, 100.0),
        lambda: ground_temperature(10.0, 10.0, -1.0, 100.0),
        lambda: ground_temperature(10.0, 10.0, 1.0, 367.0),
        lambda: ground_temperature(10.0, 10.0, 1.0, 100.0, warmest_day=400.0),
        lambda: damping_depth(0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
