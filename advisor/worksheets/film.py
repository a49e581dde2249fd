"""Worksheets on film build and mixing: film, mix, pot-life, placing."""

from __future__ import annotations

from advisor.errors import BadCase, Fault
from advisor.physics import film, mixing
from advisor.physics.bounds import Interval
from advisor.worksheets.sheet import Given, Input, Result, Step, across, sheet, spanned
from explanations.wording import wording

LITRE = 1e-3


@sheet(
    "film",
    "worksheets_film.film",
    (
        Input("dry_thickness", "um", 1, 20_000),
        Input("solids", "percent", 1, 100),
        Input("thinner", "percent", 0, 100, "0 %", one=True),
        Input("loss", "percent", 0, 90, figure="norm.coating_loss"),
        Input("area", "m2", 0.1, 1e6, "100 m2"),
    ),
)
def film_build(given: Given) -> Result:
    """Wet thickness, theoretical and practical coverage, volume."""
    dry, solids, loss = given.span("dry_thickness", 1e-6), given.span("solids", 0.01), given.span("loss", 0.01)
    thinner = given.exact("thinner", 0.01)
    wet = across(film.wet_thickness, 1e6, dry_m=dry, solids=solids, thinner_share=thinner)
    theory = across(film.coverage, dry_m=dry, solids=solids)
    practice = across(film.practical_coverage, theoretical=theory, loss=loss)
    volume = across(film.volume_needed, area_m2=given.span("area"), dry_m=dry, solids=solids, loss=loss)
    steps = (
        given.step("wet", spanned(wet, "um")),
        given.step("theory", _scaled(theory, LITRE, "m2_l")),
        given.step("practice", _scaled(practice, LITRE, "m2_l")),
        given.step("volume", _scaled(volume, 1 / LITRE, "l")),
    )
    return Result(steps, (given.says("data_sheet_first"),))


def _scaled(span: Interval, scale: float, unit: str) -> str:
    return spanned(Interval(span.low * scale, span.high * scale), unit)


@sheet(
    "mix",
    "worksheets_film.mix",
    (
        Input("ratio", "ratio", 0.01, 100),
        Input("density_a", "kg_l", 0.5, 5),
        Input("density_b", "kg_l", 0.5, 5),
        Input("volume", "l", 0.01, 1000, one=True),
    ),
)
def mix(given: Given) -> Result:
    """Mass ratio, and what to measure out."""
    ratio = given.span("ratio")
    mass = across(
        mixing.mass_ratio,
        volume_ratio=ratio,
        density_a=given.span("density_a", 1000),
        density_b=given.span("density_b", 1000),
    )
    share = across(mixing.share_of_a, ratio=ratio)
    volume = given.exact("volume")
    part_a = Interval(share.low * volume, share.high * volume)
    part_b = Interval(volume - part_a.high, volume - part_a.low)
    steps = (
        given.step("mass_ratio", given.says("to_one", parts=spanned(mass, ""))),
        given.step("part_a", spanned(part_a, "l")),
        given.step("part_b", spanned(part_b, "l")),
    )
    hazards = (given.base.cautions[name].says for name in ("mixed_material", "amines", "isocyanates"))
    return Result(steps, (given.says("whole_kits"), *hazards))


@sheet(
    "pot-life",
    "worksheets_film.pot_life",
    (
        Input("stated", "minute", 0.1, 10_000, one=True),
        Input("stated_at", "degC", -10, 60, figure="limit.pot_life_stated_at", one=True),
        Input("temperature", "degC", -10, 60),
        Input("second", "minute", 0.1, 10_000, one=True),
        Input("second_at", "degC", -10, 60, one=True),
    ),
    optional=("second", "second_at"),
)
def pot_life(given: Given) -> Result:
    """Pot life [min] on the day."""
    temperature = given.span("temperature")
    if given.has("second") != given.has("second_at"):
        missing = "second_at" if given.has("second") else "second"
        what = wording("worksheets.missing", name=missing)
        raise BadCase([Fault("pot-life", what, given.says("both_or_neither"))])
    if given.has("second"):
        points = sorted(
            ((given.exact("stated_at"), given.exact("stated")), (given.exact("second_at"), given.exact("second")))
        )
        (cool_c, cool_min), (warm_c, warm_min) = points
        held = {"cool_min": cool_min, "cool_c": cool_c, "warm_min": warm_min, "warm_c": warm_c}
        life = across(mixing.pot_life_between, temp_c=temperature, **held)
        energy = mixing.activation_energy(cool_min, cool_c, warm_min, warm_c) / 1000
        steps: tuple[Step, ...] = (
            given.step("energy", f"{energy:.1f} kJ/mol"),
            given.step("between", spanned(life, "min")),
        )
    else:
        halves = given.norm("pot_life_halves_every").low
        life = across(
            mixing.pot_life,
            stated_min=given.span("stated"),
            stated_temp_c=given.span("stated_at"),
            temp_c=temperature,
            halves_every_k=halves,
        )
        steps = (given.step("by_rule", spanned(life, "min"), halves=f"{halves:g}"),)
    return Result(steps, (given.says("trial_batch"),))


@sheet(
    "placing",
    "worksheets_film.placing",
    (
        Input("workable", "minute", 0.1, 1000),
        Input("rate", "m2_h", 0.1, 1000, figure="speed.coat_two_part"),
        Input("people", "count", 1, 50, "1"),
        Input("reserve", "percent", 0, 90, figure="norm.pot_life_reserve"),
        Input("area", "m2", 0.1, 1e5),
    ),
)
def placing(given: Given) -> Result:
    """Area placed in a batch [m2], and batches."""
    batch = across(
        mixing.area_placed,
        workable_min=given.span("workable"),
        m2_per_person_hour=given.span("rate"),
        people=given.span("people"),
        reserve=given.span("reserve", 0.01),
    )
    count = across(mixing.batches, area_m2=given.span("area"), area_per_batch_m2=batch)
    steps = (
        given.step("batch", spanned(batch, "m2")),
        given.step("batches", spanned(count, "")),
    )
    return Result(steps, (given.says("one_covers_it" if count.high <= 1 else "plan_the_ends"),))
