"""The formulas of `advisor.facts.computed` over columns, by the name of their function there.

Each calls the physics with arrays at the corners where its extremes lie: which end of an input gives the least and
which the most is written down here, and held by a test against the bounds of one floor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

import numpy as np

from advisor.facts.computed import DAYS_A_YEAR, FORMULAS, Subject, _timed_tasks, _window
from advisor.facts.quantities import read_quantity
from advisor.facts.values import number
from advisor.inference.columns import ChoiceColumn, Column, Floats, NumberColumn
from advisor.physics import air
from advisor.physics.bounds import Interval
from advisor.physics.concrete import mean_strength
from advisor.physics.diffusivity import model_code
from advisor.physics.drying_table import AIR_SHARES, FOURIER_NUMBERS, LIMITS, START_PERCENT
from advisor.physics.drying_time import days_to_limit
from advisor.physics.floor_tests.emission import emission_rate, places_required
from advisor.physics.mixing import area_placed, batches, pot_life
from advisor.physics.units import PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import (
    MOST_PERMEANCE,
    layer_permeance,
    series_permeance,
    share_passed,
)
from advisor.physics.vapour_source import steady_emission_bound

Ends: TypeAlias = tuple[Floats, Floats]


class Facts(dict[str, Column]):
    """The columns of all facts, and what several formulas work out from them, kept."""

    memo: dict[object, Any]

    def __init__(self) -> None:
        super().__init__()
        self.memo = {}


def sheet(facts: Facts) -> ChoiceColumn:
    """Whether there is a sheet under the slab."""
    column = facts["vapour_retarder"]
    assert isinstance(column, ChoiceColumn)
    return column


def _span(facts: Facts, name: str, scale: float = 1.0) -> Ends:
    column = facts[name]
    assert isinstance(column, NumberColumn)
    return column.low * scale, column.high * scale


def _extremes(function: Callable[..., Floats], rising: Mapping[str, Ends], falling: Mapping[str, Ends]) -> Ends:
    """Least and most of a function that rises in some inputs and falls in the others."""
    least = {**{n: low for n, (low, _) in rising.items()}, **{n: high for n, (_, high) in falling.items()}}
    most = {**{n: high for n, (_, high) in rising.items()}, **{n: low for n, (low, _) in falling.items()}}
    return function(**least), function(**most)


def _scaled(ends: Ends, scale: float) -> Ends:
    return ends[0] * scale, ends[1] * scale


def _dew_point_margin(facts: Facts, _: Subject) -> Ends:
    rising = {"surface_temp_c": _span(facts, "slab_temperature")}
    falling = {"air_temp_c": _span(facts, "air_temperature"), "rh_percent": _span(facts, "air_humidity")}
    return _extremes(air.dew_margin, rising, falling)


def _humidity_at_slab(facts: Facts, _: Subject) -> Ends:
    rising = {"air_temp_c": _span(facts, "air_temperature"), "rh_percent": _span(facts, "air_humidity")}
    return _extremes(air.rh_at_surface, rising, {"surface_temp_c": _span(facts, "slab_temperature")})


def _emission_from_dish(facts: Facts, _: Subject) -> Ends:
    ends = _extremes(
        emission_rate, {"mass_gain_g": _span(facts, "dish_gain")}, {"hours": _span(facts, "dish_hours")}
    )
    return _scaled(ends, 1 / POUND_PER_1000FT2_DAY)


def _slab_age_at_least(facts: Facts, about: Subject) -> Ends:
    this_year = read_quantity(about.base.norms["this_year"].given, "calendar_year", Interval(0.0, 1e9)).low
    built = np.maximum(this_year - _span(facts, "building_year")[1] - 1.0, 0.0) * DAYS_A_YEAR
    return np.maximum(_span(facts, "time_in_use")[0], built), _all(math.inf)


def _budget_per_area(facts: Facts, _: Subject) -> Ends:
    budget, area = _span(facts, "budget"), _span(facts, "area")
    return budget[0] / area[1], budget[1] / area[0]


def _steady_emission(facts: Facts, _: Subject) -> Ends:
    rising = {
        "ground_temp_c": _span(facts, "ground_temperature"),
        "ground_rh_percent": _span(facts, "ground_humidity"),
        "permeance": _below_finish(facts),
    }
    return _scaled(_extremes(steady_emission_bound, rising, {}), 1 / POUND_PER_1000FT2_DAY)


def _below_finish(facts: Facts) -> Ends:
    """Permeance of retarder and slab in series [kg/(m2 s Pa)]; no retarder resists nothing."""
    if "below" not in facts.memo:
        facts.memo["below"] = _series_below(facts)
    return facts.memo["below"]  # type: ignore[no-any-return]


def _series_below(facts: Facts) -> Ends:
    slab = _extremes(
        layer_permeance,
        {"permeability": _span(facts, "slab_permeability", PERM_INCH)},
        {"thickness_m": _span(facts, "slab_thickness", 1e-3)},
    )
    absent, present = sheet(facts).has("absent"), sheet(facts).has("present")
    low, high = _span(facts, "retarder_permeance", US_PERM)
    least, most = np.where(absent, MOST_PERMEANCE, low), np.where(present, high, MOST_PERMEANCE)
    return series_permeance(least, slab[0]), series_permeance(most, slab[1])


def _humidity_beneath(facts: Facts, about: Subject) -> Ends:
    """`rh_beneath_finish` with the pressures, which all finishes share, worked out once.

    It falls with the ground's warmth, for the slab's top is taken as warm; and rises with all other vapour.
    """
    shares = _shares(facts, about)
    ends = []
    for end, least in ((0, np.minimum), (1, np.maximum)):
        ground, room, saturated = _pressures(facts)[end]
        # A finish that passes more brings the room's vapour closer, which may be the damper or the drier side.
        low, high = (ground - share * (ground - room) for share in shares)
        ends.append(100.0 * least(low, high) / saturated)
    return ends[0], ends[1]


def _pressures(facts: Facts) -> list[tuple[Floats, Floats, Floats]]:
    """Least and most: vapour pressure of the ground and of the room, saturation at the slab's top [Pa]."""
    if "pressures" not in facts.memo:
        soil, heat, damp = (_span(facts, name) for name in ("ground_humidity", "air_temperature", "air_humidity"))
        warm = _span(facts, "ground_temperature")
        facts.memo["pressures"] = [
            (
                air.vapour_pressure(warm[1 - end], soil[end]),
                air.vapour_pressure(heat[end], damp[end]),
                air.saturation_pressure(warm[1 - end]),
            )
            for end in (0, 1)
        ]
    return facts.memo["pressures"]  # type: ignore[no-any-return]


