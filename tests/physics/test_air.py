from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import psychrolib
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import air
from advisor.physics.units import INCH_OF_MERCURY, celsius_from_fahrenheit, fahrenheit_from_celsius
from advisor.physics.validity import OutsideValidity

TEMPS = st.floats(-50.0, 100.0)
HUMIDITIES = st.floats(1.0, 100.0)


@pytest.mark.table("saturation_pressure")
def test_saturation_pressure_table(row):
    pressure = air.saturation_pressure(float(row["temp_c"]))
    assert pressure == pytest.approx(float(row["hyland_wexler_pa"]), abs=0.06)
    assert pressure == pytest.approx(float(row["iapws_pa"]), rel=3e-4)
    assert pressure == pytest.approx(float(row["iso_13788_pa"]), rel=1.7e-3)
    if row["inhg"]:
        assert pressure / INCH_OF_MERCURY == pytest.approx(float(row["inhg"]), abs=6e-5)


@pytest.mark.table("saturation_pressure_fahrenheit")
def test_saturation_pressure_by_fahrenheit(row):
    pressure = air.saturation_pressure(celsius_from_fahrenheit(float(row["temp_f"])))
    assert pressure / INCH_OF_MERCURY == pytest.approx(float(row["inhg"]), abs=6e-5)


@pytest.mark.table("dew_point")
def test_dew_point_table(row):
    temp, rh = float(row["air_temp_c"]), float(row["rh_percent"])
    assert air.dew_point(temp, rh) == pytest.approx(float(row["dew_point_c"]), abs=0.006)
    outside = HAPropsSI("D", "T", temp + 273.15, "R", rh / 100.0, "P", 101325.0) - 273.15
    assert air.dew_point(temp, rh) == pytest.approx(outside, abs=0.011)


@pytest.mark.table("dew_point_fahrenheit")
def test_dew_point_by_fahrenheit(row):
    dew_point = air.dew_point(celsius_from_fahrenheit(float(row["air_temp_f"])), float(row["rh_percent"]))
    assert fahrenheit_from_celsius(dew_point) == pytest.approx(float(row["dew_point_f"]), abs=0.06)


@pytest.mark.table("humidity")
def test_humidity_table(row):
    temp, rh = float(row["air_temp_c"]), float(row["rh_percent"])
    assert air.humidity_ratio(temp, rh) == pytest.approx(float(row["kg_per_kg"]), abs=6e-6)
    assert air.absolute_humidity(temp, rh) * 1000 == pytest.approx(float(row["g_per_m3"]), abs=0.006)
    outside = HAPropsSI("W", "T", temp + 273.15, "R", rh / 100.0, "P", 101325.0)
    assert air.humidity_ratio(temp, rh) == pytest.approx(outside, rel=5e-3)  # the enhancement factor


@pytest.mark.table("cooler_slab")
def test_cooler_slab(row):
    temp, rh, slab = float(row["air_temp_c"]), float(row["rh_percent"]), float(row["slab_temp_c"])
    if row["rh_at_slab_percent"]:
        assert air.rh_at_surface(temp, rh, slab) == pytest.approx(float(row["rh_at_slab_percent"]), abs=0.06)
    if row["margin_k"]:
        assert air.dew_margin(slab, temp, rh) == pytest.approx(float(row["margin_k"]), abs=0.006)


@pytest.mark.parametrize("temp", [5.0, 15.0, 25.0, 35.0, 60.0])
def test_saturation_agrees_with_coolprop(temp):
    from CoolProp.CoolProp import PropsSI

    outside = PropsSI("P", "T", temp + 273.15, "Q", 0, "Water")
    assert air.saturation_pressure(temp) == pytest.approx(outside, rel=3e-4)


@given(TEMPS, HUMIDITIES, st.floats(60_000.0, 110_000.0))
def test_humidity_ratio_is_psychrolibs(temp, rh, pressure):
    if temp <= 60.0:
        psychrolib.SetUnitSystem(psychrolib.SI)
        outside = psychrolib.GetHumRatioFromRelHum(temp, rh / 100.0, pressure)
        # PsychroLib lifts what is below 1e-7 to 1e-7.
        assert max(air.humidity_ratio(temp, rh, pressure), 1e-7) == pytest.approx(outside, rel=1e-12)


def test_every_knot_of_the_table_is_as_psychrolib_has_it():
    psychrolib.SetUnitSystem(psychrolib.SI)
    temps, pressures = air._saturation_table()
    assert (temps[0], temps[-1], len(temps)) == (-100.0, 100.0, 20_001)
    assert pressures == pytest.approx([psychrolib.GetSatVapPres(each) for each in temps.tolist()], rel=1e-12)


