"""Computed facts: the functions that the vocabulary's `computed` entries name.

Each takes the facts it needs, as intervals in the vocabulary's units, and the finish where the fact is about one,
and returns true bounds in the vocabulary's unit. The physics is in `advisor.physics`; here are only the units, the
treatment of what is missing, and the words for the trace.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from advisor.facts.quantities import keep, read_quantity, show_both
from advisor.facts.values import Value, number
from advisor.physics import air
from advisor.physics.bounds import Interval, bounds
from advisor.physics.concrete import mean_strength
from advisor.physics.diffusivity import model_code
from advisor.physics.drying_table import tabled_fourier_number
from advisor.physics.drying_time import days_to_limit
from advisor.physics.floor_tests.emission import emission_rate, places_required
from advisor.physics.mixing import area_placed, batches, pot_life
from advisor.physics.units import PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import (
    MOST_PERMEANCE,
    layer_permeance,
    rh_beneath_finish,
    series_permeance,
    share_passed,
)
from advisor.physics.vapour_source import steady_emission_bound
from advisor.rulebase.knowledge import UNKNOWN, Finish, RuleBase
from advisor.rulebase.procedures import Task

Facts = Mapping[str, Value]


@dataclass(frozen=True)
class Subject:
    """What a computed fact is about: the finish, if it has a value for each, and the rule base for its data."""

    base: RuleBase
    finish: Finish | None

    def span(self, name: str) -> Interval | None:
        """A property of the finish as an interval; None where it sets no limit."""
        assert self.finish is not None
        return self.finish.properties[name].interval


Function = Callable[[Facts, Subject], Interval]


@dataclass(frozen=True)
class Formula:
    """A function, what to say of it in the explanation (method and source), and how its ends move with its inputs.

    Both ends of what is computed rise, or fall, with an input named here, whatever the others are. The audit rests on
    that; `tests/test_computed_monotony.py` holds it.
    """

    function: Function
    words: str
    rises_with: tuple[str, ...] = ()
    falls_with: tuple[str, ...] = ()


FORMULAS: dict[str, Formula] = {}
DAYS_A_YEAR = 365.25
SOLVENT_DENSITY_G_L = 860.0  # of the solvents commonly used; from memory


def formula(
    words: str, *, rises_with: tuple[str, ...] = (), falls_with: tuple[str, ...] = ()
) -> Callable[[Function], Function]:
    """Register a function under its own name, as the vocabulary's `computed: {by: ...}` names it."""

    def register(function: Function) -> Function:
        FORMULAS[function.__name__] = Formula(function, words, rises_with, falls_with)
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
    exact = rule.function(facts, Subject(base, finish))
    low = min(max(exact.low, kind.plausible.low), kind.plausible.high)
    high = max(min(exact.high, kind.plausible.high), kind.plausible.low)
    interval = Interval(keep(low), keep(high))
    inputs = tuple(each for each in kind.computed.inputs if each not in needless(facts))
    if all(facts[each].known for each in inputs):
        shown = show_both(interval, kind.unit, digits=3)  # what is worked out is not known more closely
        return number(interval, kind.unit, "computed", shown, note=rule.words, inputs=inputs)
    return Value("unknown", False, UNKNOWN, interval=interval, note=rule.words, inputs=inputs)


def needless(facts: Facts) -> set[str]:
    """Where there is no sheet, its permeance is not missing."""
    absent = "vapour_retarder" in facts and facts["vapour_retarder"].choice == "absent"
    return {"retarder_permeance"} if absent else set()


def _interval(facts: Facts, name: str, scale: float = 1.0) -> Interval:
    interval = facts[name].interval
    assert interval is not None
    return Interval(interval.low * scale, interval.high * scale)


def _scaled(interval: Interval, scale: float) -> Interval:
    return Interval(interval.low * scale, interval.high * scale)


@formula("surface temperature less the dew point of the room's air (PsychroLib; ISO 8502-4)")
def dew_point_margin(facts: Facts, _: Subject) -> Interval:
    """Distance of the slab's surface from the dew point [K]."""
    return bounds(
        air.dew_margin,
        surface_temp_c=_interval(facts, "slab_temperature"),
        air_temp_c=_interval(facts, "air_temperature"),
        rh_percent=_interval(facts, "air_humidity"),
    )


@formula("vapour pressure of the room's air over the saturation pressure at the slab's temperature (PsychroLib)")
def humidity_at_slab(facts: Facts, _: Subject) -> Interval:
    """Relative humidity of the air where it touches the slab [%]."""
    return bounds(
        air.rh_at_surface,
        air_temp_c=_interval(facts, "air_temperature"),
        rh_percent=_interval(facts, "air_humidity"),
        surface_temp_c=_interval(facts, "slab_temperature"),
    )


