"""Worksheets on film build and mixing: film, mix, pot-life, placing."""

from __future__ import annotations

from advisor.errors import BadCase, Fault
from advisor.physics import film, mixing
from advisor.physics.bounds import Interval
from advisor.physics.units import GALLON, MIL, SQUARE_FOOT
from advisor.worksheets.sheet import Given, Input, Result, Step, across, sheet, spanned

LITRE = 1e-3
GALLON_SOURCE = (
    "the US gallon is 231 in3 (NIST Handbook 44, Appendix C, from memory), so 1 gal at 1 mil covers 1604 ft2"
)


@sheet(
    "film",
    "Wet and dry thickness, coverage, and how much is needed",
    (
        Input("dry_thickness", "dry thickness of the coat", "um", 1, 20_000),
        Input("solids", "solids by volume", "percent", 1, 100),
        Input("thinner", "thinner added, by volume of the paint", "percent", 0, 100, "0 %", one=True),
        Input("loss", "loss in tins, rollers and rough concrete", "percent", 0, 90, "10 %"),
        Input("area", "area to coat", "m2", 0.1, 1e6, "100 m2"),
    ),
    f"coverage = solids / dry thickness; {GALLON_SOURCE}; practical coverage = theoretical x (1 - loss)",
    "what a rough profile swallows beyond the loss stated",
)
def film_build(given: Given) -> Result:
    """Wet thickness, theoretical and practical coverage, volume."""
    dry, solids, loss = given.span("dry_thickness", 1e-6), given.span("solids", 0.01), given.span("loss", 0.01)
    thinner = given.exact("thinner", 0.01)
    wet = across(film.wet_thickness, 1 / MIL, dry_m=dry, solids=solids, thinner_share=thinner)
    theory = across(film.coverage, dry_m=dry, solids=solids)
    practice = across(film.practical_coverage, theoretical=theory, loss=loss)
    volume = across(film.volume_needed, area_m2=given.span("area"), dry_m=dry, solids=solids, loss=loss)
    per_gallon, per_litre = GALLON / SQUARE_FOOT, LITRE
    steps = (
        Step("wet thickness", "dry (1 + thinner) / solids", spanned(wet, "mil")),
        Step("theoretical coverage", "solids / dry", _coverage(theory, per_litre, per_gallon)),
        Step("practical coverage", "theoretical (1 - loss)", _coverage(practice, per_litre, per_gallon)),
        Step(
            "volume",
            "area / practical coverage",
            f"{_scaled(volume, 1 / LITRE, 'L')} ({_scaled(volume, 1 / GALLON, 'gal')})",
        ),
    )
    return Result(steps, ("The data sheet's own coverage for your profile comes first.",))


def _coverage(span: Interval, per_litre: float, per_gallon: float) -> str:
    return f"{_scaled(span, per_litre, 'm²/L')} ({_scaled(span, per_gallon, 'ft²/gal')})"


def _scaled(span: Interval, scale: float, unit: str) -> str:
    return spanned(Interval(span.low * scale, span.high * scale), unit)


@sheet(
    "mix",
    "Mixing ratio by volume and by mass",
    (
        Input("ratio", "parts of A to one part of B, by volume", "ratio", 0.01, 100),
        Input("density_a", "density of A", "kg_l", 0.5, 5),
        Input("density_b", "density of B", "kg_l", 0.5, 5),
        Input("volume", "volume to mix", "l", 0.01, 1000, one=True),
    ),
    "mass ratio = volume ratio x density A / density B",
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
        Step("mass ratio", "volume ratio x density A / density B", f"{spanned(mass, '')} to 1"),
        Step("part A", "ratio / (ratio + 1) x volume", spanned(part_a, "L")),
        Step("part B", "the rest", spanned(part_b, "L")),
    )
    return Result(steps, ("Mix whole kits where you can; the label's ratio comes first. Wear gloves and goggles.",))


@sheet(
    "pot-life",
    "Pot life at another temperature",
    (
        Input("stated", "pot life on the data sheet", "minute", 0.1, 10_000, one=True),
        Input("stated_at", "at this temperature", "degC", -10, 60, "25 C", one=True),
        Input("temperature", "temperature of the mix on the day", "degC", -10, 60),
        Input("second", "the maker's second point: pot life (optional)", "minute", 0.1, 10_000, one=True),
        Input("second_at", "the maker's second point: temperature (optional)", "degC", -10, 60, one=True),
    ),
    "rule of thumb, halves for every 10 C (18 F) warmer: common practice, no source (factors of 1.5 to 2.5 by "
    "chemistry); with two points of the maker's: Arrhenius between them",
    "the heat of a full bucket, which shortens it further: pour it out at once",
    optional=("second", "second_at"),
)
def pot_life(given: Given) -> Result:
    """Pot life [min] on the day."""
    temperature = given.span("temperature")
    if given.has("second") != given.has("second_at"):
        missing = "second_at" if given.has("second") else "second"
        raise BadCase([Fault("pot-life", f'"{missing}" is missing', "both of the maker's second point, or neither")])
    if given.has("second"):
        points = sorted(
            ((given.exact("stated_at"), given.exact("stated")), (given.exact("second_at"), given.exact("second")))
        )
        (cool_c, cool_min), (warm_c, warm_min) = points
        held = {"cool_min": cool_min, "cool_c": cool_c, "warm_min": warm_min, "warm_c": warm_c}
        life = across(mixing.pot_life_between, temp_c=temperature, **held)
        energy = mixing.activation_energy(cool_min, cool_c, warm_min, warm_c) / 1000
        steps: tuple[Step, ...] = (
            Step("activation energy", "R ln(t1/t2) / (1/T1 - 1/T2)", f"{energy:.1f} kJ/mol"),
            Step("pot life", "Arrhenius through both points", spanned(life, "min")),
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
        steps = (Step("pot life", f"stated x 2^((t stated - t) / {halves:g} C)", spanned(life, "min")),)
    return Result(steps, ("Trust the data sheet and a small trial batch before this figure.",))


@sheet(
    "placing",
    "Can the crew place it before it sets: area for each batch, and batches",
    (
        Input("workable", "time from mixing until it no longer flows", "minute", 0.1, 1000),
        Input("rate", "area one person spreads in an hour", "m2_h", 0.1, 1000, "15 to 25 m2/h"),
        Input("people", "people who spread (one more mixes)", "count", 1, 50, "1"),
        Input("reserve", "share of the time kept in hand", "percent", 0, 90, "25 %"),
        Input("area", "area to place", "m2", 0.1, 1e5),
    ),
    "area = rate x people x workable time x (1 - reserve); rates and reserve: common practice, no source",
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
        Step("area for each batch", "rate x people x time x (1 - reserve)", spanned(batch, "m²")),
        Step("batches", "area / area for each batch, rounded up", spanned(count, "")),
    )
    wet_edge = (
        "One batch covers it."
        if count.high <= 1
        else "Plan where each batch ends: a joint, a doorway, a wet edge that the next batch reaches in time."
    )
    return Result(steps, (wet_edge,))
