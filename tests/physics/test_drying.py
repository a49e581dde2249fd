from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erf

from advisor.physics.bounds import Interval
from advisor.physics.diffusivity import Diffusivity, bazant_1982, model_code, temperature_factor
from advisor.physics.drying import Slab, dry, drying_band
from advisor.physics.drying_air import AirCourse, constant_air, seasonal_air
from advisor.physics.drying_time import DryingSides, days_to_limit, fourier_number
from advisor.physics.units import DAY, INCH
from advisor.physics.validity import OutsideValidity
from tests.physics.independent_drying import days_to_limits

DEPTH = 0.4 * 4 * INCH  # ASTM F2170: 40 % of the thickness, drying from one side; 20 % from two
FOUR_INCHES = Slab(4 * INCH, model_code(25e6))
AIR = constant_air(20.0, 50.0)
CONSTANT = Diffusivity(1e-10, 1.0)


def crank(fourier: float, place: float) -> float:
    """Fraction left at x/L from the sealed base.  Crank, The Mathematics of Diffusion, 1975, section 4.3."""
    terms = np.arange(400)
    root = (2 * terms + 1) * np.pi / 2
    return float(np.sum(2 * (-1.0) ** terms / root * np.exp(-(root**2) * fourier) * np.cos(root * place)))


@pytest.mark.table("drying_linear")
def test_constant_diffusivity_against_cranks_series(row):
    fourier = float(row["fourier"])
    slab = Slab(0.1, CONSTANT, initial_rh_percent=100.0)
    days = fourier * 0.1**2 / 1e-10 / DAY
    drying = dry(slab, constant_air(20.0, 0.0), days, tolerance=1e-7)
    fraction = drying.profile(days) / 100.0
    assert fraction[-1] == pytest.approx(float(row["base"]), abs=2e-4)
    assert drying.at_depth(0.04)[-1] / 100.0 == pytest.approx(float(row["depth_40"]), abs=2e-4)
    assert fraction.mean() == pytest.approx(float(row["mean"]), abs=2e-4)
    places = 1.0 - drying.depths_m / 0.1
    assert fraction == pytest.approx([crank(fourier, place) for place in places], abs=3e-4)


def test_early_drying_against_the_error_function():
    # A half space (Carslaw and Jaeger, Conduction of Heat in Solids, 1959, section 2.4): erf(x/2 sqrt(D t)).
    slab = Slab(0.5, CONSTANT, initial_rh_percent=98.0)
    drying = dry(slab, AIR, 60.0, cells=400)
    for day in (10.0, 30.0, 60.0):
        exact = 50.0 + 48.0 * erf(drying.depths_m / (2.0 * math.sqrt(1e-10 * day * DAY)))
        assert drying.profile(day) == pytest.approx(exact, abs=0.05)


@pytest.mark.table("drying_linear_times")
def test_days_with_constant_diffusivity(row):
    limit = float(row["limit_percent"])
    days = dry(Slab(4 * INCH, CONSTANT), AIR, 250.0).days_to_reach(limit, DEPTH)
    assert days == pytest.approx(float(row["days"]), rel=2e-3)
    assert fourier_number(limit, 98.0, 50.0, CONSTANT, 0.4) == pytest.approx(float(row["fourier"]), abs=6e-5)


@pytest.mark.table("drying_nonlinear")
def test_days_with_the_model_codes_diffusivity(row):
    slab = Slab(
        float(row["thickness_in"]) * INCH,
        model_code(float(row["strength_mpa"]) * 1e6),
        DryingSides[row["sides"]],
        float(row["start_percent"]),
    )
    days = dry(slab, AIR, 600.0).days_to_reach(float(row["limit_percent"]), 0.4 * slab.drying_path_m)
    assert days == pytest.approx(float(row["days"]), rel=4e-3)


@pytest.mark.parametrize(
    ("slab", "air"),
    [
        (FOUR_INCHES, 50.0),
        (replace(FOUR_INCHES, initial_rh_percent=100.0), 40.0),
        (replace(FOUR_INCHES, sides=DryingSides.TWO), 50.0),
        (replace(FOUR_INCHES, diffusivity=bazant_1982(16.0)), 50.0),
        (replace(FOUR_INCHES, diffusivity=bazant_1982(6.0)), 20.0),
    ],
)
def test_nonlinear_drying_against_an_independent_solver(slab, air):
    limits = [95.0, 90.0, 85.0, 80.0, 75.0]
    law = slab.diffusivity
    outside = days_to_limits(
        slab.drying_path_m,
        0.4 * slab.drying_path_m,
        (law.d1, law.dry_share, law.centre, law.exponent),
        slab.initial_rh_percent / 100.0,
        air / 100.0,
        [limit / 100.0 for limit in limits],
    )
    drying = dry(slab, constant_air(20.0, air), outside[-1] * 1.1)
    assert [drying.days_to_reach(limit, 0.4 * slab.drying_path_m) for limit in limits] == pytest.approx(
        outside, rel=0.01
    )


