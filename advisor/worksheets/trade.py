"""Worksheets of the trade: airing, solvent, discounting, grip against its class, profile against film, a limit."""

from __future__ import annotations

from advisor.errors import BadCase, Fault
from advisor.model.quantities import read_quantity
from advisor.physics.bounds import Interval
from advisor.physics.room_air import airing_hours
from advisor.work.life import growing_present_value, single_present_value, uniform_present_value
from advisor.worksheets.sheet import Given, Input, Result, across, sheet, spanned
from explanations.wording import wording

VOC_APART = 1.1  # two ways to tell the solvent that lie farther apart are of two products


@sheet(
    "airing",
    "worksheets_trade.airing",
    (
        Input("start", "mg_m3", 0.001, 1e8),
        Input("end", "mg_m3", 0.001, 1e8),
        Input("air_changes", "per_hour", 0.01, 500, ask="worksheets_room.air_changes"),
    ),
)
def airing(given: Given) -> Result:
    """Hours until fresh air has thinned it."""
    start, end = given.span("start"), given.span("end")
    share = Interval(end.low / start.high, end.high / start.low)
    hours = across(airing_hours, start_mg_m3=start, end_mg_m3=end, air_changes_per_h=given.span("air_changes"))
    steps = (
        given.step("left", spanned(Interval(100 * share.low, 100 * share.high), "%")),
        given.step("hours", spanned(hours, "h")),
        given.step("corners", spanned(Interval(3 * hours.low, 10 * hours.high), "h")),
    )
    said = (*([given.says("below_already")] if end.low >= start.high else []), given.says("still_gives_off"))
    return Result(steps, (*said, wording("worksheets_room.clears_no_one")))


@sheet(
    "solvent",
    "worksheets_trade.solvent",
    (
        Input("voc", "g_l", 0, 1500),
        Input("density", "kg_l", 0.5, 5),
        Input("solids_by_weight", "percent", 0, 100),
        Input("water_by_weight", "percent", 0, 100, "0 %"),
        Input("amount", "l", 0.001, 10_000, "1 L"),
    ),
    optional=("voc", "density", "solids_by_weight"),
)
def solvent(given: Given) -> Result:
    """Solvent in a litre, and in all that is used [g]."""
    by_weight = _by_weight(given) if given.has("density") and given.has("solids_by_weight") else None
    stated = given.span("voc") if given.has("voc") else None
    if stated and by_weight and (stated.low > VOC_APART * by_weight.high or by_weight.low > VOC_APART * stated.high):
        what = given.says("two_ways", voc=spanned(stated, "g/L"), by_weight=spanned(by_weight, "g/L"))
        raise BadCase([Fault("voc", what, given.says("ways"))])
    litre = stated or by_weight
    if litre is None:
        raise BadCase([Fault("voc", given.says("one_way"), given.says("ways"))])
    amount = given.span("amount")
    steps = (
        given.step("litre", spanned(litre, "g/L")),
        given.step("whole", spanned(Interval(litre.low * amount.low, litre.high * amount.high), "g")),
    )
    return Result(steps, (given.says("goes_on"), wording("worksheets_room.clears_no_one")))


def _by_weight(given: Given) -> Interval:
    """Solvent in a litre [g/L] by density and weights."""
    density, solids, water = (given.span(name) for name in ("density", "solids_by_weight", "water_by_weight"))
    shares = [1.0 - (solids.high + water.high) / 100.0, 1.0 - (solids.low + water.low) / 100.0]
    if shares[0] < 0:
        raise BadCase([Fault("solids_by_weight", given.says("too_much"), given.says("no_more"))])
    return Interval(1000 * density.low * shares[0], 1000 * density.high * shares[1])


@sheet(
    "discounting",
    "worksheets_trade.discounting",
    (
        Input("paid", "count", 0, 1e9, one=True),
        Input("years", "year", 0, 100, one=True),
        Input("how", choices=("once", "each_year"), default="once"),
        Input("rate", "percent", 0, 50, figure="norm.discount_rate", one=True),
        Input("growth", "percent", 0, 50, "0 %", one=True),
    ),
    ranges=False,
)
def discounting(given: Given) -> Result:
    """Today's worth of money that is paid later."""
    rate, growth, years = given.exact("rate", 0.01), given.exact("growth", 0.01), given.exact("years")
    once = given.word("how") == "once"
    if not once and years % 1:
        raise BadCase([Fault("years", given.says("part_of_a_year"), given.says("whole_years"))])
    if once:
        factor = single_present_value(rate, years) * (1.0 + growth) ** years
    elif growth:
        factor = growing_present_value(rate, growth, years)
    else:
        factor = uniform_present_value(rate, years)
    steps = (
        given.step("once" if once else "yearly", f"{factor:.4f}"),
        given.step("worth", f"{factor * given.exact('paid'):,.2f}"),
    )
    return Result(steps, (given.says("constant_money"),))


