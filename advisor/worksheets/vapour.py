"""Worksheets on vapour: through the floor (vapour), and where a dish test's water comes from (dish-source)."""

from __future__ import annotations

from advisor.physics import air
from advisor.physics.bounds import Interval
from advisor.physics.concrete import CONDUCTIVITY
from advisor.physics.units import INCH, PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import (
    MOST_PERMEANCE,
    Layer,
    SteadyState,
    layer_permeance,
    punctured_retarder_permeance,
    rh_beneath_finish,
    series_permeance,
    share_passed,
    steady_state,
    vapour_flow,
    yearly_water,
)
from advisor.physics.vapour_source import explain_dish_reading, steady_emission_bound
from advisor.worksheets.sheet import Given, Input, Result, across, sheet, spanned
from explanations.wording import wording

GROUND_ASKED, RETARDER = "worksheets_vapour.ground", "limit.retarder_permeance_limit"
GROUND = (
    Input("ground_temperature", "degC", -10, 40, figure="fact.ground_temperature", ask=f"{GROUND_ASKED}.temperature"),
    Input("ground_humidity", "percent", 1, 100, figure="fact.ground_humidity", ask=f"{GROUND_ASKED}.humidity"),
    Input("retarder", choices=("present", "absent"), default="absent", ask=f"{GROUND_ASKED}.retarder"),
    Input("retarder_permeance", "perm", 0.001, 50, figure=RETARDER, ask=f"{GROUND_ASKED}.retarder_permeance"),
    Input("open_share", "percent", 0, 99, "0 %", ask=f"{GROUND_ASKED}.open_share"),
    Input("slab_thickness", "mm", 40, 600, figure="limit.usual_thickness", ask="worksheets.slab_thickness"),
    Input("slab_permeability", "perm_in", 0.1, 50, figure="fact.slab_permeability", ask=f"{GROUND_ASKED}.permeability"),
)


@sheet(
    "vapour",
    "worksheets_vapour.vapour",
    (
        *GROUND,
        Input("finish_permeance", "perm", 0.001, 10_000, figure="epoxy_solid.permeance"),
        Input("air_temperature", "degC", -20, 50, figure="norm.room_temperature"),
        Input("air_humidity", "percent", 1, 100, figure="norm.room_humidity"),
        Input("summer_air_temperature", "degC", -20, 50),
        Input("summer_air_humidity", "percent", 1, 100),
        Input("slab_top", choices=("as_the_ground", "by_heat_flow", "as_the_room"), default="as_the_ground"),
        Input("area", "m2", 0.1, 1e5, "100 m2", ask="worksheets.area"),
    ),
    pictured=True,
    optional=("summer_air_temperature", "summer_air_humidity"),
)
def vapour(given: Given) -> Result:
    """Flow, humidity beneath the finish, share passed, emission, yearly water."""
    slab, below = _below(given)
    finish = given.span("finish_permeance", US_PERM)
    ground = {"temp_c": given.span("ground_temperature"), "rh_percent": given.span("ground_humidity")}
    room = {"temp_c": given.span("air_temperature"), "rh_percent": given.span("air_humidity")}
    p_ground, p_room = across(air.vapour_pressure, **ground), across(air.vapour_pressure, **room)
    covered = Interval(series_permeance(below.low, finish.low), series_permeance(below.high, finish.high))
    flow = across(vapour_flow, pressure_below_pa=p_ground, pressure_above_pa=p_room, permeance=covered)
    bare = across(vapour_flow, pressure_below_pa=p_ground, pressure_above_pa=p_room, permeance=below)
    beneath = _beneath(given, below, finish)
    share = across(share_passed, 100.0, below_finish=below, finish=finish)
    steps = [
        given.step("p_ground", spanned(p_ground, "Pa")),
        given.step("p_room", spanned(p_room, "Pa")),
        given.step("slab", spanned(_scaled(slab, 1 / US_PERM), "perm")),
        given.step("below", spanned(_scaled(below, 1 / US_PERM), "perm")),
        given.step("bare", _emission(bare)),
        given.step("flow", _emission(flow)),
        given.step("share", spanned(share, "%")),
        given.step("beneath", spanned(beneath, "%")),
        given.step(
            "year", spanned(_yearly(given, flow, p_ground, covered), "kg"), seasons="two" if _summer(given) else "one"
        ),
    ]
    condenses = "yes" if beneath.high > 100 else "no"
    verdict = given.says("verdict", humidity=spanned(beneath, "%"), condenses=condenses)
    return Result(tuple(steps), (verdict,), _profile(given, slab, below, finish))


def _below(given: Given) -> tuple[Interval, Interval]:
    """Permeance of the slab, and of the slab with all beneath it [kg/(m2 s Pa)]."""
    slab = across(
        layer_permeance,
        permeability=given.span("slab_permeability", PERM_INCH),
        thickness_m=given.span("slab_thickness", 1e-3),
    )
    if given.word("retarder") == "absent":
        return slab, Interval(series_permeance(MOST_PERMEANCE, slab.low), series_permeance(MOST_PERMEANCE, slab.high))

    def beneath(sheet: float, open_share: float, slab: float) -> float:
        return series_permeance(punctured_retarder_permeance(sheet, open_share, slab), slab)

    spans = (given.span("retarder_permeance", US_PERM), given.span("open_share", 0.01), slab)
    # A leakier sheet, more holes and a more open slab each let more through: two corners are exact.
    return slab, Interval(beneath(*(span.low for span in spans)), beneath(*(span.high for span in spans)))


