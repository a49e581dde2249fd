"""Worksheets on the air in the room while working: fumes, engine. They never declare anything safe."""

from __future__ import annotations

from math import inf

from advisor.model.knowledge import ExposureLimit, RuleBase, Substance
from advisor.model.quantities import read_quantity, show_number
from advisor.physics.bounds import Interval
from advisor.physics.engine import engine_indoors
from advisor.physics.exposure import Limit, Work, hold_against, mg_m3_per_ppm, share_of_explosive_limit
from advisor.physics.room_air import air_changes_needed
from advisor.worksheets.sheet import Given, Input, Result, Step, sheet

CAUTION = "Ventilate, measure, follow the safety data sheet: this estimate clears no one to work."
ROOM = (
    Input("room_volume", "volume of the room", "m3", 1, 1e5, one=True),
    Input(
        "air_changes",
        "how often the room's air is changed in an hour (closed room 0.2 to 0.5, windows open 3 to 10)",
        "per_hour",
        0,
        500,
        one=True,
    ),
)


@sheet(
    "fumes",
    "Solvent or dust in the room's air while working, against published limits",
    (
        Input("substance", "what is given off: acetone, xylene, silica_dust, carbon_monoxide, or what a shop adds"),
        Input("amount", "amount that evaporates in all (solvents)", "l", 0, 1000),
        Input("release", "amount given off in an hour (dust)", "mg_h", 0, 1e9),
        *ROOM,
        Input("hours", "hours that someone works in there", "hour", 0.01, 24, "8 h"),
        Input("dries_in", "hours in which most of it evaporates", "hour", 0.05, 240, "2 h"),
    ),
    "well-mixed room: V dC/dt = source - n V C, source decaying as the solvent dries; limits: the sources named beside "
    "each in the rule base",
    "a room is not well mixed: near the floor and the work it is worse",
    optional=("amount", "release"),
    ranges=False,
)
def fumes(given: Given) -> Result:
    """Peak and averages [mg/m3] against limits, share of the explosive limit, air changes needed."""
    substance = _substance(given.rule_base(), given.word("substance"))
    work = _work(given, substance)
    molar_mass = _figure(substance.molar_mass, "g_mol")
    per_ppm = mg_m3_per_ppm(molar_mass) if molar_mass else None
    limits = [_limit(limit, per_ppm) for limit in substance.limits]
    report = hold_against(work, limits)
    steps = [Step("peak", "of the well-mixed room", _level(report.peak_mg_m3, per_ppm))]
    for check in report.checks:
        over = "EXCEEDED" if check.exceeded else "below by this estimate"
        when = (
            "" if check.reached_after_h == inf else f"; the air reaches it after {60 * check.reached_after_h:.0f} min"
        )
        steps.append(
            Step(
                check.limit.name,
                f"limit {_level(check.limit.mg_m3, per_ppm)}",
                f"{_level(check.exposure_mg_m3, per_ppm)}: {over}{when}",
            )
        )
    if (explosive := _figure(substance.lower_explosive, "percent")) and per_ppm:
        share = share_of_explosive_limit(min(report.peak_mg_m3 / per_ppm, 1e6), explosive)
        steps.append(Step("share of the lower explosive limit", f"{explosive:g} % in air", f"{100 * share:.0f} %"))
    if report.checks:
        lowest = min(limits, key=lambda limit: limit.mg_m3)
        needed = air_changes_needed(lowest.mg_m3, work.source_mg_h, work.decay_per_h, work.volume_m3, work.hours)
        steps.append(Step("air changes to stay under the lowest", lowest.name, f"{show_number(needed)} an hour"))
    return Result(tuple(steps), (CAUTION,))


def _substance(base: RuleBase, name: str) -> Substance:
    from advisor.errors import BadCase, Fault, nearest

    if name not in base.substances:
        known = ", ".join(base.substances)
        raise BadCase([Fault("fumes", f'there is no substance "{name}"', known, nearest(name, base.substances))])
    return base.substances[name]