def test_the_mesh_converges():
    limits = (90.0, 85.0, 80.0, 75.0)
    days = {
        cells: np.array([dry(FOUR_INCHES, AIR, 600.0, cells, 1e-7).days_to_reach(limit, DEPTH) for limit in limits])
        for cells in (25, 50, 100, 800)
    }
    error = {cells: np.abs(days[cells] / days[800] - 1.0).max() for cells in (25, 50, 100)}
    assert error[50] < error[25] / 2.5
    assert error[100] < error[50] / 2.5
    assert error[100] < 2e-3


def test_the_tolerance_converges():
    reference = dry(FOUR_INCHES, AIR, 300.0, tolerance=1e-8).days_to_reach(85.0, DEPTH)
    default = dry(FOUR_INCHES, AIR, 300.0).days_to_reach(85.0, DEPTH)
    coarse = dry(FOUR_INCHES, AIR, 300.0, tolerance=1e-4).days_to_reach(85.0, DEPTH)
    assert default == pytest.approx(reference, rel=5e-5)
    assert coarse == pytest.approx(reference, rel=1e-3)


def test_time_goes_with_the_square_of_the_path_and_one_number_serves_many_slabs(agree):
    number = fourier_number(85.0, 98.0, 50.0, model_code(25e6), 0.4)
    for slab, temp in [
        (FOUR_INCHES, 20.0),
        (replace(FOUR_INCHES, thickness_m=0.15, diffusivity=model_code(40e6)), 10.0),
        (replace(FOUR_INCHES, sides=DryingSides.TWO), 28.0),
    ]:
        days = days_to_limit(number, slab.drying_path_m, slab.diffusivity.d1, temp)
        course = dry(slab, constant_air(temp, 50.0), 1000.0)
        assert course.days_to_reach(85.0, 0.4 * slab.drying_path_m) == pytest.approx(days, rel=2e-3)
    agree(days_to_limit, number, 0.1, 4e-10, 15.0)
    assert fourier_number(50.0, 98.0, 50.0, model_code(25e6), 0.4) == math.inf
    assert days_to_limit(math.inf, 0.1, 4e-10, 15.0) == math.inf


def test_about_a_month_an_inch_to_85_percent():
    # Common rule of a trade magazine: 28 to 30 days an inch to 85 %, an approximation.
    days = dry(FOUR_INCHES, AIR, 300.0).days_to_reach(85.0, DEPTH)
    assert 20.0 <= days / 4.0 <= 35.0


def test_a_colder_slab_dries_slower_by_the_temperature_factor():
    cold = dry(FOUR_INCHES, constant_air(10.0, 50.0), 300.0).days_to_reach(85.0, DEPTH)
    warm = dry(FOUR_INCHES, AIR, 300.0).days_to_reach(85.0, DEPTH)
    assert cold * temperature_factor(10.0) == pytest.approx(warm, rel=1e-3)


def test_rain_rewets_and_delays():
    rain = ((5.0, 7.0), (12.0, 13.0), (20.0, 21.0))
    wet = dry(FOUR_INCHES, constant_air(20.0, 50.0, rain), 300.0)
    plain = dry(FOUR_INCHES, AIR, 300.0)
    assert wet.days_to_reach(85.0, DEPTH) > plain.days_to_reach(85.0, DEPTH) + 3.0
    top = wet.rh_percent[:, 0]
    before, during = np.searchsorted(wet.days, [4.9, 6.9])
    assert top[during] > 97.0 > top[before]
    # Rain that never ends keeps the slab as wet as it began, and wetter.
    assert dry(FOUR_INCHES, constant_air(20.0, 50.0, ((0.0, 99.0),)), 90.0).days_to_reach(90.0, DEPTH) is None


def test_rain_against_a_restart_by_hand():
    # Dry air for 10 days, rain for 2: the second part is a drying of its own from where the first stopped.
    wet = dry(FOUR_INCHES, constant_air(20.0, 50.0, ((10.0, 12.0),)), 12.0)
    course = AirCourse((0.0, 9.9999, 10.0), (20.0,) * 3, (50.0, 50.0, 100.0))
    by_course = dry(FOUR_INCHES, course, 12.0, tolerance=1e-8)
    assert wet.profile(12.0) == pytest.approx(by_course.profile(12.0), abs=0.1)


def test_the_seasons():
    summer, winter = (
        dry(FOUR_INCHES, seasonal_air(12.0, 10.0, 55.0, 0.0, start, 365.0), 365.0).days_to_reach(85.0, DEPTH)
        for start in (170.0, 350.0)
    )
    level = dry(FOUR_INCHES, constant_air(12.0, 55.0), 365.0).days_to_reach(85.0, DEPTH)
    assert summer < level < winter
    flat = seasonal_air(20.0, 0.0, 50.0, 0.0, 100.0, 365.0)
    constant = dry(FOUR_INCHES, AIR, 365.0).days_to_reach(85.0, DEPTH)
    assert dry(FOUR_INCHES, flat, 365.0).days_to_reach(85.0, DEPTH) == pytest.approx(constant, rel=1e-3)