@formula(
    "weight gain / (area x time), the dish's own area deducted, 0.445 ft2 (ASTM F1869-16a)",
    rises_with=("dish_gain",),
    falls_with=("dish_hours",),
)
def emission_from_dish(facts: Facts, _: Subject) -> Interval:
    """Emission [lb/(1000 ft2 24 h)] from a dish's weighing."""
    gain, hours = _interval(facts, "dish_gain"), _interval(facts, "dish_hours")
    # More weight in less time is more emission: two corners suffice, and each is exact.
    return _scaled(
        Interval(emission_rate(gain.low, hours.high), emission_rate(gain.high, hours.low)),
        1 / POUND_PER_1000FT2_DAY,
    )


@formula(
    "no younger than its use, nor, where nobody says otherwise, than its building (years since the year after it)",
    rises_with=("time_in_use",),
    falls_with=("building_year",),
)
def slab_age_at_least(facts: Facts, about: Subject) -> Interval:
    """Age of the slab [day]: what the use of the floor and the age of the building leave possible."""
    return Interval(max(_interval(facts, "time_in_use").low, _building_age(facts, about)), math.inf)


def _building_age(facts: Facts, about: Subject) -> float:
    """Least age of the building [day]; counted to the rule base's own year, so that it stays true later."""
    years = _norm(about, "this_year", "calendar_year").low - _interval(facts, "building_year").high - 1.0
    return max(years, 0.0) * DAYS_A_YEAR


@formula("budget / area", rises_with=("budget",), falls_with=("area",))
def budget_per_area(facts: Facts, _: Subject) -> Interval:
    """Money for each square metre [USD/m2]."""
    budget, area = _interval(facts, "budget"), _interval(facts, "area")
    return Interval(budget.low / area.high, budget.high / area.low)


@formula(
    "most that steady diffusion feeds to a dry dish: ground's vapour pressure / (1/W retarder + 1/W slab)",
    rises_with=("ground_temperature", "ground_humidity", "retarder_permeance", "slab_permeability"),
    falls_with=("slab_thickness",),
)
def steady_emission(facts: Facts, _: Subject) -> Interval:
    """Bound of steady diffusion into a dry dish [lb/(1000 ft2 24 h)]."""
    flow = bounds(
        steady_emission_bound,
        ground_temp_c=_interval(facts, "ground_temperature"),
        ground_rh_percent=_interval(facts, "ground_humidity"),
        permeance=_below_finish(facts),
    )
    return _scaled(flow, 1 / POUND_PER_1000FT2_DAY)


@formula("steady diffusion through layers in series, 1/W added, slab's top as cool as the ground (ISO 13788)")
def humidity_beneath(facts: Facts, about: Subject) -> Interval:
    """Relative humidity that would stand between slab and finish [%]."""
    ground = _interval(facts, "ground_temperature")
    arguments = {
        "ground_rh_percent": _interval(facts, "ground_humidity"),
        "room_temp_c": _interval(facts, "air_temperature"),
        "room_rh_percent": _interval(facts, "air_humidity"),
        "below_finish": _below_finish(facts),
        "finish": _permeance(about),
    }
    # The slab's top is taken as warm as the ground, so both move together: a corner for each end.
    ends = [
        bounds(rh_beneath_finish, ground_temp_c=t, slab_top_temp_c=t, **arguments) for t in (ground.low, ground.high)
    ]
    return Interval(min(end.low for end in ends), max(end.high for end in ends))


@formula("permeance of the finish in series with all beneath it, against the bare slab (series resistances)")
def vapour_passed(facts: Facts, about: Subject) -> Interval:
    """Share of the bare slab's vapour that passes the finish [%]."""
    share = bounds(share_passed, below_finish=_below_finish(facts), finish=_permeance(about))
    return _scaled(share, 100.0)


def _permeance(about: Subject) -> Interval:
    perms = about.span("permeance")
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


@formula(
    "places that the tests' standards ask for this area, less those tested (ASTM F2170, 10.1)",
    rises_with=("area",),
    falls_with=("humidity_holes",),
)
def humidity_holes_missing(facts: Facts, _: Subject) -> Interval:
    """Holes short of what the area asks; 0 or less is enough."""
    return _missing(facts, "humidity_holes")


@formula(
    "places that the tests' standards ask for this area, less those tested (ASTM F1869)",
    rises_with=("area",),
    falls_with=("dish_count",),
)
def dishes_missing(facts: Facts, _: Subject) -> Interval:
    """Dishes short of what the area asks; 0 or less is enough."""
    return _missing(facts, "dish_count")


def _missing(facts: Facts, tested: str) -> Interval:
    area, there = _interval(facts, "area"), _interval(facts, tested)
    # A larger floor never asks for fewer places: its ends suffice.
    return Interval(places_required(area.low) - there.high, places_required(area.high) - there.low)


