"""Tests on the slab's surface: plastic sheet, water drop, pH, scratch, pull-off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import inf

from advisor.physics.floor_tests.finding import (
    Fault,
    Finding,
    Readings,
    conclude,
    none_or_fault,
    none_or_unmet,
    readings,
)
from advisor.physics.units import INCH
from advisor.physics.validity import within


@dataclass(frozen=True)
class SurfaceRules:
    """What makes these tests valid.

    Sheet of 18 x 18 in for 16 h: ASTM D4263.  Water drop watched for 60 s: ASTM F3191 (from memory).  Puddle
    of about 1 in for 60 ± 5 s before the pH paper: ASTM F710-05 (taken out of F710 in 2021; the guide is
    ASTM F3441-23).  Three pulls: common practice, no source.
    """

    sheet_side_m: float = 18.0 * INCH
    sheet_h: float = 16.0
    drop_s: float = 60.0
    puddle_m: float = 0.9 * INCH
    puddle_least_s: float = 55.0
    puddle_most_s: float = 65.0
    pulls: int = 3


DEFAULT = SurfaceRules()


def plastic_sheet(
    damp_or_darker: bool,
    side_m: float | None,
    hours: float | None,
    sealed: bool | None,
    rules: SurfaceRules = DEFAULT,
) -> Finding[bool]:
    """Whether moisture shows under a taped sheet (ASTM D4263): True is too wet to coat.

    False only says that none rose in those hours at that temperature: it clears no floor by itself.
    ``sealed``: taped on all edges, out of sun and heating.  None is not recorded.
    """
    faults = [
        none_or_fault("side of the sheet", side_m, rules.sheet_side_m * (1.0 - 1e-9), inf, "m"),
        none_or_fault("hours it lay", hours, rules.sheet_h, inf, "h"),
        none_or_unmet("taped on all edges", sealed),
    ]
    return conclude("ASTM D4263", damp_or_darker, "", faults)


def water_drop(
    seconds_until_soaked: float | None,
    watched_s: float | None,
    surface_clean_and_dry: bool | None,
    rules: SurfaceRules = DEFAULT,
) -> Finding[bool]:
    """Whether the surface is absorbent: a drop of 0.05 mL soaks in within 60 s (ASTM F3191, from memory).

    ``seconds_until_soaked`` is None when it still stood at the end.  A drop that stands says that something
    closes the surface: a sealer, a curing membrane, oil, or a hard trowelled face.
    """
    if seconds_until_soaked is not None:
        within("seconds until soaked", seconds_until_soaked, 0.0, 86_400.0, "s")
    soaked = seconds_until_soaked is not None and seconds_until_soaked <= rules.drop_s
    faults = [none_or_unmet("surface clean and dry", surface_clean_and_dry)]
    if not soaked:  # a drop that has soaked need not be watched any longer
        faults.append(none_or_fault("seconds watched", watched_s, rules.drop_s, inf, "s"))
    return conclude("ASTM F3191", soaked, "", faults)


def surface_ph(
    ph: float,
    puddle_s: float | None,
    puddle_diameter_m: float | None,
    bare_concrete: bool | None,
    rules: SurfaceRules = DEFAULT,
) -> Finding[float]:
    """The pH of the surface by paper on a puddle of distilled water; 0 to 14, else OutsideValidity."""
    value = within("pH", ph, 0.0, 14.0, "")
    faults = [
        none_or_fault("seconds before the paper", puddle_s, rules.puddle_least_s, rules.puddle_most_s, "s"),
        none_or_fault("diameter of the puddle", puddle_diameter_m, rules.puddle_m, 2.0 * rules.puddle_m, "m"),
        none_or_unmet("bare concrete", bare_concrete),
    ]
    return conclude("ASTM F710-05", value, "", faults)


class Hardness(Enum):
    """How hard the surface is, as grinding tools see it; common practice, from memory."""

    SOFT = "soft"
    NORMAL = "normal"
    HARD = "hard"


def scratch_hardness(
    softest_that_scratches: int | None, picks: Sequence[int], bare_and_dry: bool | None
) -> Finding[Hardness]:
    """Hardness by picks of known Mohs number (1 to 9) drawn over the surface.

    ``picks`` are those tried, ``softest_that_scratches`` the lowest that left a scratch, None if none did.
    Scratched by 4 or softer is soft, by 5 or 6 normal, by 7 or none hard (common practice, from memory).
    Valid if a pick of 4 or less, a 5 or 6, and a 7 or more were to hand.
    """
    for pick in picks:
        within("Mohs number of a pick", pick, 1.0, 9.0, "")
    faults = [
        none_or_unmet("surface bare and dry", bare_and_dry),
        none_or_unmet("a pick of 4 or softer tried", any(pick <= 4 for pick in picks)),
        none_or_unmet("a pick of 5 or 6 tried", any(5 <= pick <= 6 for pick in picks)),
        none_or_unmet("a pick of 7 or harder tried", any(pick >= 7 for pick in picks)),
    ]
    softest = 10 if softest_that_scratches is None else softest_that_scratches
    if softest != 10:
        faults.append(none_or_unmet("the pick that scratched is among those tried", softest in picks))
    value = Hardness.SOFT if softest <= 4 else Hardness.NORMAL if softest <= 6 else Hardness.HARD
    return conclude("scratch with Mohs picks", value, "", faults)


class Break(Enum):
    """Where a pulled dolly came off."""

    IN_CONCRETE = "within the concrete"
    BETWEEN = "between concrete and coating"
    IN_COATING = "within the coating"
    IN_GLUE = "in the glue of the dolly"


@dataclass(frozen=True)
class Pull:
    """One pull: stress at the break [Pa], where it broke, and whether it was scored around the dolly."""

    stress_pa: float
    broke: Break
    scored: bool | None


def pull_off(pulls: Sequence[Pull], least_pa: float, rules: SurfaceRules = DEFAULT) -> Readings:
    """Tensile strength of surface or bond (ASTM D7234-22); value the lowest [Pa], 0 to 20 MPa.

    ``least_pa`` is what the use asks (200 psi, 1.38 MPa, with the break in the concrete: ASTM F3010-18).  A
    break in the glue below it says nothing of the floor and makes the test invalid; above it, it proves
    enough.  ``form`` counts the breaks by place.
    """
    within("least strength asked", least_pa, 1e4, 2e7, "Pa")
    faults: list[Fault | None] = []
    for number, pull in enumerate(pulls, start=1):
        within("pull-off stress", pull.stress_pa, 0.0, 2e7, "Pa")
        faults.append(none_or_unmet(f"pull {number}, scored down to the concrete", pull.scored))
        if pull.broke is Break.IN_GLUE and pull.stress_pa < least_pa:
            faults.append(Fault(f"pull {number}, place of the break", Break.IN_GLUE.value, "in the floor"))
    breaks = [pull.broke for pull in pulls]
    form = ", ".join(f"{breaks.count(place)} {place.value}" for place in Break if place in breaks)
    stresses = [pull.stress_pa for pull in pulls]
    return readings("ASTM D7234-22", stresses, len(pulls), "Pa", faults, rules.pulls, form, worst="lowest")