def test_profiles_for_a_picture():
    drying = dry(FOUR_INCHES, AIR, 120.0)
    profiles = [drying.profile(day) for day in (0.0, 7.0, 28.0, 90.0, 120.0)]
    assert profiles[0] == pytest.approx(np.full(100, 98.0))
    for earlier, later in pairwise(profiles):
        assert (np.diff(later) >= -1e-6).all()  # wetter further down
        assert (later <= earlier + 1e-6).all()
    assert drying.rh_percent.shape == (len(drying.days), len(drying.depths_m))
    assert drying.depths_m[0] == pytest.approx(4 * INCH / 200)
    assert drying.days[0] == 0.0
    assert drying.days[-1] == 120.0


def test_band_of_what_is_uncertain():
    bands = drying_band(FOUR_INCHES, AIR, [90.0, 85.0, 75.0, 50.0], 365.0, DEPTH, Interval(0.5, 2.0))
    middle = dry(FOUR_INCHES, AIR, 365.0)
    for band in bands[:2]:
        assert band.earliest == pytest.approx(middle.days_to_reach(band.limit_percent, DEPTH) / 2.0, rel=3e-3)
        assert band.middle == pytest.approx(middle.days_to_reach(band.limit_percent, DEPTH))
        assert band.latest == pytest.approx(middle.days_to_reach(band.limit_percent, DEPTH) * 2.0, rel=3e-3)
    assert bands[2].earliest == pytest.approx(260.0, rel=0.01)
    assert (bands[2].middle, bands[2].latest) == (None, None)
    assert (bands[3].earliest, bands[3].middle, bands[3].latest) == (None, None, None)


def test_a_limit_met_from_the_start_takes_no_days():
    assert dry(replace(FOUR_INCHES, initial_rh_percent=80.0), AIR, 10.0).days_to_reach(85.0, DEPTH) == 0.0


@settings(max_examples=30)
@given(
    st.sampled_from([0.01, 0.1, 1.0]),
    st.sampled_from([1e-13, 1e-10, 1e-7]),
    st.sampled_from([0.001, 0.05, 1.0]),
    st.sampled_from([1.0, 50.0, 100.0]),
    st.sampled_from([0.0, 50.0, 100.0]),
    st.sampled_from([-20.0, 60.0]),
    st.sampled_from([0.1, 30.0, 10_000.0]),
)
def test_extremes_stay_finite_and_between_slab_and_air(thickness, d1, dry_share, start, air, temp, days):
    slab = Slab(thickness, Diffusivity(d1, dry_share, exponent=30.0), initial_rh_percent=start)
    drying = dry(slab, constant_air(temp, air), days)
    assert np.isfinite(drying.rh_percent).all()
    assert drying.rh_percent.min() >= min(start, air) - 0.05
    assert drying.rh_percent.max() <= max(start, air) + 0.05


@pytest.mark.parametrize(
    "call",
    [
        lambda: Slab(-0.1, CONSTANT),
        lambda: Slab(0.1, CONSTANT, initial_rh_percent=120.0),
        lambda: Slab(math.nan, CONSTANT),
        lambda: constant_air(20.0, 120.0),
        lambda: constant_air(100.0, 50.0),
        lambda: constant_air(20.0, 50.0, ((3.0, 2.0),)),
        lambda: constant_air(20.0, 50.0, ((3.0, 5.0), (4.0, 6.0))),
        lambda: AirCourse((), (), ()),
        lambda: AirCourse((0.0, 0.0), (20.0, 20.0), (50.0, 50.0)),
        lambda: AirCourse((0.0, 1.0), (20.0,), (50.0, 50.0)),
        lambda: AirCourse((0.0, 1.0), (20.0, 20.0), (50.0,)),
        lambda: seasonal_air(20.0, 10.0, 50.0, 60.0, 1.0, 365.0),
        lambda: seasonal_air(20.0, 10.0, 50.0, 0.0, 1.0, 0.0),
        lambda: dry(FOUR_INCHES, AIR, 0.0),
        lambda: dry(FOUR_INCHES, AIR, 10.0, cells=1),
        lambda: dry(FOUR_INCHES, AIR, 10.0, tolerance=0.0),
        lambda: dry(FOUR_INCHES, AIR, 10.0).profile(11.0),
        lambda: dry(FOUR_INCHES, AIR, 10.0).at_depth(0.2),
        lambda: dry(FOUR_INCHES, AIR, 10.0).days_to_reach(101.0, DEPTH),
        lambda: drying_band(FOUR_INCHES, AIR, [85.0], 10.0, DEPTH, Interval(0.0, 1.0)),
        lambda: fourier_number(0.0, 98.0, 50.0, CONSTANT, 0.4),
        lambda: days_to_limit(-1.0, 0.1, 1e-10, 20.0),
        lambda: days_to_limit(0.1, 0.0, 1e-10, 20.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