GRIP = {
    "dry": "dry_friction",
    "wet": "wet_friction_indoors",
    "very_wet": "wet_friction_always_wet",
    "outdoors_wet": "wet_friction_outdoors",
    "oily": "wet_friction_oil",
}  # by use: the limit


@sheet(
    "grip",
    "worksheets_trade.grip",
    (
        Input("readings", "ratio", 0.01, 2, many=True),
        Input("use", choices=tuple(GRIP)),
    ),
    ranges=False,
)
def grip(given: Given) -> Result:
    """Dynamic friction against the class of its use."""
    limit = given.base.limits[GRIP[given.word("use")]]
    least = read_quantity(limit.given, "ratio", Interval(0.0, 10.0)).low
    readings = given.several("readings")
    mean, worst = sum(readings) / len(readings), min(readings)
    steps = (
        given.step("mean", f"{mean:.2f}"),
        given.step("worst", f"{worst:.2f}"),
        given.step("asked", f"{least:.2f}", what=limit.means),
    )
    verdict = "reached" if worst >= least else "in_part" if mean >= least else "missed"
    return Result(steps, (given.says(verdict), given.says("no_promise")))


COATS = ("sealer", "thin_film", "high_build", "self_levelling", "overlay", "thick_overlay")  # by thickness


@sheet(
    "profile",
    "worksheets_trade.profile",
    (
        Input("csp", choices=tuple(str(number) for number in range(1, 11))),
        Input("dry_thickness", "um", 1, 20_000),
        Input("solids", "percent", 1, 100, "100 %"),
    ),
)
def profile(given: Given) -> Result:
    """Film that the profile swallows, what is left above it, and the profiles that such a film wants."""
    swallowed = given.norm(f"fills_csp_{given.word('csp')}")
    dry, solids = given.span("dry_thickness"), given.span("solids", 0.01)
    wanted = Interval(dry.low + swallowed.low, dry.high + swallowed.high)
    above = Interval(max(0.0, dry.low - swallowed.high), max(0.0, dry.high - swallowed.low))
    steps = (
        given.step("swallowed", spanned(swallowed, "um")),
        given.step("above", spanned(above, "um")),
        given.step("apply", spanned(Interval(wanted.low / solids.high, wanted.high / solids.low), "um")),
    )
    suits = [
        given.norm(f"csp_{name}")
        for name in COATS
        if (thick := given.norm(f"thick_{name}")).low < dry.high and dry.low <= thick.high
    ]
    least, most = min(each.low for each in suits), max(each.high for each in suits)
    asked = given.step("asked", spanned(Interval(least, most), ""))
    number = float(given.word("csp"))
    if number < least:
        verdict = "too_smooth"
    elif number > most:
        verdict = "too_rough"
    else:
        verdict = "swallows" if swallowed.high / dry.low > 1 / 3 else "fits"
    return Result((*steps, asked), (given.says(verdict),))


@sheet(
    "limit",
    "worksheets_trade.limit",
    (
        Input("reading", "percent", 0, 100),
        Input("products_limit", "percent", 0, 100, one=True),
        Input("meter_error", "percent", 0, 20, "2 %", one=True),
    ),
)
def limit(given: Given) -> Result:
    """A slab's humidity against the limit of the product that was bought."""
    reading, most, error = given.span("reading"), given.exact("products_limit"), given.exact("meter_error")
    low, high = max(0.0, reading.low - error), min(100.0, reading.high + error)
    steps = (
        given.step("may_be", spanned(Interval(low, high), "%")),
        given.step("margin", spanned(Interval(most - high, most - low), "%")),
    )
    verdict = "below" if high <= most else "above" if low > most else "as_read" if reading.low > most else "open"
    return Result(steps, (given.says(verdict),))
