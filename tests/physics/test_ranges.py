from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.physics import air, concrete, film, ground, mixing, room_air, vapour, vapour_source
from advisor.physics.bounds import Interval, bounds, monotone_in
from advisor.physics.diffusivity import temperature_factor
from advisor.physics.drying_time import days_to_limit
from advisor.physics.floor_tests import emission_rate
from advisor.physics.units import US_PERM
from advisor.physics.validity import OutsideValidity

# Where each function that declares monotony is sampled: a range for every argument.
DECLARED = [
    (air.saturation_pressure, {"temp_c": (-50, 100)}),
    (air.vapour_pressure, {"temp_c": (-50, 100), "rh_percent": (0, 100)}),
    (air.dew_point, {"temp_c": (-50, 100), "rh_percent": (1, 100)}),
    (air.humidity_ratio, {"temp_c": (-50, 60), "rh_percent": (0, 100), "pressure_pa": (5e4, 1.1e5)}),
    (air.absolute_humidity, {"temp_c": (-50, 100), "rh_percent": (0, 100)}),
    (air.rh_at_surface, {"air_temp_c": (-50, 100), "rh_percent": (0, 100), "surface_temp_c": (-50, 100)}),
    (air.dew_margin, {"surface_temp_c": (-50, 100), "air_temp_c": (-50, 100), "rh_percent": (1, 100)}),
    (vapour.layer_permeance, {"permeability": (1e-13, 1e-11), "thickness_m": (0.01, 1)}),
    (vapour.permeability_from_mu, {"resistance_factor": (1, 1000)}),
    (
        vapour.punctured_retarder_permeance,
        {"sheet": (1e-13, 1e-11), "open_share": (0, 0.99), "slab": (1e-12, 1e-10)},
    ),
    (
        vapour.vapour_flow,
        {"pressure_below_pa": (0, 5000), "pressure_above_pa": (0, 5000), "permeance": (1e-13, 1e-9)},
    ),
    (vapour.share_passed, {"below_finish": (1e-13, 1e-9), "finish": (1e-13, 1e-9)}),
    (
        vapour.rh_beneath_finish,
        {
            "ground_temp_c": (-10, 40),
            "ground_rh_percent": (0, 100),
            "room_temp_c": (-10, 40),
            "room_rh_percent": (0, 100),
            "below_finish": (1e-13, 1e-9),
            "finish": (1e-13, 1e-9),
            "slab_top_temp_c": (-10, 40),
        },
    ),
    (
        vapour.rh_of_share,
        {"ground_pa": (500, 2000), "room_pa": (500, 2000), "share": (0, 1), "saturated_pa": (1000, 4000)},
    ),
    (vapour.yearly_water, {"mean_flow": (-1e-6, 1e-6), "area_m2": (0, 1000)}),
    (
        vapour_source.steady_emission_bound,
        {"ground_temp_c": (0, 40), "ground_rh_percent": (0, 100), "permeance": (1e-13, 1e-9)},
    ),
    (concrete.mean_strength, {"water_cement": (0.3, 1.1)}),
    (
        concrete.rh_under_finish,
        {
            "ground_temp_c": (0, 30),
            "ground_rh_percent": (0, 100),
            "room_temp_c": (0, 40),
            "room_rh_percent": (0, 100),
            "thickness_m": (0.05, 0.5),
            "permeability": (1e-12, 1e-11),
            "retarder": (1e-12, 1e-9),
            "finish": (1e-13, 1e-9),
            "surface_resistance": (0.05, 0.5),
        },
    ),
    (ground.damping_depth, {"diffusivity": (1e-7, 1e-6)}),
    (film.wet_thickness, {"dry_m": (1e-6, 1e-3), "solids": (0.1, 1), "thinner_share": (0, 2)}),
    (film.dry_thickness, {"wet_m": (1e-6, 1e-3), "solids": (0.1, 1), "thinner_share": (0, 2)}),
    (film.coverage, {"dry_m": (1e-6, 1e-3), "solids": (0.1, 1)}),
    (film.practical_coverage, {"theoretical": (0, 1e5), "loss": (0, 0.95)}),
    (film.volume_needed, {"area_m2": (0, 1e4), "dry_m": (1e-6, 1e-3), "solids": (0.1, 1), "loss": (0, 0.95)}),
    (mixing.mass_ratio, {"volume_ratio": (0.1, 10), "density_a": (800, 2000), "density_b": (800, 2000)}),
    (mixing.share_of_a, {"ratio": (0.1, 10)}),
    (
        mixing.pot_life,
        {"stated_min": (1, 100), "stated_temp_c": (-20, 60), "temp_c": (-20, 60), "halves_every_k": (5, 20)},
    ),
    (
        mixing.area_placed,
        {"workable_min": (1, 100), "m2_per_person_hour": (1, 100), "people": (1, 10), "reserve": (0, 0.9)},
    ),
    (mixing.batches, {"area_m2": (0, 1000), "area_per_batch_m2": (1, 100)}),
    (emission_rate, {"mass_gain_g": (0, 100), "hours": (1, 1000)}),
    (
        room_air.concentration,
        {
            "source_mg_h": (0, 1e6),
            "decay_per_h": (0, 10),
            "air_changes_per_h": (0, 10),
            "volume_m3": (10, 1000),
            "hours": (0, 10),
        },
    ),
    (
        room_air.mean_concentration,
        {
            "source_mg_h": (0, 1e6),
            "decay_per_h": (0, 10),
            "air_changes_per_h": (0, 10),
            "volume_m3": (10, 1000),
            "hours": (1, 10),
        },
    ),
    (
        room_air.peak_concentration,
        {
            "source_mg_h": (0, 1e6),
            "decay_per_h": (0, 10),
            "air_changes_per_h": (0, 10),
            "volume_m3": (10, 1000),
            "hours": (0, 10),
        },
    ),
    (
        room_air.hours_to_reach,
        {
            "limit_mg_m3": (0.1, 100),
            "source_mg_h": (1e3, 1e6),
            "decay_per_h": (0, 1),
            "air_changes_per_h": (0, 10),
            "volume_m3": (10, 1000),
        },
    ),
    (
        room_air.air_changes_needed,
        {
            "limit_mg_m3": (0.1, 100),
            "source_mg_h": (0, 1e6),
            "decay_per_h": (0, 10),
            "volume_m3": (10, 1000),
            "hours": (0, 10),
        },
    ),
    (
        room_air.airing_hours,
        {"start_mg_m3": (1e-3, 1e6), "end_mg_m3": (1e-3, 1e6), "air_changes_per_h": (0.01, 100)},
    ),
    (temperature_factor, {"temp_c": (-20, 60)}),
    (
        days_to_limit,
        {"fourier": (0, 10), "drying_path_m": (0.01, 1), "d1": (1e-11, 1e-9), "temp_c": (-20, 60)},
    ),
]