@formula(
    "nonlinear diffusion, one dimension, fib Model Code 2010 diffusivity from w/c (Abrams' law), half to twice; from "
    "98 % to the finish's limit at the in-situ test's depth, less the slab's age",
    rises_with=("slab_thickness", "air_humidity"),
    falls_with=("water_cement_ratio", "air_temperature", "slab_age"),
)
def drying_days_left(facts: Facts, about: Subject) -> Interval:
    """Days until the slab is down to the finish's humidity limit, if nothing but its own mix water is in it."""
    limit = about.span("humidity_limit")
    if limit is None:
        return Interval(0.0, 0.0)
    sides = {"one": (1.0, 1.0), "two": (0.5, 0.5)}.get(facts["drying_sides"].choice, (0.5, 1.0))
    thickness = _interval(facts, "slab_thickness", 1e-3)
    path = Interval(thickness.low * sides[0], thickness.high * sides[1])
    air_humidity, age = _interval(facts, "air_humidity"), _interval(facts, "slab_age")
    speed, temperature = _diffusivity(facts), _interval(facts, "air_temperature")
    temperature = Interval(max(temperature.low, -20.0), max(temperature.high, -20.0))
    soonest = days_to_limit(tabled_fourier_number(limit.high, air_humidity.low), path.low, speed.high, temperature.high)
    latest = days_to_limit(tabled_fourier_number(limit.low, air_humidity.high), path.high, speed.low, temperature.low)
    return Interval(max(0.0, soonest - age.high), max(0.0, latest - age.low))


def _diffusivity(facts: Facts) -> Interval:
    """Diffusivity at saturation [m2/s]: the wetter the mix the faster; half to twice is common practice, no source."""
    ratio = _interval(facts, "water_cement_ratio")
    weak, strong = (max(mean_strength(each) - 8e6, 8e6) for each in (ratio.high, ratio.low))
    return Interval(model_code(strong).d1 / 2.0, model_code(weak).d1 * 2.0)


@formula("area / (pot life at the slab's temperature x speed x people, less a reserve); pot life halves every 10 C")
def placing_batches(facts: Facts, about: Subject) -> Interval:
    """Batches in which the material that sets soonest must be mixed; 0 where nothing sets while one works."""
    window = Interval(_window(about, "lowest_temperature", -10.0), _window(about, "highest_temperature", 60.0))
    slab, helpers = _interval(facts, "slab_temperature"), _interval(facts, "helpers")
    reserve = _norm(about, "pot_life_reserve", "percent")
    counts = [Interval(0.0, 0.0)]
    for task in _timed_tasks(about):
        assert task.pot_life is not None
        assert task.speed is not None
        life = bounds(
            pot_life,
            stated_min=_scaled(task.pot_life.given, 60.0),
            stated_temp_c=task.pot_life.at,
            temp_c=Interval(*(min(max(end, window.low), window.high) for end in (slab.low, slab.high))),
        )
        placed = bounds(
            area_placed,
            workable_min=life,
            m2_per_person_hour=task.speed,
            people=Interval(max(1.0, helpers.low), max(1.0, helpers.high)),  # one mixes, the others spread
            reserve=_scaled(reserve, 0.01),
        )
        counts.append(bounds(batches, area_m2=_interval(facts, "area"), area_per_batch_m2=placed))
    return Interval(max(each.low for each in counts), max(each.high for each in counts))


def _window(about: Subject, name: str, without: float) -> float:
    """An end of the finish's temperature window; the work is not done outside it."""
    span = about.span(name)
    return without if span is None else (span.low + span.high) / 2.0


def _timed_tasks(about: Subject) -> list[Task]:
    assert about.finish is not None
    steps = [step for each in about.base.procedures.values() if about.finish.id in each.finishes for step in each.steps]
    tasks = [about.base.tasks[step.do] for step in steps]
    return [task for task in tasks if task.pot_life and task.speed]


@formula("solvent of one coat standing in the closed room: VOC x wet thickness / ceiling height")
def fume_level(facts: Facts, about: Subject) -> Interval:
    """Solvent vapour [g/m3] if none of it were aired away."""
    voc, dry, height = about.span("voc"), about.span("dry_thickness"), _interval(facts, "ceiling_height", 1e-3)
    assert voc is not None
    if dry is None:  # it soaks in: what is spread, taken as a thickness
        wet = _norm(about, "penetrant_spread", "um")
    else:
        thickest = _norm(about, "solvent_coat", "um").high
        dry = Interval(min(dry.low, thickest), min(dry.high, thickest))
        solvent = Interval(*(min(each / SOLVENT_DENSITY_G_L, 0.9) for each in (voc.low, voc.high)))
        wet = Interval(dry.low / (1.0 - solvent.low), dry.high / (1.0 - solvent.high))
    return Interval(voc.low * wet.low * 1e-3 / height.high, voc.high * wet.high * 1e-3 / height.low)


def _norm(about: Subject, name: str, unit: str) -> Interval:
    return read_quantity(about.base.norms[name].given, unit, Interval(0.0, 1e9))
