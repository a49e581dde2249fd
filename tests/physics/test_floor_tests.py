from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.bounds import Interval
from advisor.physics.floor_tests import (
    Break,
    Dish,
    DishArea,
    DishRules,
    Fault,
    Hardness,
    Probe,
    ProbeRules,
    PuddleRules,
    Pull,
    SheetRules,
    dish_test,
    emission_rate,
    humidity_test,
    places_required,
    plastic_sheet,
    pull_off,
    scratch_hardness,
    surface_ph,
    water_drop,
)
from advisor.physics.units import INCH, POUND_PER_1000FT2_DAY, PSI, SQUARE_FOOT
from advisor.physics.validity import OutsideValidity

# ASTM F1869-16a: 60 to 72 h, 75 +- 10 F, 50 +- 10 %, conditioned for 48 h, open for 24 h (its edition of 2011).
DISH_RULES = DishRules(Interval(60.0, 72.0), Interval(18.3333, 29.4444), Interval(40.0, 60.0), 48.0, 24.0)
# ASTM F2170-16b: at 40 % of the thickness drying from one side (the 5 % about it: no source), 24 h, 48 h.
PROBE_RULES = ProbeRules(Interval(0.35, 0.45), 24.0, 48.0)
SHEET_RULES = SheetRules(18 * INCH, 16.0)  # ASTM D4263
PUDDLE_RULES = PuddleRules(Interval(55.0, 65.0), Interval(0.9 * INCH, 1.8 * INCH))  # ASTM F710-05
NORMAL = Interval(5.0, 6.0)  # Mohs; common practice, from memory
PLACES = {"first": 3.0, "each_m2": 1000.0 * SQUARE_FOOT}  # ASTM F2170, 10.1

DISH = Dish(3.0, 72.0, 23.0, 50.0, 48.0, 24.0, True)
PROBE = Probe(82.0, 0.04, 24.0, 48.0, True)
PULL = Pull(2.0e6, Break.IN_CONCRETE, True)


@pytest.mark.table("emission_rate")
def test_emission_rate_table(row):
    gain, hours = float(row["mass_gain_g"]), float(row["hours"])
    for form, column in [(DishArea.DISH_DEDUCTED, "deducted_lb"), (DishArea.FULL_DOME, "full_dome_lb")]:
        if row[column]:
            rate = emission_rate(gain, hours, form) / POUND_PER_1000FT2_DAY
            assert rate == pytest.approx(float(row[column]), abs=1.1e-3)


def test_emission_by_the_published_formula():
    # ASTM F1869-16a: 24 000 M/(453.612 A t), A = 0.44486 ft2; 3.0 g in 72 h is 4.95 lb.
    published = 24_000 * 3.0 / (453.612 * 0.44486 * 72.0)
    assert published == pytest.approx(4.955, abs=6e-4)
    assert emission_rate(3.0, 72.0) / POUND_PER_1000FT2_DAY == pytest.approx(published, rel=1e-4)


@pytest.mark.table("places_required")
def test_places_required(row):
    assert places_required(float(row["area_ft2"]) * SQUARE_FOOT, **PLACES) == float(row["places"])


@given(st.floats(0.0, 100.0), st.floats(1.0, 1000.0), st.floats(0.0, 1e6))
def test_one_and_many_agree(agree, gain, hours, area):
    agree(emission_rate, gain, hours, abs=0.0)
    agree(lambda area_m2: places_required(area_m2, **PLACES), area)
    assert places_required(area, **PLACES) >= 3.0


def test_a_valid_dish_test():
    dishes = [replace(DISH, mass_gain_g=gain) for gain in (2.0, 3.0, 2.5)]
    finding = dish_test(dishes, 3, DISH_RULES)
    assert finding.valid
    assert (finding.number, finding.required) == (3, 3)
    assert finding.mean == pytest.approx(emission_rate(2.5, 72.0))
    assert finding.value == finding.highest == pytest.approx(emission_rate(3.0, 72.0))
    assert finding.lowest == pytest.approx(emission_rate(2.0, 72.0))
    full = dish_test(dishes, 3, DISH_RULES, DishArea.FULL_DOME)
    # The same dishes read 70/144/0.44486 lower on the full dome.
    assert finding.value / full.value == pytest.approx(1.0927, abs=1e-4)