@pytest.mark.parametrize(("function", "spans"), DECLARED, ids=[function.__name__ for function, _ in DECLARED])
def test_declared_monotony_is_true(function, spans):
    """Along every declared argument, the others held at random, differences keep one sign."""
    draw = np.random.default_rng(7)
    declared = function.monotone_in
    assert declared <= set(spans)
    for argument in declared:
        held = {name: draw.uniform(*span, size=(40, 1)) for name, span in spans.items() if name != argument}
        values = function(**held, **{argument: np.linspace(*spans[argument], 60)[None, :]})
        with np.errstate(invalid="ignore"):
            steps = np.nan_to_num(np.diff(np.broadcast_to(values, (40, 60)), axis=1), nan=0.0)
        noise = 1e-9 * np.abs(np.where(np.isfinite(values), values, 0.0)).max()
        one_way = (steps >= -noise).all(axis=1) | (steps <= noise).all(axis=1)
        assert one_way.all(), (function, argument)


def test_every_declared_function_is_in_the_list():
    modules = (air, vapour, vapour_source, concrete, ground, film, mixing, room_air)
    declared = {f for module in modules for f in vars(module).values() if hasattr(f, "monotone_in")}
    listed = {function for function, _ in DECLARED}
    assert {function.__name__ for function in declared - listed} <= {"mg_m3_per_ppm"}


ENDS = st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)).map(sorted)


@settings(max_examples=20)
@given(st.data(), st.sampled_from(DECLARED))
def test_bounds_hold_every_sample_and_are_reached(data, case):
    function, spans = case
    ranges = {}
    for name, (low, high) in spans.items():
        a, b = data.draw(ENDS)
        ranges[name] = Interval(low + a * (high - low), low + b * (high - low))
    found = bounds(function, **ranges)
    draw = np.random.default_rng(3)
    points = {name: draw.uniform(span.low, span.high, 3000) for name, span in ranges.items()}
    values = function(**points)
    slack = 1e-6 * (abs(found.low) + abs(found.high) + 1e-30) if math.isfinite(found.high) else 0.0
    assert values.min() >= found.low - slack
    assert values.max() <= found.high + slack


