from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from advisor.physics.engine import EngineOutcome, engine_indoors
from advisor.physics.exposure import (
    Limit,
    Work,
    average_exposure,
    hold_against,
    mg_m3_per_ppm,
    share_of_explosive_limit,
)
from advisor.physics.room_air import (
    air_changes_needed,
    concentration,
    hours_to_reach,
    mean_concentration,
    peak_concentration,
)
from advisor.physics.units import CUBIC_FOOT
from advisor.physics.validity import OutsideValidity

# Carbon monoxide of a 5 hp petrol engine: NIOSHTIC 20041337, 5000 cfm to stay under 200 ppm, so 1.0 ft3/min.
# mg/m3 of 1 ppm (28.01 g/mol at 25 C), the ceiling and danger to life of NIOSH [ppm].
CO = (1.145, 200.0, 1200.0)
ENGINE_M3_H = 60.0 * CUBIC_FOOT
PER_PPM = mg_m3_per_ppm(28.01)
ENGINE_MG_H = ENGINE_M3_H * 1e6 * PER_PPM
BATHROOM = 2500.0 * CUBIC_FOOT
GARAGE = 5184.0 * CUBIC_FOOT

RATES = st.one_of(st.just(0.0), st.floats(1e-4, 100.0))
HOURS = st.floats(0.01, 100.0)


@pytest.mark.parametrize(
    ("volume", "air_changes", "ppm", "minutes"),
    [
        (BATHROOM, 0.0, 200.0, 0.50),
        (BATHROOM, 0.0, 1200.0, 3.00),
        (BATHROOM, 5.0, 200.0, 0.51),
        (BATHROOM, 5.0, 1200.0, 3.45),
        (BATHROOM, 60.0, 200.0, 0.69),
        (BATHROOM, 60.0, 1200.0, math.inf),
        (GARAGE, 1.0, 35.0, 0.18),
        (GARAGE, 1.0, 200.0, 1.05),
        (GARAGE, 1.0, 1200.0, 6.57),
    ],
)
def test_engine_in_a_room(volume, air_changes, ppm, minutes):
    # The case of NIOSHTIC 20041337 and a garage, by hand: ln(1 - c a V/S)/-a (computed).
    hours = hours_to_reach(ppm * PER_PPM, ENGINE_MG_H, 0.0, air_changes, volume)
    assert 60.0 * hours == pytest.approx(minutes, abs=0.006)


def test_air_needed_for_the_engine():
    # NIOSHTIC 20041337: about 120 air changes an hour to stay under 200 ppm; at 60 it levels at 400 ppm.
    needed = air_changes_needed(200.0 * PER_PPM, ENGINE_MG_H, 0.0, BATHROOM, 100.0)
    assert needed == pytest.approx(120.0, rel=1e-6)
    assert concentration(ENGINE_MG_H, 0.0, 60.0, BATHROOM, 10.0) / PER_PPM == pytest.approx(400.0, rel=1e-6)


@pytest.mark.parametrize(
    ("litre_kg", "molar_mass", "ppm", "lel_percent", "share"),
    [(0.7845, 58.08, 6605.0, 2.5, 0.26), (0.864, 106.17, 3979.0, 0.9, 0.44)],
)
def test_a_litre_of_solvent_in_a_small_room(litre_kg, molar_mass, ppm, lel_percent, share):
    # Acetone and xylene, 1 L in 50 m3 without airing; LEL 2.5 % (NIOSH, from memory) and 0.9 % (computed).
    all_at_once = mean_concentration(litre_kg * 1e6 / 1e-3, 0.0, 0.0, 50.0, 1e-3) * 2.0
    found = all_at_once / mg_m3_per_ppm(molar_mass)
    assert found == pytest.approx(ppm, rel=2e-3)
    assert share_of_explosive_limit(found, lel_percent) == pytest.approx(share, abs=0.006)


@given(st.floats(0.0, 1e6), RATES, RATES, st.floats(1.0, 1000.0), HOURS)
def test_against_an_outside_integrator(source, decay, air_changes, volume, hours):
    def rate(time, state):
        return source * math.exp(-decay * time) / volume - air_changes * state

    outside = solve_ivp(rate, (0.0, hours), [0.0], method="LSODA", rtol=1e-9, atol=1e-9).y[0, -1]
    found = concentration(source, decay, air_changes, volume, hours)
    assert found == pytest.approx(outside, rel=1e-5, abs=1e-6)