@pytest.mark.parametrize(
    ("change", "requirement"),
    [
        ({"hours": 59.0}, "dish_hours"),
        ({"hours": 73.0}, "dish_hours"),
        ({"hours": None}, "dish_hours"),
        ({"air_temp_c": 10.0}, "dish_air_temperature"),
        ({"air_temp_c": None}, "dish_air_temperature"),
        ({"rh_percent": 70.0}, "dish_air_humidity"),
        ({"conditioned_h": 24.0}, "dish_conditioned"),
        ({"open_h": 1.0}, "dish_open"),
        ({"bare_ground_concrete": False}, "dish_on_bare_ground_concrete"),
        ({"bare_ground_concrete": None}, "dish_on_bare_ground_concrete"),
    ],
)
def test_an_invalid_dish_concludes_nothing_and_says_why(change, requirement):
    finding = dish_test([DISH, replace(DISH, **change), DISH], 3, DISH_RULES)
    assert not finding.valid
    assert finding.value is finding.mean is finding.lowest is finding.highest is None
    assert [(fault.requirement, fault.place) for fault in finding.faults] == [(requirement, 2)]


def test_a_fault_tells_what_was_found_and_wanted():
    finding = dish_test([replace(DISH, hours=48.0)] * 3, 3, DISH_RULES)
    assert finding.faults[0] == Fault("dish_hours", 48.0, Interval(60.0, 72.0), "h", place=1)
    assert dish_test([DISH], 3, DISH_RULES).faults[0] == Fault("number_of_places", 1.0, Interval(3.0, math.inf))
    unrecorded = dish_test([replace(DISH, open_h=None)] * 3, 3, DISH_RULES)
    assert unrecorded.faults[0] == Fault("dish_open", None, Interval(24.0, math.inf), "h", place=1)
    unmet = dish_test([DISH, replace(DISH, bare_ground_concrete=False), DISH], 3, DISH_RULES)
    assert unmet.faults == (Fault("dish_on_bare_ground_concrete", False, place=2),)


def test_too_few_dishes_for_the_area():
    assert dish_test([DISH] * 3, 3, DISH_RULES).valid
    few = dish_test([DISH] * 3, 4, DISH_RULES)
    assert (few.valid, few.value, few.required) == (False, None, 4)


def test_a_building_in_service_needs_no_standard_air():
    dish = replace(DISH, air_temp_c=None, rh_percent=None, in_service=True)
    assert dish_test([dish] * 3, 3, DISH_RULES).valid


def test_the_rule_base_may_set_other_requirements():
    long = [replace(DISH, hours=90.0)] * 3
    assert not dish_test(long, 3, DISH_RULES).valid
    assert dish_test(long, 3, replace(DISH_RULES, hours=Interval(60.0, 96.0))).valid
    probes = [PROBE] * 3
    assert humidity_test(probes, 0.1, 3, PROBE_RULES).valid
    # The edition of 2009 asked for 72 h.
    old = replace(PROBE_RULES, equilibration_h=72.0)
    assert not humidity_test(probes, 0.1, 3, old).valid
    assert not plastic_sheet(False, 18 * INCH, 20.0, True, replace(SHEET_RULES, hours=24.0)).valid


def test_humidity_in_the_slab():
    probes = [replace(PROBE, rh_percent=rh) for rh in (80.0, 86.0, 83.0)]
    finding = humidity_test(probes, 0.1, 3, PROBE_RULES)
    assert (finding.lowest, finding.mean, finding.value) == (80.0, 83.0, 86.0)


@pytest.mark.parametrize(
    ("change", "requirement"),
    [
        ({"depth_m": 0.02}, "probe_depth"),
        ({"depth_m": None}, "probe_depth"),
        ({"equilibration_h": 2.0}, "probe_equilibrated"),
        ({"conditioned_h": 0.0}, "probe_conditioned"),
        ({"at_service_conditions": False}, "probe_at_service_conditions"),
    ],
)
def test_an_invalid_probe(change, requirement):
    finding = humidity_test([replace(PROBE, **change), PROBE, PROBE], 0.1, 3, PROBE_RULES)
    assert finding.value is None
    assert [(fault.requirement, fault.place) for fault in finding.faults] == [(requirement, 1)]


def test_no_probe_at_all_concludes_nothing():
    finding = humidity_test([], 0.1, 3, PROBE_RULES)
    assert (finding.valid, finding.value) == (False, None)


