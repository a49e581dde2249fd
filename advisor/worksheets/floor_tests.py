"""Worksheets on tests of the floor: was it done validly, and what does it let one conclude."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import Enum
from itertools import zip_longest
from math import inf
from typing import Any

from advisor.errors import BadCase
from advisor.errors import Fault as BadInput
from advisor.physics import floor_tests as tests
from advisor.physics.bounds import Interval
from advisor.physics.units import POUND_PER_1000FT2_DAY
from advisor.worksheets.figures import cited, figure_of
from advisor.worksheets.sheet import Given, Input, Result, Step, figure, sheet, step
from explanations.wording import wording

AREA = Input("area", "m2", 0.1, 1e6, ask="worksheets.area")
READERS = {"°C": "degC"}  # the unit of a requirement that readers have in two systems
SIDES = Input("drying_sides", choices=("one", "two"), default="one", ask="worksheets.drying_sides")


def _recorded(name: str) -> Input:
    return Input(name, choices=("yes", "no", "unknown"), default="unknown")


def _number(given: Given, name: str, scale: float = 1.0) -> float | None:
    return given.exact(name, scale) if given.has(name) else None


def _places(given: Given) -> int:
    """How many places the tests' standards ask for the floor's area."""
    first, each = given.norm("test_places").low, given.norm("test_places_area").low
    return int(tests.places_required(given.exact("area"), first, each))


def _judged(given: Given, finding: tests.Finding[Any], steps: list[Step], conclusion: str) -> Result:
    """A valid test concludes; an invalid one concludes nothing and says why."""
    method = given.says("method")
    if finding.valid:
        return Result(tuple(steps), (wording("worksheets_tests.valid", method=method), conclusion))
    alike: dict[tests.Fault, list[int]] = {}
    for fault in finding.faults:
        alike.setdefault(replace(fault, place=0), []).append(fault.place)
    faults = (_fault(given, fault, places) for fault, places in alike.items())
    return Result(tuple(steps), (wording("worksheets_tests.invalid", method=method), *faults))


def _fault(given: Given, fault: tests.Fault, places: list[int]) -> str:
    """A fault of a test, as `dish 1 to 3, hours it stood: 48 h; wanted at least 60 and at most 72 h`."""
    normal = given.norm("normal_hardness")
    requirement = wording(
        f"worksheets_tests.requirement.{fault.requirement}",
        place=_places_told(places),
        softest=f"{normal.low:g}",
        hardest=f"{normal.high:g}",
    )
    match fault.found:
        case None:
            found = wording("worksheets_tests.not_recorded")
        case Enum():
            found = wording(f"worksheets_tests.broke.{fault.found.value}")
        case False:
            found = wording("worksheets_tests.no")
        case number:
            found = _measured(number, fault.unit)
    return wording("worksheets_tests.fault", requirement=requirement, found=found, wanted=_wanted(fault))


def _places_told(places: list[int]) -> str:
    """Those at fault in the same way, in short."""
    if len(places) > 1 and places == list(range(places[0], places[-1] + 1)):
        return wording("worksheets.span", low=str(places[0]), high=str(places[-1]))
    return ", ".join(map(str, places))


def _measured(number: float, unit: str) -> str:
    """A figure of a requirement, in the reader's unit."""
    return figure(number, READERS[unit]) if unit in READERS else f"{number:g} {unit}".rstrip()


def _wanted(fault: tests.Fault) -> str:
    if fault.wanted is None:
        return wording(f"worksheets_tests.wanted.{'in_floor' if isinstance(fault.found, Enum) else 'yes'}")
    low, high = fault.wanted.low, fault.wanted.high
    if high == inf:
        return wording("worksheets_tests.wanted.least", low=_measured(low, fault.unit))
    first = _measured(low, fault.unit if fault.unit in READERS else "")
    return wording("worksheets_tests.wanted.between", low=first, high=_measured(high, fault.unit))


def _readings(found: tests.Readings, show: Callable[[float], str]) -> list[Step]:
    steps = [step("worksheets_tests.places", str(found.number), required=found.required)]
    if found.value is not None and found.mean is not None:
        assert found.lowest is not None
        assert found.highest is not None
        spread = wording("worksheets.span", low=show(found.lowest), high=show(found.highest))
        steps += [step("worksheets_tests.mean", show(found.mean)), step("worksheets_tests.spread", spread)]
        steps.append(step("worksheets_tests.worst", show(found.value)))
    return steps