def test_the_extreme_in_the_middle_is_found():
    def hump(x, y):
        return np.sin(x) + 0.5 * np.cos(3.0 * y)

    found = bounds(hump, x=Interval(0.0, 3.0), y=Interval(-0.5, 2.0))
    assert found.high == pytest.approx(1.5, abs=1e-12)
    assert found.low == pytest.approx(-0.5, abs=1e-12)


def test_the_highest_of_many_humps_is_found():
    def humps(x):
        return np.cos(60.0 * (x - 0.43)) - 4.0 * (x - 0.43) ** 2

    assert bounds(humps, x=Interval(0.0, 1.0)).high == pytest.approx(1.0, abs=1e-12)


def test_each_corner_is_searched_by_itself():
    @monotone_in("tilt")
    def two_humps(x, tilt):
        return np.exp(-((x - 0.2) ** 2) * 1e4) * (tilt < 0.5) + 1.001 * np.exp(-((x - 0.7512) ** 2) * 1e4) * (
            tilt > 0.5
        )

    assert bounds(two_humps, x=Interval(0.0, 1.0), tilt=Interval(0.0, 1.0)).high == pytest.approx(1.001, rel=1e-9)


def test_humidity_under_a_finish_is_not_bounded_by_its_corners():
    # A warmer room lifts the vapour's pressure and the slab's temperature: the humidity has a low in between.
    held = {
        "ground_temp_c": 10.0,
        "ground_rh_percent": 100.0,
        "room_rh_percent": 60.0,
        "thickness_m": 0.1,
        "permeability": 4.65e-12,
        "retarder": US_PERM,
        "finish": 0.1 * US_PERM,
        "surface_resistance": 0.17,
    }
    span = Interval(0.0, 40.0)
    found = bounds(concrete.rh_under_finish, room_temp_c=span, **held)
    corners = [concrete.rh_under_finish(room_temp_c=end, **held) for end in (span.low, span.high)]
    dense = concrete.rh_under_finish(room_temp_c=np.linspace(span.low, span.high, 200_001), **held)
    assert found.low == pytest.approx(dense.min(), rel=1e-7)
    assert found.high == pytest.approx(dense.max(), rel=1e-7)
    assert min(corners) > found.low + 1.0


def test_a_reversed_drive_is_in_the_bounds():
    # The ground may be damper or drier than the room: then permeance pulls the humidity either way.
    found = bounds(
        vapour.rh_beneath_finish,
        ground_temp_c=15.0,
        ground_rh_percent=Interval(30.0, 100.0),
        room_temp_c=15.0,
        room_rh_percent=60.0,
        below_finish=Interval(1e-12, 1e-10),
        finish=Interval(1e-12, 1e-10),
        slab_top_temp_c=15.0,
    )
    share = 1.0 / 101.0
    assert found.low == pytest.approx(30.0 + share * 30.0)
    assert found.high == pytest.approx(100.0 - share * 40.0)


def test_never_is_a_bound():
    hours = bounds(
        room_air.hours_to_reach,
        limit_mg_m3=10.0,
        source_mg_h=1000.0,
        decay_per_h=0.0,
        air_changes_per_h=Interval(0.0, 10.0),
        volume_m3=50.0,
    )
    assert hours.low == pytest.approx(0.5)
    assert hours.high == math.inf


def test_values_without_a_range_are_held():
    found = bounds(air.dew_point, temp_c=20.0, rh_percent=50.0)
    assert found.low == found.high == pytest.approx(9.27, abs=0.006)
    assert 9.27 not in found
    assert found.low in found


def nothing(**_):
    return 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: Interval(2.0, 1.0),
        lambda: Interval(math.nan, 1.0),
        lambda: Interval(0.0, math.nan),
        lambda: bounds(air.dew_point, temp_c=20.0, rh_percent=Interval(50.0, 120.0)),
        lambda: bounds(nothing, **{f"x{i}": Interval(0.0, 1.0) for i in range(5)}),
        lambda: bounds(
            monotone_in(*(f"x{i}" for i in range(13)))(nothing),
            **{f"x{i}": Interval(0.0, 1.0) for i in range(13)},
        ),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