def _beneath(given: Given, below: Interval, finish: Interval) -> Interval:
    rest: dict[str, float | Interval] = {
        "ground_rh_percent": given.span("ground_humidity"),
        "room_temp_c": given.span("air_temperature"),
        "room_rh_percent": given.span("air_humidity"),
        "below_finish": below,
        "finish": finish,
    }
    ground, room = given.span("ground_temperature"), given.span("air_temperature")
    ends = []
    for ground_temp in (ground.low, ground.high):
        for room_temp in (room.low, room.high):
            top = _slab_top(given, ground_temp, room_temp)
            held = {**rest, "room_temp_c": room_temp}
            ends.append(across(rh_beneath_finish, ground_temp_c=ground_temp, slab_top_temp_c=top, **held))
    return Interval(min(end.low for end in ends), max(end.high for end in ends))


def _slab_top(given: Given, ground: float, room: float) -> float | Interval:
    match given.word("slab_top"):
        case "as_the_room":
            return room
        case "by_heat_flow":
            # Between ground and room, by the slab's share of the resistance to heat.
            surface = given.norm("floor_surface_resistance").low
            shares = [t / (t + surface) for t in _span_of(given.span("slab_thickness", 1e-3 / CONDUCTIVITY))]
            return Interval(*sorted(ground + (room - ground) * share for share in shares))
    return ground


def _span_of(interval: Interval) -> tuple[float, float]:
    return interval.low, interval.high


def _yearly(given: Given, flow: Interval, p_ground: Interval, covered: Interval) -> Interval:
    flows = [flow]
    if _summer(given):
        summer = across(
            air.vapour_pressure,
            temp_c=given.span("summer_air_temperature"),
            rh_percent=given.span("summer_air_humidity"),
        )
        flows.append(across(vapour_flow, pressure_below_pa=p_ground, pressure_above_pa=summer, permeance=covered))
    mean = Interval(sum(each.low for each in flows) / len(flows), sum(each.high for each in flows) / len(flows))
    return across(yearly_water, mean_flow=mean, area_m2=given.span("area"))


def _summer(given: Given) -> bool:
    return given.has("summer_air_temperature") and given.has("summer_air_humidity")


def _emission(flow: Interval) -> str:
    return spanned(_scaled(flow, 1 / POUND_PER_1000FT2_DAY), "lb_1000ft2_day")


def _scaled(interval: Interval, scale: float) -> Interval:
    return Interval(interval.low * scale, interval.high * scale)


def _middle(interval: Interval) -> float:
    return (interval.low + interval.high) / 2


def _profile(given: Given, slab: Interval, below: Interval, finish: Interval) -> object:
    """Pressures at each interface for the middle of every range, for the picture."""
    from advisor.charts.floor import VapourProfile

    layers = [Layer("slab", _middle(slab), _middle(given.span("slab_thickness", 1e-3)) / CONDUCTIVITY)]
    if given.word("retarder") == "present":
        rest = 1 / max(1 / _middle(below) - 1 / _middle(slab), 1 / MOST_PERMEANCE)
        layers.insert(0, Layer("retarder", rest, 0.0))
    layers.append(Layer("finish", _middle(finish), 0.0))
    state: SteadyState[float] = steady_state(
        _middle(given.span("ground_temperature")),
        _middle(given.span("ground_humidity")),
        _middle(given.span("air_temperature")),
        _middle(given.span("air_humidity")),
        layers,
        given.norm("floor_surface_resistance").low,
    )
    return VapourProfile(
        layers=tuple(wording(f"worksheets_vapour.layer.{layer.name}") for layer in layers),
        pressure_pa=tuple(each.vapour_pressure_pa for each in state.interfaces),
        saturation_pa=tuple(air.saturation_pressure(each.temp_c) for each in state.interfaces),
    )


@sheet(
    "dish-source",
    "worksheets_vapour.dish_source",
    (
        Input("emission_rate", "lb_1000ft2_day", 0, 60, one=True),
        *GROUND,
        Input("slab_age", "day", 0, 60_000, one=True),
        Input("site_water", choices=("yes", "no", "unknown"), default="unknown"),
    ),
    optional=("slab_age",),
)
def dish_source(given: Given) -> Result:
    """Reading against the bound of steady diffusion, and the likelier source of the rest."""
    _, below = _below(given)
    bound = across(
        steady_emission_bound,
        ground_temp_c=given.span("ground_temperature"),
        ground_rh_percent=given.span("ground_humidity"),
        permeance=below,
    )
    reading = given.exact("emission_rate", POUND_PER_1000FT2_DAY)
    inches, an_inch = given.span("slab_thickness", 1e-3 / INCH).high, given.norm("drying_days_an_inch").high
    drying_days = max(1.0, an_inch * inches)
    age = given.exact("slab_age") if given.has("slab_age") else None
    found = explain_dish_reading(reading, bound.high, age, drying_days, given.yes("site_water"))
    steps = (
        given.step("bound", _emission(bound)),
        given.step("ratio", f"{found.ratio:.2f}"),
        given.step("to_dry", given.says("days", n=round(drying_days))),
    )
    source = found.source.value
    return Result(steps, (given.says(f"likelier.{source}"), given.says(f"decide.{source}")))