def _shares(facts: Facts, about: Subject) -> Ends:
    """Least and most of the share that passes the finish."""
    key = about.span("permeance")
    if key not in facts.memo:
        rising, falling = {"finish": _permeance(about)}, {"below_finish": _below_finish(facts)}
        facts.memo[key] = _extremes(share_passed, rising, falling)
    return facts.memo[key]  # type: ignore[no-any-return]


def _vapour_passed(facts: Facts, about: Subject) -> Ends:
    return _scaled(_shares(facts, about), 100.0)


def _permeance(about: Subject) -> Ends:
    perms = about.span("permeance")
    assert perms is not None
    return np.array([perms.low * US_PERM]), np.array([perms.high * US_PERM])


def _all(value: float | Floats) -> Floats:
    """A number that is the same for all floors, as a column."""
    return np.atleast_1d(np.asarray(value, np.float64))


def _missing(tested: str) -> Callable[[Facts, Subject], Ends]:
    def missing(facts: Facts, _: Subject) -> Ends:
        area, there = _span(facts, "area"), _span(facts, tested)
        return places_required(area[0]) - there[1], places_required(area[1]) - there[0]

    return missing


def _drying_days_left(facts: Facts, about: Subject) -> Ends:
    limit = about.span("humidity_limit")
    if limit is None:
        return np.zeros(1), np.zeros(1)
    column = facts["drying_sides"]
    assert isinstance(column, ChoiceColumn)
    thickness, ratio = _span(facts, "slab_thickness", 1e-3), _span(facts, "water_cement_ratio")
    humidity, age = _span(facts, "air_humidity"), _span(facts, "slab_age")
    short = thickness[0] * np.where(column.has("one"), 1.0, 0.5), thickness[1] * np.where(column.has("two"), 0.5, 1.0)
    # The wetter the mix, the weaker the concrete and the faster it dries; half to twice, as for one floor.
    speed: list[Floats] = [_all(model_code(_strength(each)).d1) for each in ratio]
    warm = [np.maximum(each, -20.0) for each in _span(facts, "air_temperature")]
    soonest = days_to_limit(_fourier_number(limit.high, humidity[0]), short[0], speed[1] * 2.0, warm[1])
    latest = days_to_limit(_fourier_number(limit.low, humidity[1]), short[1], speed[0] / 2.0, warm[0])
    return np.maximum(soonest - age[1], 0.0), np.maximum(latest - age[0], 0.0)