@given(st.floats(1.0, 1e6), RATES, RATES, HOURS)
def test_the_average_is_the_integral(source, decay, air_changes, hours):
    def rate(time, _state):
        return [concentration(source, decay, air_changes, 50.0, time) / source]

    dose = solve_ivp(rate, (0.0, hours), [0.0], method="LSODA", rtol=1e-10, atol=1e-16, first_step=1e-6).y[0, -1]
    mean = mean_concentration(source, decay, air_changes, 50.0, hours) / source
    assert mean == pytest.approx(dose / hours, rel=1e-6, abs=1e-14)


@given(RATES, RATES, HOURS)
def test_what_is_released_is_in_the_room_or_has_left_it(decay, air_changes, hours):
    arguments = (1000.0, decay, air_changes, 50.0, hours)
    released = 1000.0 * (-math.expm1(-decay * hours) / decay if decay else hours)
    left = air_changes * 50.0 * mean_concentration(*arguments) * hours
    assert 50.0 * concentration(*arguments) + left == pytest.approx(released, rel=1e-6)


@given(RATES, RATES, HOURS)
def test_the_peak_is_the_highest_of_the_hours(decay, air_changes, hours):
    peak = peak_concentration(1000.0, decay, air_changes, 50.0, hours)
    walk = [concentration(1000.0, decay, air_changes, 50.0, hours * i / 400) for i in range(401)]
    assert max(walk) <= peak * (1 + 1e-9)
    assert peak == pytest.approx(
        concentration(1000.0, decay, air_changes, 50.0, min(hours, peak_at(decay, air_changes)))
    )


def peak_at(decay, air_changes):
    """Where dC/dt = 0, by hand."""
    if decay == 0.0 or air_changes == 0.0:
        return math.inf
    if abs(decay - air_changes) < 1e-6 * decay:
        return 1.0 / decay
    return math.log(decay / air_changes) / (decay - air_changes)


@given(st.floats(0.01, 100.0), RATES, RATES)
def test_the_limit_is_reached_when_it_says(limit, decay, air_changes):
    hours = hours_to_reach(limit, 1000.0, decay, air_changes, 50.0)
    if hours == math.inf:
        assert peak_concentration(1000.0, decay, air_changes, 50.0, 10_000.0) < limit
    else:
        assert concentration(1000.0, decay, air_changes, 50.0, hours) == pytest.approx(limit, rel=1e-6)


@given(st.floats(0.01, 100.0), RATES, HOURS)
def test_the_air_changes_needed_are_just_enough(limit, decay, hours):
    needed = air_changes_needed(limit, 1000.0, decay, 50.0, hours)
    if needed == 0.0:
        assert peak_concentration(1000.0, decay, 0.0, 50.0, hours) <= limit * (1 + 1e-9)
    else:
        assert peak_concentration(1000.0, decay, needed, 50.0, hours) == pytest.approx(limit, rel=1e-6)


@given(RATES, RATES, HOURS, st.floats(0.01, 100.0))
def test_one_and_many_agree(agree, decay, air_changes, hours, limit):
    room = (1000.0, decay, air_changes, 50.0)
    agree(concentration, *room, hours)
    agree(mean_concentration, *room, hours)
    agree(peak_concentration, *room, hours)
    agree(share_of_explosive_limit, hours, 2.5)
    agree(hours_to_reach, limit, *room)
    agree(air_changes_needed, limit, 1000.0, decay, 50.0, hours)