def test_tabulated_pressure_within_a_millionth_of_psychrolib():
    temps = np.random.default_rng(1).uniform(-50.0, 100.0, 20_000)
    exact = np.array([air.saturation_pressure(temp) for temp in temps.tolist()])
    assert np.abs(air.saturation_pressure(temps) / exact - 1.0).max() < 1e-6
    ends = np.array([-50.0, 0.0, 0.01, 100.0])
    assert air.saturation_pressure(ends) == pytest.approx([air.saturation_pressure(t) for t in ends.tolist()])


def test_interpolated_dew_point_within_a_hundred_thousandth_kelvin():
    draw = np.random.default_rng(2)
    temps, rhs = draw.uniform(-50.0, 100.0, 20_000), draw.uniform(1.0, 100.0, 20_000)
    exact = [air.dew_point(temp, rh) for temp, rh in zip(temps.tolist(), rhs.tolist(), strict=True)]
    assert np.abs(air.dew_point(temps, rhs) - exact).max() < 1e-5


@given(TEMPS, HUMIDITIES, TEMPS)
def test_one_and_many_agree(agree, temp, rh, surface):
    agree(air.saturation_pressure, temp)
    agree(air.vapour_pressure, temp, rh)
    agree(air.dew_point, temp, rh, abs=1e-5)
    agree(air.dew_margin, surface, temp, rh, abs=1e-5)
    agree(air.absolute_humidity, temp, rh)
    agree(air.rh_at_surface, temp, rh, surface)
    agree(air.humidity_ratio, min(temp, 60.0), rh)


@given(TEMPS, HUMIDITIES)
def test_dew_point_is_where_the_surface_gets_wet(temp, rh):
    dew_point = air.dew_point(temp, rh)
    assert math.isfinite(dew_point)
    assert dew_point <= temp
    if dew_point >= -50.0:
        assert air.rh_at_surface(temp, rh, dew_point) == pytest.approx(100.0, abs=0.01)
        assert air.dew_margin(dew_point, temp, rh) == pytest.approx(0.0, abs=1e-6)


def test_a_unit_system_changed_elsewhere_does_not_reach_us():
    try:
        psychrolib.SetUnitSystem(psychrolib.IP)
        assert air.dew_point(20.0, 50.0) == pytest.approx(9.27, abs=0.006)
        psychrolib.SetUnitSystem(psychrolib.IP)
        assert air.saturation_pressure(20.0) == pytest.approx(2338.8, abs=0.06)
    finally:
        psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: air.dew_point(20.0, 120.0), "relative_humidity"),
        (lambda: air.dew_point(20.0, 0.0), "relative_humidity"),
        (lambda: air.dew_point(math.nan, 50.0), "air_temperature"),
        (lambda: air.dew_point(np.array([20.0, 20.0]), np.array([50.0, math.nan])), "relative_humidity"),
        (lambda: air.vapour_pressure(20.0, -1.0), "relative_humidity"),
        (lambda: air.saturation_pressure(100.1), "temperature"),
        (lambda: air.saturation_pressure(np.array([20.0, -50.1])), "temperature"),
        (lambda: air.humidity_ratio(61.0, 50.0), "air_temperature"),
        (lambda: air.humidity_ratio(20.0, 50.0, 0.0), "air_pressure"),
        (lambda: air.absolute_humidity(20.0, math.inf), "relative_humidity"),
        (lambda: air.rh_at_surface(20.0, 50.0, 200.0), "temperature"),
        (lambda: air.dew_margin(-51.0, 20.0, 50.0), "surface_temperature"),
    ],
)
def test_refusals(call, quantity):
    with pytest.raises(OutsideValidity) as refusal:
        call()
    assert refusal.value.quantity == quantity
    assert refusal.value.low < refusal.value.high
    assert not refusal.value.low <= refusal.value.value <= refusal.value.high


def test_one_floor_needs_neither_numpy_nor_scipy():
    code = (
        "import sys\n"
        "from advisor.physics import air, bounds, cure, film, floor_tests, ground, mixing, room_air, vapour\n"
        "air.dew_point(20.0, 50.0)\n"
        "vapour.rh_beneath_finish(13.0, 100.0, 21.0, 50.0, 5e-11, 5e-12, 13.0)\n"
        "floor_tests.emission_rate(3.0, 72.0)\n"
        "span = bounds.Interval(13.0, 15.0)\n"
        "bounds.bounds(air.dew_margin, surface_temp_c=span, air_temp_c=span, rh_percent=50.0)\n"
        "print(sorted({'numpy', 'scipy', 'CoolProp', 'matplotlib'} & set(sys.modules)))\n"
    )
    output = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert output.strip() == "[]"