@sheet(
    "dish-test",
    "worksheets_tests.dish_test",
    (
        Input("gains", "g", 0, 100, many=True),
        Input("hours", "hour", 1, 1000),
        AREA,
        Input("form", choices=("dish_deducted", "full_dome"), default="dish_deducted"),
        Input("exposed_area", "m2", 0.005, 0.5, one=True),
        Input("air_temperature", "degC", -20, 60),
        Input("air_humidity", "percent", 0, 100),
        Input("conditioned", "hour", 0, 10_000),
        Input("open_before", "hour", 0, 10_000),
        _recorded("bare_ground_concrete"),
        _recorded("in_service"),
    ),
    optional=("exposed_area", "air_temperature", "air_humidity", "conditioned", "open_before"),
    ranges=False,
)
def dish_test(given: Given) -> Result:
    """Mean, spread and worst emission, and whether the test counts."""
    common = {
        "hours": given.exact("hours"),
        "air_temp_c": _number(given, "air_temperature"),
        "rh_percent": _number(given, "air_humidity"),
        "conditioned_h": _number(given, "conditioned"),
        "open_h": _number(given, "open_before"),
        "bare_ground_concrete": given.yes("bare_ground_concrete"),
        "in_service": bool(given.yes("in_service")),
    }
    form = tests.DishArea[given.word("form").upper()].value
    form = given.exact("exposed_area") if given.has("exposed_area") else form  # as the kit's maker states it
    dishes = [tests.Dish(mass_gain_g=gain, **common) for gain in given.several("gains")]  # type: ignore[arg-type]
    rules = tests.DishRules(
        given.norm("dish_hours"),
        given.norm("dish_temperature"),
        given.norm("dish_humidity"),
        given.norm("test_conditioning").low,
        given.norm("dish_open").low,
    )
    found = tests.dish_test(dishes, _places(given), rules, form)
    hours = f"{common['hours']:g}"
    steps = [
        given.step("dish", _emission(rate), number=number, gain=f"{gain:g}", area=f"{form:.5f}", hours=hours)
        for number, gain in enumerate(given.several("gains"), start=1)
        for rate in [tests.emission_rate(gain, given.exact("hours"), form)]
    ]
    return _judged(given, found, steps + _readings(found, _emission), given.says("hold"))


def _emission(rate: float) -> str:
    return figure(rate / POUND_PER_1000FT2_DAY, "lb_1000ft2_day")


@sheet(
    "humidity-test",
    "worksheets_tests.humidity_test",
    (
        Input("readings", "percent", 0, 100, many=True),
        Input("depth", "mm", 1, 600),
        Input("slab_thickness", "mm", 40, 600, ask="worksheets.slab_thickness"),
        SIDES,
        AREA,
        Input("equilibrated", "hour", 0, 10_000),
        Input("conditioned", "hour", 0, 10_000),
        _recorded("at_service_conditions"),
    ),
    optional=("depth", "equilibrated", "conditioned"),
    ranges=False,
)
def humidity_test(given: Given) -> Result:
    """Mean, spread and worst humidity, and whether the test counts."""
    probes = [
        tests.Probe(
            reading,
            _number(given, "depth", 1e-3),
            _number(given, "equilibrated"),
            _number(given, "conditioned"),
            given.yes("at_service_conditions"),
        )
        for reading in given.several("readings")
    ]
    thickness = given.exact("slab_thickness", 1e-3)
    share, slack = given.norm(f"probe_depth_{given.word('drying_sides')}").low, given.norm("probe_depth_tolerance").high
    rules = tests.ProbeRules(
        Interval(share - slack, share + slack), given.norm("probe_hours").low, given.norm("test_conditioning").low
    )
    found = tests.humidity_test(probes, thickness, _places(given), rules)
    depth = given.step("depth", figure(1000 * share * thickness, "mm"), share=f"{share:.0%}")
    usual = figure_of(given.base, "limit.dense_film_humidity")
    conclusion = given.says("hold", usual=usual.given, source=cited(given.base, usual.sources))
    return _judged(given, found, [depth, *_readings(found, lambda rh: f"{rh:.1f} %")], conclusion)


