"""Worksheets on tests of the floor: was it done validly, and what does it let one conclude."""

from __future__ import annotations

from collections.abc import Callable
from itertools import zip_longest
from typing import Any

from advisor.physics import floor_tests as tests
from advisor.physics.bounds import Interval
from advisor.physics.units import POUND_PER_1000FT2_DAY
from advisor.worksheets.sheet import Given, Input, Result, Step, sheet

RECORD = ("yes", "no", "unknown")
AREA = Input("area", "area of the floor", "m2", 0.1, 1e6)


def _recorded(name: str, ask: str) -> Input:
    return Input(name, ask, choices=RECORD, default="unknown")


def _number(given: Given, name: str, scale: float = 1.0) -> float | None:
    return given.exact(name, scale) if given.has(name) else None


def _places(given: Given) -> int:
    """How many places the tests' standards ask for the floor's area."""
    first, each = given.norm("test_places").low, given.norm("test_places_area").low
    return int(tests.places_required(given.exact("area"), first, each))


def _judged(finding: tests.Finding[Any], steps: list[Step], conclusion: str) -> Result:
    """A valid test concludes; an invalid one concludes nothing and says why."""
    if finding.valid:
        return Result(tuple(steps), (f"Valid by {finding.method}.", conclusion))
    faults = tuple(f"- {fault}" for fault in finding.faults)
    return Result(tuple(steps), (f"Not valid by {finding.method}; it concludes nothing, because:", *faults))


def _readings(found: tests.Readings, show: Callable[[float], str]) -> list[Step]:
    steps = [Step("places tested", f"asked for: {found.required}", str(found.number))]
    if found.value is not None and found.mean is not None:
        assert found.lowest is not None
        assert found.highest is not None
        spread = f"{show(found.lowest)} to {show(found.highest)}"
        steps += [Step("mean", "of all places", show(found.mean)), Step("spread", "lowest to highest", spread)]
        steps.append(Step("to hold against a limit", "the worst place", show(found.value)))
    return steps