def test_plastic_sheet():
    # ASTM D4263: 18 x 18 in, at least 16 h.
    assert plastic_sheet(True, 18 * INCH, 16.0, True, SHEET_RULES).value is True
    assert plastic_sheet(False, 18 * INCH, 16.0, True, SHEET_RULES).value is False
    for side, hours, sealed in [(12 * INCH, 16.0, True), (18 * INCH, 8.0, True), (18 * INCH, 16.0, False)]:
        finding = plastic_sheet(True, side, hours, sealed, SHEET_RULES)
        assert (finding.valid, finding.value, len(finding.faults)) == (False, None, 1)


def test_water_drop():
    # ASTM F3191 (from memory): within 60 s.
    assert water_drop(30.0, None, True, 60.0).value is True
    assert water_drop(60.0, 60.0, True, 60.0).value is True
    assert water_drop(None, 60.0, True, 60.0).value is False
    assert water_drop(90.0, 90.0, True, 60.0).value is False
    assert not water_drop(None, 30.0, True, 60.0).valid
    assert not water_drop(30.0, 60.0, False, 60.0).valid
    assert not water_drop(30.0, 60.0, None, 60.0).valid


def test_surface_ph():
    # ASTM F710-05: a puddle of about an inch for 60 ± 5 s.
    assert surface_ph(9.5, 60.0, INCH, True, PUDDLE_RULES).value == 9.5
    for seconds, diameter, bare in [(50.0, INCH, True), (60.0, 0.01, True), (60.0, INCH, False)]:
        assert surface_ph(9.5, seconds, diameter, bare, PUDDLE_RULES).value is None


@pytest.mark.parametrize(
    ("scratches", "hardness"),
    [
        (3, Hardness.SOFT),
        (5, Hardness.NORMAL),
        (6, Hardness.NORMAL),
        (7, Hardness.HARD),
        (None, Hardness.HARD),
    ],
)
def test_scratch_hardness(scratches, hardness):
    # Common practice, from memory: Mohs 3 scratches soft concrete, 5 to 6 normal, 7 hard.
    assert scratch_hardness(scratches, [3, 5, 6, 7], True, NORMAL).value is hardness


def test_an_incomplete_set_of_picks_concludes_nothing():
    assert scratch_hardness(None, [3, 5], True, NORMAL).value is None
    assert scratch_hardness(5, [3, 7], True, NORMAL).value is None
    assert scratch_hardness(4, [3, 5, 7], True, NORMAL).value is None
    assert scratch_hardness(3, [3, 5, 7], False, NORMAL).value is None


def test_pull_off():
    # ASTM F3010-18: at least 200 psi, breaking in the concrete.
    pulls = [replace(PULL, stress_pa=stress) for stress in (1.9e6, 1.5e6, 2.2e6)]
    finding = pull_off(pulls, 200.0 * PSI, 3)
    assert finding.value == finding.lowest == 1.5e6
    weak_glue = replace(PULL, stress_pa=1.0e6, broke=Break.IN_GLUE)
    assert pull_off([*pulls, weak_glue], 200.0 * PSI, 3).faults == (
        Fault("pull_broke_in_floor", Break.IN_GLUE, place=4),
    )
    strong_glue = replace(weak_glue, stress_pa=1.6e6)
    assert pull_off([*pulls, strong_glue], 200.0 * PSI, 3).value == 1.5e6
    assert pull_off(pulls[:2], 200.0 * PSI, 3).value is None
    assert pull_off([*pulls, replace(PULL, scored=None)], 200.0 * PSI, 3).value is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: emission_rate(-1.0, 72.0),
        lambda: emission_rate(1.0, 0.0),
        lambda: emission_rate(float("nan"), 72.0),
        lambda: places_required(-1.0, **PLACES),
        lambda: dish_test([replace(DISH, mass_gain_g=-1.0)], 3, DISH_RULES),
        lambda: dish_test([replace(DISH, mass_gain_g=-1.0, hours=None)], 3, DISH_RULES),
        lambda: humidity_test([replace(PROBE, rh_percent=120.0)], 0.1, 3, PROBE_RULES),
        lambda: humidity_test([PROBE], -0.1, 3, PROBE_RULES),
        lambda: surface_ph(15.0, 60.0, INCH, True, PUDDLE_RULES),
        lambda: water_drop(-1.0, 60.0, True, 60.0),
        lambda: scratch_hardness(3, [0, 3], True, NORMAL),
        lambda: pull_off([replace(PULL, stress_pa=-1.0)], 200.0 * PSI, 3),
        lambda: pull_off([PULL], 0.0, 3),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