def _work(given: Given, substance: Substance) -> Work:
    from advisor.errors import BadCase, Fault

    room = {
        "air_changes_per_h": given.exact("air_changes"),
        "volume_m3": given.exact("room_volume"),
        "hours": given.exact("hours"),
    }
    density = _figure(substance.density, "kg_l")
    if density and given.has("amount"):
        # Two thirds (1 - 1/e) have gone after `dries_in`: the source starts at amount / dries_in.
        decay = 1 / given.exact("dries_in")
        return Work(given.exact("amount") * density * 1e6 * decay, decay, **room)
    if given.has("release"):
        return Work(given.exact("release"), 0.0, **room)
    wanted = "amount" if density else "release"
    raise BadCase([Fault("fumes", f'"{wanted}" is missing', "how much is given off")])


def _figure(text: str, unit: str) -> float | None:
    """A figure of the rule base in a unit; None where it has none."""
    return read_quantity(text, unit, Interval(0.0, 1e12)).low if text else None


def _limit(limit: ExposureLimit, per_ppm: float | None) -> Limit:
    mg_m3 = (
        _figure(limit.given, "mg_m3")
        if "m3" in limit.given
        else (_figure(limit.given, "ppm") or 0.0) * (per_ppm or 0.0)
    )
    return Limit(f"{limit.name} ({limit.source[0]})", mg_m3 or 0.0, _figure(limit.averaged, "hour") or 0.0)


def _level(mg_m3: float, per_ppm: float | None) -> str:
    ppm = f" ({show_number(mg_m3 / per_ppm)} ppm)" if per_ppm else ""
    return f"{show_number(mg_m3)} mg/m³{ppm}"


@sheet(
    "engine",
    "A fuel-burning machine indoors: how fast its carbon monoxide becomes deadly",
    (
        *ROOM,
        Input(
            "carbon_monoxide",
            "carbon monoxide it gives off (5 hp petrol engine: 1.4 to 3.1 m3/h)",
            "m3_h",
            0,
            100,
            "1.4 to 3.1 m3/h",
        ),
    ),
    "well-mixed room; field figures of a 5 hp petrol saw (0.8 to 1.8 ft3/min, NIOSH); ceiling 200 ppm and danger to "
    "life 1200 ppm (NIOSH)",
    "a room is not well mixed and an engine's output is not known: there is no safe result",
)
def engine(given: Given) -> Result:
    """Minutes until the ceiling and until danger to life; never 'safe'."""
    output, base = given.span("carbon_monoxide"), given.rule_base()
    gas = base.substances["carbon_monoxide"]
    ceiling, danger = sorted(_figure(limit.given, "ppm") or 0.0 for limit in gas.limits if _is_ceiling(limit))
    per_ppm = mg_m3_per_ppm(_figure(gas.molar_mass, "g_mol") or 0.0)
    worst, mildest = (
        engine_indoors(each, given.exact("air_changes"), given.exact("room_volume"), per_ppm, ceiling, danger)
        for each in (output.high, output.low)
    )
    steps = (
        Step(
            "minutes to the ceiling", f"{ceiling:g} ppm", _minutes(worst.minutes_to_ceiling, mildest.minutes_to_ceiling)
        ),
        Step(
            "minutes to danger to life", f"{danger:g} ppm", _minutes(worst.minutes_to_danger, mildest.minutes_to_danger)
        ),
        Step("outcome", "at the higher output", worst.outcome.value),
    )
    return Result(steps, (base.cautions["carbon_monoxide"].says, CAUTION))


def _is_ceiling(limit: ExposureLimit) -> bool:
    return _figure(limit.averaged, "hour") == 0.0


def _minutes(first: float, last: float) -> str:
    words = ["not by this estimate" if minutes == inf else f"{minutes:.1f}" for minutes in (first, last)]
    return words[0] if words[0] == words[1] else f"{words[0]} to {words[1]}"
