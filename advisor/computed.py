"""Computed facts: the functions that the vocabulary's `computed` entries name.

Each takes the facts it needs, as intervals in the vocabulary's units, and the finish where the fact is about one,
and returns true bounds in the vocabulary's unit. The physics is in `advisor.physics`; here are only the units, the
treatment of what is missing, and the words for the trace.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from advisor.knowledge import UNKNOWN, Finish, RuleBase
from advisor.physics import air
from advisor.physics.bounds import Interval, bounds
from advisor.physics.floor_tests.emission import emission_rate
from advisor.physics.units import PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import (
    MOST_PERMEANCE,
    layer_permeance,
    rh_beneath_finish,
    series_permeance,
    share_passed,
)
from advisor.physics.vapour_source import steady_emission_bound
from advisor.quantities import keep
from advisor.values import Value, number

Facts = Mapping[str, Value]
Function = Callable[[Facts, Finish | None], Interval]


@dataclass(frozen=True)
class Formula:
    """A function, and what to say of it in the explanation: method and source."""

    function: Function
    words: str


FORMULAS: dict[str, Formula] = {}


def formula(words: str) -> Callable[[Function], Function]:
    """Register a function under its own name, as the vocabulary's `computed: {by: ...}` names it."""

    def register(function: Function) -> Function:
        FORMULAS[function.__name__] = Formula(function, words)
        return function

    return register


def compute(base: RuleBase, name: str, facts: Facts, finish: Finish | None = None) -> Value:
    """Work out one fact. Its bounds follow from the inputs' bounds; it is unknown while an input it needs is.

    Args:
        base: for the fact's kind and unit.
        name: the fact.
        facts: all facts it is computed from.
        finish: the finish it is about, if any.
    """
    kind = base.facts[name]
    assert kind.computed is not None
    rule = FORMULAS[kind.computed.by]
    exact = rule.function(facts, finish)
    low = min(max(exact.low, kind.plausible.low), kind.plausible.high)
    high = max(min(exact.high, kind.plausible.high), kind.plausible.low)
    interval = Interval(keep(low), keep(high))
    inputs = tuple(each for each in kind.computed.inputs if each not in _needless(facts))
    if all(facts[each].known for each in inputs):
        return number(interval, kind.unit, "computed", note=rule.words, inputs=inputs)
    return Value("unknown", False, UNKNOWN, interval=interval, note=rule.words, inputs=inputs)


def _needless(facts: Facts) -> set[str]:
    """Where there is no sheet, its permeance is not missing."""
    absent = "vapour_retarder" in facts and facts["vapour_retarder"].choice == "absent"
    return {"retarder_permeance"} if absent else set()


def _interval(facts: Facts, name: str, scale: float = 1.0) -> Interval:
    interval = facts[name].interval
    assert interval is not None
    return Interval(interval.low * scale, interval.high * scale)


def _scaled(interval: Interval, scale: float) -> Interval:
    return Interval(interval.low * scale, interval.high * scale)


@formula("dew point of the room's air (PsychroLib; ASHRAE Handbook of Fundamentals, chapter 1)")
def dew_point(facts: Facts, _: Finish | None) -> Interval:
    """Dew point [degC]."""
    return bounds(
        air.dew_point, temp_c=_interval(facts, "air_temperature"), rh_percent=_interval(facts, "air_humidity")
    )


@formula("surface temperature less the dew point of the room's air (PsychroLib; ISO 8502-4)")
def dew_point_margin(facts: Facts, _: Finish | None) -> Interval:
    """Distance of the slab's surface from the dew point [K]."""
    return bounds(
        air.dew_margin,
        surface_temp_c=_interval(facts, "slab_temperature"),
        air_temp_c=_interval(facts, "air_temperature"),
        rh_percent=_interval(facts, "air_humidity"),
    )


@formula(
    "vapour pressure of the room's air over the saturation pressure at the slab's temperature (PsychroLib)"
)
def humidity_at_slab(facts: Facts, _: Finish | None) -> Interval:
    """Relative humidity of the air where it touches the slab [%]."""
    return bounds(
        air.rh_at_surface,
        air_temp_c=_interval(facts, "air_temperature"),
        rh_percent=_interval(facts, "air_humidity"),
        surface_temp_c=_interval(facts, "slab_temperature"),
    )


