"""Worksheets on the air in the room while working: fumes, engine. They never declare anything safe."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from advisor.errors import BadCase, Fault, nearest
from advisor.model.knowledge import ExposureLimit, RuleBase, Substance
from advisor.model.quantities import read_quantity, show_number
from advisor.physics.bounds import Interval
from advisor.physics.engine import engine_indoors
from advisor.physics.exposure import Limit, Work, hold_against, mg_m3_per_ppm, share_of_explosive_limit
from advisor.physics.room_air import air_changes_needed
from advisor.worksheets.sheet import Given, Input, Result, sheet
from explanations.wording import wording

ROOM = (
    Input("room_volume", "m3", 1, 1e5, one=True, ask="worksheets_room.volume"),
    Input("air_changes", "per_hour", 0, 500, one=True, ask="worksheets_room.air_changes"),
)


@sheet(
    "fumes",
    "worksheets_room.fumes",
    (
        Input("substance"),
        Input("amount", "l", 0, 1000),
        Input("release", "mg_h", 0, 1e9),
        *ROOM,
        Input("hours", "hour", 0.01, 24, figure="norm.workday"),
        Input("dries_in", "hour", 0.05, 240, figure="norm.coat_dries"),
    ),
    optional=("amount", "release"),
    ranges=False,
)
def fumes(given: Given) -> Result:
    """Peak and averages [mg/m3] against limits, share of the explosive limit, air changes needed."""
    substance = _substance(given)
    work = _work(given, substance)
    molar_mass = _figure(substance.molar_mass, "g_mol")
    per_ppm = mg_m3_per_ppm(molar_mass) if molar_mass else None
    limits = [_limit(given, limit, per_ppm) for limit in substance.limits]
    report = hold_against(work, limits)
    steps = [given.step("peak", _level(report.peak_mg_m3, per_ppm))]
    for check in report.checks:
        reached = check.reached_after_h
        value = given.says(
            "held",
            level=_level(check.exposure_mg_m3, per_ppm),
            exceeded="yes" if check.exceeded else "no",
            reached="never" if reached == inf else "after",
            minutes="" if reached == inf else f"{60 * reached:.0f}",
        )
        steps.append(given.step("limit", value, name=check.limit.name, level=_level(check.limit.mg_m3, per_ppm)))
    if (explosive := _figure(substance.lower_explosive, "percent")) and per_ppm:
        share = share_of_explosive_limit(min(report.peak_mg_m3 / per_ppm, 1e6), explosive)
        steps.append(given.step("explosive", f"{100 * share:.0f} %", limit=f"{explosive:g}"))
    if report.checks:
        lowest = min(limits, key=lambda limit: limit.mg_m3)
        needed = air_changes_needed(lowest.mg_m3, work.source_mg_h, work.decay_per_h, work.volume_m3, work.hours)
        steps.append(given.step("needed", given.says("an_hour", n=show_number(needed)), limit=lowest.name))
    return Result(tuple(steps), (*_hazards(given.base, substance), wording("worksheets_room.clears_no_one")))


def _hazards(base: RuleBase, substance: Substance) -> Iterator[str]:
    """What the rule base warns of wherever the substance is in the air."""
    return (base.cautions[name].says for name in substance.cautions)


def _substance(given: Given) -> Substance:
    name, known = given.word("substance"), given.base.substances
    if name not in known:
        what = given.says("no_substance", name=name)
        raise BadCase([Fault("fumes", what, ", ".join(known), nearest(name, known))])
    return known[name]


def _work(given: Given, substance: Substance) -> Work:
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
    raise BadCase([Fault("fumes", wording("worksheets.missing", name=wanted), given.says("how_much"))])


def _figure(text: str, unit: str) -> float | None:
    """A figure of the rule base in a unit; None where it has none."""
    return read_quantity(text, unit, Interval(0.0, 1e12)).low if text else None


def _limit(given: Given, limit: ExposureLimit, per_ppm: float | None) -> Limit:
    mg_m3 = (
        _figure(limit.given, "mg_m3")
        if "m3" in limit.given
        else (_figure(limit.given, "ppm") or 0.0) * (per_ppm or 0.0)
    )
    named = given.says("limit_named", name=limit.name, source=limit.source[0])
    return Limit(named, mg_m3 or 0.0, _figure(limit.averaged, "hour") or 0.0)


def _level(mg_m3: float, per_ppm: float | None) -> str:
    ppm = f" ({show_number(mg_m3 / per_ppm)} ppm)" if per_ppm else ""
    return f"{show_number(mg_m3)} mg/m³{ppm}"


@sheet(
    "engine",
    "worksheets_room.engine",
    (*ROOM, Input("carbon_monoxide", "m3_h", 0, 100, figure="norm.engine_carbon_monoxide")),
)
def engine(given: Given) -> Result:
    """Minutes until the ceiling and until danger to life; never 'safe'."""
    output, base = given.span("carbon_monoxide"), given.base
    gas = base.substances["carbon_monoxide"]
    ceiling, danger = sorted(_figure(limit.given, "ppm") or 0.0 for limit in gas.limits if _is_ceiling(limit))
    per_ppm = mg_m3_per_ppm(_figure(gas.molar_mass, "g_mol") or 0.0)
    worst, mildest = (
        engine_indoors(each, given.exact("air_changes"), given.exact("room_volume"), per_ppm, ceiling, danger)
        for each in (output.high, output.low)
    )
    steps = (
        given.step(
            "to_ceiling",
            _minutes(given, worst.minutes_to_ceiling, mildest.minutes_to_ceiling),
            limit=f"{ceiling:g}",
        ),
        given.step(
            "to_danger",
            _minutes(given, worst.minutes_to_danger, mildest.minutes_to_danger),
            limit=f"{danger:g}",
        ),
        given.step("outcome", given.says(f"outcomes.{worst.outcome.value}")),
    )
    return Result(steps, (*_hazards(base, gas), wording("worksheets_room.clears_no_one")))


def _is_ceiling(limit: ExposureLimit) -> bool:
    return _figure(limit.averaged, "hour") == 0.0


def _minutes(given: Given, first: float, last: float) -> str:
    low, high = (given.says("not_reached") if minutes == inf else f"{minutes:.1f}" for minutes in (first, last))
    return low if low == high else wording("worksheets.span", low=low, high=high)