@sheet(
    "dish-test",
    "Moisture emission by weighed dishes (calcium chloride)",
    (
        Input("gains", "weight each dish gained", "g", 0, 100, many=True),
        Input("hours", "hours the dishes stood", "hour", 1, 1000),
        AREA,
        Input(
            "form", "is the dish's own area deducted?", choices=("dish_deducted", "full_dome"), default="dish_deducted"
        ),
        Input("air_temperature", "temperature during the test (optional)", "degC", -20, 60),
        Input("air_humidity", "humidity during the test (optional)", "percent", 0, 100),
        Input("conditioned", "hours at service conditions before (optional)", "hour", 0, 10_000),
        Input("open_before", "hours the ground spot lay open before (optional)", "hour", 0, 10_000),
        _recorded("bare_ground_concrete", "was the spot bare, ground concrete?"),
        _recorded("in_service", "were those the building's own service conditions?"),
    ),
    "ASTM F1869-16a: 60 to 72 h, three dishes for the first 1000 ft2 (100 m2) and one for each further 1000 (number "
    "from memory); editions differ in whether the dish's own area is deducted",
    "it measures what leaves the top inch or so during those days",
    optional=("air_temperature", "air_humidity", "conditioned", "open_before"),
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
    form = tests.DishArea[given.word("form").upper()]
    dishes = [tests.Dish(mass_gain_g=gain, **common) for gain in given.several("gains")]  # type: ignore[arg-type]
    rules = tests.DishRules(
        given.norm("dish_hours"),
        given.norm("dish_temperature"),
        given.norm("dish_humidity"),
        given.norm("test_conditioning").low,
        given.norm("dish_open").low,
    )
    found = tests.dish_test(dishes, _places(given), rules, form)
    steps = [
        Step(f"dish {number}", f"{gain:g} g / ({form.value:.5f} m² x {common['hours']:g} h)", _emission(rate))
        for number, gain in enumerate(given.several("gains"), start=1)
        for rate in [tests.emission_rate(gain, given.exact("hours"), form)]
    ]
    usual = _emission(given.norm("usual_emission_limit", POUND_PER_1000FT2_DAY).low)
    conclusion = f"Hold the worst dish against the product's limit; the usual default is {usual} (ASTM F710)."
    return _judged(found, steps + _readings(found, _emission), conclusion)


def _emission(rate: float) -> str:
    return f"{rate / POUND_PER_1000FT2_DAY:.2f} lb/1000 ft²/24 h"


@sheet(
    "humidity-test",
    "Relative humidity inside the slab (probes in drilled holes)",
    (
        Input("readings", "humidity at each probe", "percent", 0, 100, many=True),
        Input("depth", "depth of the holes (optional)", "mm", 1, 600),
        Input("slab_thickness", "thickness of the slab", "mm", 40, 600),
        Input("drying_sides", "dries from one side or two", choices=("one", "two"), default="one"),
        AREA,
        Input("equilibrated", "hours from drilling to reading (optional)", "hour", 0, 10_000),
        Input("conditioned", "hours at service conditions before (optional)", "hour", 0, 10_000),
        _recorded("at_service_conditions", "was the building as in use?"),
    ),
    "ASTM F2170-16b: depth 40 % of the thickness from one side, 20 % from two; 24 h in the hole (72 h in the 2009 "
    "edition); three holes for the first 1000 ft2 (100 m2), one for each further 1000 (10.1)",
    "it tells the condition at that time and place (5.3)",
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
    depth = Step("depth asked", f"{share:.0%} of the thickness", f"{1000 * share * thickness:.0f} mm")
    usual = given.rule_base().limits["dense_film_humidity"].given
    conclusion = f"Hold the worst hole against the finish's limit; the usual default for films is {usual} (ASTM F710)."
    return _judged(found, [depth, *_readings(found, lambda rh: f"{rh:.1f} %")], conclusion)


@sheet(
    "sheet-test",
    "Moisture under a taped plastic sheet",
    (
        Input("seen", "what was under it", choices=("dry", "damp")),
        Input("side", "side of the sheet (optional)", "mm", 1, 5000),
        Input("hours", "hours it lay (optional)", "hour", 0, 1000),
        _recorded("sealed", "was it taped on all edges, out of the sun?"),
    ),
    "ASTM D4263: 18 x 18 in, 16 hours at least",
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
        tests.SheetRules(given.norm("sheet_side").low, given.norm("sheet_hours").low),
    )
    conclusion = (
        "Too wet for a film; have the humidity inside the slab measured."
        if found.value
        else "Nothing rose in those hours; that alone clears no floor: have the humidity inside the slab measured."
    )
    return _judged(found, [], conclusion)


@sheet(
    "drop-test",
    "Does the surface drink? A drop of water",
    (
        Input("soaked_after", "seconds until it had soaked in; leave out if it still stood", "second", 0, 86_400),
        Input("watched", "seconds it was watched (optional)", "second", 0, 86_400),
        _recorded("clean_and_dry", "was the surface clean and dry?"),
    ),
    "ASTM F3191 (from memory): 0.05 mL, 60 s",
    optional=("soaked_after", "watched"),
    ranges=False,
)
def drop_test(given: Given) -> Result:
    """Whether the surface is absorbent."""
    watch = given.norm("drop_watched").low
    soaked, watched = _number(given, "soaked_after"), _number(given, "watched")
    found = tests.water_drop(soaked, watched, given.yes("clean_and_dry"), watch)
    conclusion = (
        "The concrete is open: stain, densifier and primer can soak in."
        if found.value
        else "Something closes the surface (sealer, curing compound, oil, trowelling): open it, then test again."
    )
    return _judged(found, [], conclusion)


@sheet(
    "ph-test",
    "pH of the surface",
    (
        Input("ph", "what the paper showed", "ph", 0, 14),
        Input("puddle", "seconds before the paper (optional)", "second", 0, 3600),
        Input("puddle_diameter", "diameter of the puddle (optional)", "mm", 1, 500),
        _recorded("bare_concrete", "was it bare concrete?"),
    ),
    "puddle of about 1 in, 60 s (ASTM F710-05); the requirement left ASTM F710 in 2021 and is a guide of its own since "
    "(ASTM F3441-23)",
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
        tests.PuddleRules(given.norm("puddle_time"), given.norm("puddle_diameter")),
    )
    return _judged(found, [], f"pH {given.exact('ph'):g}: hold it against the product's own limit.")


@sheet(
    "scratch-test",
    "Hardness of the surface by Mohs picks",
    (
        Input("scratched_by", "lowest pick that left a scratch; leave out if none did", "count", 1, 9),
        Input("picks", "picks tried", "count", 1, 9, many=True),
        _recorded("bare_and_dry", "was the surface bare and dry?"),
    ),
    "common practice, no source: scratched by 4 or softer is soft, by 5 or 6 normal, by 7 or none hard",
    optional=("scratched_by",),
    ranges=False,
)
def scratch_test(given: Given) -> Result:
    """How hard the surface is."""
    scratched = _number(given, "scratched_by")
    picks = [int(pick) for pick in given.several("picks")]
    softest = None if scratched is None else int(scratched)
    found = tests.scratch_hardness(softest, picks, given.yes("bare_and_dry"), given.norm("normal_hardness"))
    return _judged(found, [], f"The surface is {found.value.value if found.value else 'not known'}.")


@sheet(
    "pull-test",
    "Pull-off strength of the surface",
    (
        Input("stresses", "stress at each break", "mpa", 0, 20, many=True),
        Input("broke", "where each broke, in the same order, separated by commas: concrete, between, coating, glue"),
        Input("least", "strength asked", "mpa", 0.1, 20, "200 psi"),
        _recorded("scored", "was it cut around the dolly down to the concrete?"),
    ),
    "ASTM D7234-22; 200 psi with the break in the concrete: ASTM F3010-18",
    ranges=False,
)
def pull_test(given: Given) -> Result:
    """Lowest strength, and whether the test counts."""
    places = {
        "concrete": tests.Break.IN_CONCRETE,
        "between": tests.Break.BETWEEN,
        "coating": tests.Break.IN_COATING,
        "glue": tests.Break.IN_GLUE,
    }
    stresses, words = given.several("stresses", 1e6), [word.strip() for word in given.word("broke").split(",")]
    _check_places(words, len(stresses), places)
    pulls = [tests.Pull(stress, places[word], given.yes("scored")) for stress, word in zip_longest(stresses, words)]
    least = given.exact("least", 1e6)
    found = tests.pull_off(pulls, least, int(given.norm("pulls").low))
    enough = found.value is not None and found.value >= least
    conclusion = (
        "Strong enough for what was asked." if enough else "Weaker than asked: grind to sound concrete and pull again."
    )
    return _judged(found, _readings(found, lambda pa: f"{pa / 1e6:.2f} MPa"), conclusion)


def _check_places(words: list[str], count: int, places: dict[str, tests.Break]) -> None:
    from advisor.errors import BadCase, Fault

    wrong = [word for word in words if word not in places]
    if wrong or len(words) != count:
        what = (
            f'"{wrong[0]}" is no place of a break' if wrong else f"{count} stresses, but {len(words)} places of a break"
        )
        raise BadCase([Fault("pull-test", what, f"as many of {', '.join(places)} as stresses")])
