from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import mixing
from advisor.physics.units import celsius_from_fahrenheit
from advisor.physics.validity import OutsideValidity


@pytest.mark.table("pot_life")
def test_pot_life_by_the_rule_of_thumb(row):
    warmth = celsius_from_fahrenheit(float(row["temp_f"]))
    assert mixing.pot_life(100.0, 25.0, warmth, 10.0) / 100.0 == pytest.approx(float(row["factor"]), abs=0.006)


def test_activation_energy_of_doubling_every_ten_kelvin():
    # The Arrhenius equation: 49.5 kJ/mol between 15 and 25 °C, 52.9 between 25 and 35 °C (computed).
    assert mixing.activation_energy(2.0, 15.0, 1.0, 25.0) / 1000 == pytest.approx(49.5, abs=0.06)
    assert mixing.activation_energy(2.0, 25.0, 1.0, 35.0) / 1000 == pytest.approx(52.9, abs=0.06)


def test_pot_life_passes_through_the_makers_points():
    points = (60.0, 10.0, 20.0, 30.0)
    assert mixing.pot_life_between(*points, 10.0) == pytest.approx(60.0)
    assert mixing.pot_life_between(*points, 30.0) == pytest.approx(20.0)
    assert 20.0 < mixing.pot_life_between(*points, 20.0) < math.sqrt(60.0 * 20.0) * 1.05


def test_ratio_by_mass():
    # By hand: 2 L of 1.15 kg/L to 1 L of 1.00 kg/L.
    assert mixing.mass_ratio(2.0, 1150.0, 1000.0) == pytest.approx(2.3)
    assert mixing.share_of_a(2.0) == pytest.approx(2.0 / 3.0)


def test_batches_and_area_by_hand():
    # Two people at 30 m2/h, 30 min of which a fifth is kept: 24 m2; a floor of 50 m2 takes three batches.
    area = mixing.area_placed(30.0, 30.0, 2.0, 0.2)
    assert area == pytest.approx(24.0)
    assert mixing.batches(50.0, area) == 3.0
    assert mixing.batches(48.0, area) == 2.0
    assert mixing.batches(0.0, area) == 0.0
    assert mixing.batches(2.1, 0.3) == 7.0  # in floats 2.1/0.3 is a rounding above 7


@given(st.floats(0.1, 1e4), st.floats(-20, 60), st.floats(-20, 60), st.floats(0.0, 1e4), st.floats(0.01, 1e4))
def test_one_and_many_agree(agree, minutes, stated, temp, area, batch):
    agree(lambda *of: mixing.pot_life(*of, 10.0), minutes, stated, temp)
    agree(mixing.mass_ratio, 2.0, 1150.0, 1000.0)
    agree(mixing.share_of_a, 2.0)
    agree(mixing.area_placed, minutes, 30.0, 2.0, 0.2)
    agree(mixing.batches, area, batch)
    agree(mixing.activation_energy, 60.0, 10.0, 20.0, 30.0)
    agree(mixing.pot_life_between, 60.0, 10.0, 20.0, 30.0, temp)
    assert mixing.batches(area, batch) * batch >= area * (1.0 - 1e-9) - 1e-12
    assert math.isfinite(mixing.pot_life(minutes, stated, temp, 10.0))


@pytest.mark.parametrize(
    "call",
    [
        lambda: mixing.pot_life(0.0, 25.0, 20.0, 10.0),
        lambda: mixing.pot_life(30.0, 25.0, 80.0, 10.0),
        lambda: mixing.pot_life(30.0, math.nan, 20.0, 10.0),
        lambda: mixing.pot_life(30.0, 25.0, 20.0, 0.0),
        lambda: mixing.mass_ratio(0.0, 1000.0, 1000.0),
        lambda: mixing.mass_ratio(1.0, 0.0, 1000.0),
        lambda: mixing.share_of_a(-1.0),
        lambda: mixing.activation_energy(20.0, 10.0, 60.0, 30.0),
        lambda: mixing.activation_energy(60.0, 30.0, 20.0, 10.0),
        lambda: mixing.area_placed(30.0, 30.0, 0.0, 0.2),
        lambda: mixing.area_placed(30.0, 30.0, 1.0, 1.0),
        lambda: mixing.batches(10.0, 0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