def _strength(ratio: Floats) -> Any:  # the function is written for a float, and takes columns as well
    return np.maximum(mean_strength(ratio) - 8e6, 8e6)


def _fourier_number(limit: float, humidity: Floats) -> Floats:
    """`tabled_fourier_number` over air humidities: the same table, the same lines between its logarithms."""
    if limit >= START_PERCENT:
        return np.zeros_like(humidity)
    logs = np.log(FOURIER_NUMBERS)
    row = [np.interp(min(limit, LIMITS[-1]), LIMITS, logs[:, place]) for place in range(len(AIR_SHARES))]
    share = humidity / limit
    return np.where(share > AIR_SHARES[-1], math.inf, np.exp(np.interp(share, AIR_SHARES, row)))


def _placing_batches(facts: Facts, about: Subject) -> Ends:
    low, high = _window(about, "lowest_temperature", -10.0), _window(about, "highest_temperature", 60.0)
    cold, warm = (np.minimum(np.maximum(each, low), high) for each in _span(facts, "slab_temperature"))
    people = [np.maximum(each, 1.0) for each in _span(facts, "helpers")]
    reserve = read_quantity(about.base.norms["pot_life_reserve"].given, "percent", Interval(0.0, 90.0))
    area, least, most = _span(facts, "area"), np.zeros(1), np.zeros(1)
    for task in _timed_tasks(about):
        assert task.pot_life is not None
        assert task.speed is not None
        life, at = task.pot_life.given, task.pot_life.at
        short = pot_life(_all(life.low * 60.0), _all(at.low), warm)
        long = pot_life(_all(life.high * 60.0), _all(at.high), cold)
        small = area_placed(short, _all(task.speed.low), people[0], _all(reserve.high * 0.01))
        large = area_placed(long, _all(task.speed.high), people[1], _all(reserve.low * 0.01))
        least, most = np.maximum(least, batches(area[0], large)), np.maximum(most, batches(area[1], small))
    return least, most


def _fume_level(facts: Facts, about: Subject) -> Ends:
    """Fumes thin out with the height of the room: what one floor has under 1 m of ceiling, over the height."""
    metre = number(Interval(1000.0, 1000.0), "mm")
    level, height = FORMULAS["fume_level"].function({"ceiling_height": metre}, about), _span(facts, "ceiling_height")
    return level.low / (height[1] * 1e-3), level.high / (height[0] * 1e-3)


BY_FLOOR: dict[str, Callable[[Facts, Subject], Ends]] = {
    "slab_age_at_least": _slab_age_at_least,
    "dew_point_margin": _dew_point_margin,
    "humidity_at_slab": _humidity_at_slab,
    "emission_from_dish": _emission_from_dish,
    "budget_per_area": _budget_per_area,
    "steady_emission": _steady_emission,
    "humidity_holes_missing": _missing("humidity_holes"),
    "dishes_missing": _missing("dish_count"),
}
BY_FINISH: dict[str, Callable[[Facts, Subject], Ends]] = {
    "humidity_beneath": _humidity_beneath,
    "vapour_passed": _vapour_passed,
    "drying_days_left": _drying_days_left,
    "placing_batches": _placing_batches,
    "fume_level": _fume_level,
}
BY_SATURATION_TABLE = ("dew_point_margin", "humidity_at_slab", "steady_emission", "humidity_beneath")
OF_PERMEANCE = ("humidity_beneath", "vapour_passed")