@sheet(
    "sheet-test",
    "worksheets_tests.sheet_test",
    (
        Input("seen", choices=("dry", "damp")),
        Input("side", "mm", 1, 5000),
        Input("hours", "hour", 0, 1000),
        _recorded("sealed"),
    ),
    optional=("side", "hours"),
    ranges=False,
)
def sheet_test(given: Given) -> Result:
    """Whether moisture showed."""
    found = tests.plastic_sheet(
        given.word("seen") == "damp",
        _number(given, "side", 1e-3),
        _number(given, "hours"),
        given.yes("sealed"),
        tests.SheetRules(given.norm("sheet_side", 1e-3).low, given.norm("sheet_hours").low),
    )
    return _judged(given, found, [], given.says("too_wet" if found.value else "nothing_rose"))


@sheet(
    "drop-test",
    "worksheets_tests.drop_test",
    (
        Input("soaked_after", "second", 0, 86_400),
        Input("watched", "second", 0, 86_400),
        _recorded("clean_and_dry"),
    ),
    optional=("soaked_after", "watched"),
    ranges=False,
)
def drop_test(given: Given) -> Result:
    """Whether the surface is absorbent."""
    watch = given.norm("drop_watched").low
    soaked, watched = _number(given, "soaked_after"), _number(given, "watched")
    found = tests.water_drop(soaked, watched, given.yes("clean_and_dry"), watch)
    return _judged(given, found, [], given.says("open" if found.value else "closed"))


@sheet(
    "ph-test",
    "worksheets_tests.ph_test",
    (
        Input("ph", "ph", 0, 14),
        Input("puddle", "second", 0, 3600),
        Input("puddle_diameter", "mm", 1, 500),
        _recorded("bare_concrete"),
    ),
    optional=("puddle", "puddle_diameter"),
    ranges=False,
)
def ph_test(given: Given) -> Result:
    """The pH, and whether it counts."""
    found = tests.surface_ph(
        given.exact("ph"),
        _number(given, "puddle"),
        _number(given, "puddle_diameter", 1e-3),
        given.yes("bare_concrete"),
        tests.PuddleRules(given.norm("puddle_time"), given.norm("puddle_diameter", 1e-3)),
    )
    return _judged(given, found, [], given.says("hold", ph=f"{given.exact('ph'):g}"))


@sheet(
    "scratch-test",
    "worksheets_tests.scratch_test",
    (
        Input("scratched_by", "count", 1, 9),
        Input("picks", "count", 1, 9, many=True),
        _recorded("bare_and_dry"),
    ),
    optional=("scratched_by",),
    ranges=False,
)
def scratch_test(given: Given) -> Result:
    """How hard the surface is."""
    scratched = _number(given, "scratched_by")
    picks = [int(pick) for pick in given.several("picks")]
    softest = None if scratched is None else int(scratched)
    found = tests.scratch_hardness(softest, picks, given.yes("bare_and_dry"), given.norm("normal_hardness"))
    return _judged(given, found, [], given.says(found.value.value) if found.value else "")


@sheet(
    "pull-test",
    "worksheets_tests.pull_test",
    (
        Input("stresses", "mpa", 0, 20, many=True),
        Input("broke"),
        Input("least", "mpa", 0.1, 20, figure="epoxy_over_mitigation.bond_strength_needed"),
        _recorded("scored"),
    ),
    ranges=False,
)
def pull_test(given: Given) -> Result:
    """Lowest strength, and whether the test counts."""
    places = {place.value.removeprefix("in_"): place for place in tests.Break}
    stresses, words = given.several("stresses", 1e6), [word.strip() for word in given.word("broke").split(",")]
    _check_places(given, words, len(stresses), places)
    pulls = [tests.Pull(stress, places[word], given.yes("scored")) for stress, word in zip_longest(stresses, words)]
    least = given.exact("least", 1e6)
    found = tests.pull_off(pulls, least, int(given.norm("pulls").low))
    enough = found.value is not None and found.value >= least
    conclusion = given.says("strong_enough" if enough else "weaker")
    return _judged(given, found, _readings(found, lambda pa: figure(pa / 1e6, "mpa")), conclusion)


def _check_places(given: Given, words: list[str], count: int, places: dict[str, tests.Break]) -> None:
    wrong = [word for word in words if word not in places]
    if wrong or len(words) != count:
        what = given.says("no_place", word=wrong[0]) if wrong else given.says("uneven", n=count, places=len(words))
        raise BadCase([BadInput("pull-test", what, given.says("as_many", places=", ".join(places)))])