def test_exposure_against_limits():
    # 1000 mg/h in 50 m3 without airing rise by 20 mg/m3 an hour: mean 40 over 4 h, 20 over 8, peak 80.
    work = Work(1000.0, 0.0, 0.0, 50.0, 4.0)
    eight, quarter, ceiling = (
        Limit("8 h", 20.5, 8.0),
        Limit("15 min", 70.0, 0.25),
        Limit("ceiling", 80.5, 0.0),
    )
    report = hold_against(work, [eight, quarter, ceiling])
    assert report.peak_mg_m3 == pytest.approx(80.0)
    assert [check.exposure_mg_m3 for check in report.checks] == pytest.approx([20.0, 77.5, 80.0], rel=1e-6)
    assert [check.exceeded for check in report.checks] == [False, True, False]
    assert [check.reached_after_h for check in report.checks] == pytest.approx([1.025, 3.5, 4.025])


def test_the_worst_window_of_a_fading_source():
    # Nothing airs: 1000 mg/h fading by 1/h levels off, so the last quarter hour is the worst.
    work = Work(1000.0, 1.0, 0.0, 50.0, 8.0)
    last, _ = quad(lambda time: 20.0 * (1.0 - math.exp(-time)), 7.75, 8.0)
    assert average_exposure(work, 0.25) == pytest.approx(last / 0.25, rel=1e-6)


@given(st.floats(0.0, 100.0), st.floats(0.0, 10_000.0), st.floats(0.1, 1e6))
def test_an_engine_indoors_is_never_called_safe(co_m3_h, air_changes, volume):
    found = engine_indoors(co_m3_h, air_changes, volume, *CO)
    assert found.outcome in EngineOutcome
    if found.minutes_to_danger < math.inf:
        assert found.outcome is EngineOutcome.DANGER_TO_LIFE


def test_no_outcome_of_an_engine_permits_it():
    assert {outcome.name for outcome in EngineOutcome} == {
        "DANGER_TO_LIFE",
        "OVER_CEILING",
        "STILL_NEVER_INDOORS",
    }
    for outcome in EngineOutcome:
        assert "safe" not in outcome.value
        assert "permitted" not in outcome.value
    assert engine_indoors(ENGINE_M3_H, 1.0, GARAGE, *CO).outcome is EngineOutcome.DANGER_TO_LIFE
    assert engine_indoors(ENGINE_M3_H, 60.0, BATHROOM, *CO).outcome is EngineOutcome.OVER_CEILING
    assert engine_indoors(0.0, 1.0, GARAGE, *CO).outcome is EngineOutcome.STILL_NEVER_INDOORS
    assert engine_indoors(ENGINE_M3_H, 1.0, GARAGE, *CO).minutes_to_danger == pytest.approx(6.57, abs=0.01)


@pytest.mark.parametrize(
    "call",
    [
        lambda: concentration(-1.0, 0.0, 1.0, 50.0, 1.0),
        lambda: concentration(1.0, -0.1, 1.0, 50.0, 1.0),
        lambda: concentration(1.0, 0.0, -1.0, 50.0, 1.0),
        lambda: concentration(1.0, 0.0, 1.0, 0.0, 1.0),
        lambda: concentration(1.0, 0.0, 1.0, 50.0, math.nan),
        lambda: mean_concentration(1.0, 0.0, 1.0, 50.0, 0.0),
        lambda: hours_to_reach(0.0, 1.0, 0.0, 1.0, 50.0),
        lambda: air_changes_needed(math.inf, 1.0, 0.0, 50.0, 1.0),
        lambda: peak_concentration(1.0, 0.0, 1.0, 50.0, -1.0),
        lambda: share_of_explosive_limit(1.0, 0.0),
        lambda: share_of_explosive_limit(2e6, 2.5),
        lambda: hold_against(Work(1.0, 0.0, 1.0, 50.0, 0.0), []),
        lambda: average_exposure(Work(1.0, 0.0, 1.0, 50.0, 1.0), 25.0),
        lambda: engine_indoors(-1.0, 1.0, 50.0, *CO),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()


@pytest.mark.parametrize("decay", [0.0, 1e-9, 1.0, 10_000.0])
@pytest.mark.parametrize("air_changes", [0.0, 1e-9, 1.0, 10_000.0])
@pytest.mark.parametrize("hours", [1e-6, 1.0, 10_000.0])
def test_extremes_stay_finite(decay, air_changes, hours):
    for function in (concentration, mean_concentration, peak_concentration):
        assert 0.0 <= function(1e12, decay, air_changes, 0.1, hours) < 1e18