@formula("weight gain / (area x time), the dish's own area deducted, 0.445 ft2 (ASTM F1869-16a)")
def emission_from_dish(facts: Facts, _: Finish | None) -> Interval:
    """Emission [lb/(1000 ft2 24 h)] from a dish's weighing."""
    gain, hours = _interval(facts, "dish_gain"), _interval(facts, "dish_hours")
    # More weight in less time is more emission: two corners suffice, and each is exact.
    return _scaled(
        Interval(emission_rate(gain.low, hours.high), emission_rate(gain.high, hours.low)),
        1 / POUND_PER_1000FT2_DAY,
    )


@formula("budget / area")
def budget_per_area(facts: Facts, _: Finish | None) -> Interval:
    """Money for each square metre [USD/m2]."""
    budget, area = _interval(facts, "budget"), _interval(facts, "area")
    return Interval(budget.low / area.high, budget.high / area.low)


@formula(
    "most that steady diffusion feeds to a dry dish: ground's vapour pressure / (1/W retarder + 1/W slab)"
)
def steady_emission(facts: Facts, _: Finish | None) -> Interval:
    """Bound of steady diffusion into a dry dish [lb/(1000 ft2 24 h)]."""
    flow = bounds(
        steady_emission_bound,
        ground_temp_c=_interval(facts, "ground_temperature"),
        ground_rh_percent=_interval(facts, "ground_humidity"),
        permeance=_below_finish(facts),
    )
    return _scaled(flow, 1 / POUND_PER_1000FT2_DAY)


@formula("steady diffusion through layers in series, 1/W added, slab's top as cool as the ground (ISO 13788)")
def humidity_beneath(facts: Facts, finish: Finish | None) -> Interval:
    """Relative humidity that would stand between slab and finish [%]."""
    ground = _interval(facts, "ground_temperature")
    arguments = {
        "ground_rh_percent": _interval(facts, "ground_humidity"),
        "room_temp_c": _interval(facts, "air_temperature"),
        "room_rh_percent": _interval(facts, "air_humidity"),
        "below_finish": _below_finish(facts),
        "finish": _permeance(finish),
    }
    # The slab's top is taken as warm as the ground, so both move together: a corner for each end.
    ends = [
        bounds(rh_beneath_finish, ground_temp_c=t, slab_top_temp_c=t, **arguments)
        for t in (ground.low, ground.high)
    ]
    return Interval(min(end.low for end in ends), max(end.high for end in ends))


@formula("permeance of the finish in series with all beneath it, against the bare slab (series resistances)")
def vapour_passed(facts: Facts, finish: Finish | None) -> Interval:
    """Share of the bare slab's vapour that passes the finish [%]."""
    share = bounds(share_passed, below_finish=_below_finish(facts), finish=_permeance(finish))
    return _scaled(share, 100.0)


def _permeance(finish: Finish | None) -> Interval:
    assert finish is not None
    perms = finish.properties["permeance"].interval
    assert perms is not None
    return _scaled(perms, US_PERM)


def _below_finish(facts: Facts) -> Interval:
    """Permeance of retarder and slab in series [kg/(m2 s Pa)]; no retarder resists nothing."""
    thickness = _interval(facts, "slab_thickness", 1e-3)
    permeability = _interval(facts, "slab_permeability", PERM_INCH)
    slab = bounds(layer_permeance, permeability=permeability, thickness_m=thickness)
    sheet = _interval(facts, "retarder_permeance", US_PERM)
    match facts["vapour_retarder"].choice:
        case "absent":
            retarder = Interval(MOST_PERMEANCE, MOST_PERMEANCE)
        case "present":
            retarder = sheet
        case _:
            retarder = Interval(sheet.low, MOST_PERMEANCE)
    return Interval(series_permeance(retarder.low, slab.low), series_permeance(retarder.high, slab.high))
