"""Tests on the slab's surface: plastic sheet, water drop, pH, scratch, pull-off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import inf

from advisor.physics.bounds import Interval
from advisor.physics.floor_tests.finding import (
    Fault,
    Finding,
    Readings,
    conclude,
    none_or_fault,
    none_or_unmet,
    readings,
)
from advisor.physics.validity import within


@dataclass(frozen=True)
class SheetRules:
    """What makes a plastic sheet test valid: its least side [m] and hours."""

    side_m: float
    hours: float


def plastic_sheet(
    damp_or_darker: bool,
    side_m: float | None,
    hours: float | None,
    sealed: bool | None,
    rules: SheetRules,
) -> Finding[bool]:
    """Whether moisture shows under a taped sheet (ASTM D4263): True is too wet to coat.

    False only says that none rose in those hours at that temperature: it clears no floor by itself.
    ``sealed``: taped on all edges, out of sun and heating.  None is not recorded.
    """
    faults = [
        none_or_fault("side of the sheet", side_m, rules.side_m * (1.0 - 1e-9), inf, "m"),
        none_or_fault("hours it lay", hours, rules.hours, inf, "h"),
        none_or_unmet("taped on all edges", sealed),
    ]
    return conclude("ASTM D4263", damp_or_darker, "", faults)


def water_drop(
    seconds_until_soaked: float | None,
    watched_s: float | None,
    surface_clean_and_dry: bool | None,
    watch_s: float,
) -> Finding[bool]:
    """Whether the surface is absorbent: a drop soaks in while it is watched for ``watch_s`` (ASTM F3191).

    ``seconds_until_soaked`` is None when it still stood at the end.  A drop that stands says that something
    closes the surface: a sealer, a curing membrane, oil, or a hard trowelled face.
    """
    if seconds_until_soaked is not None:
        within("seconds until soaked", seconds_until_soaked, 0.0, 86_400.0, "s")
    soaked = seconds_until_soaked is not None and seconds_until_soaked <= watch_s
    faults = [none_or_unmet("surface clean and dry", surface_clean_and_dry)]
    if not soaked:  # a drop that has soaked need not be watched any longer
        faults.append(none_or_fault("seconds watched", watched_s, watch_s, inf, "s"))
    return conclude("ASTM F3191", soaked, "", faults)


@dataclass(frozen=True)
class PuddleRules:
    """What makes a reading of pH valid: how long the puddle stands [s], and its diameter [m]."""

    seconds: Interval
    diameter_m: Interval


def surface_ph(
    ph: float,
    puddle_s: float | None,
    puddle_diameter_m: float | None,
    bare_concrete: bool | None,
    rules: PuddleRules,
) -> Finding[float]:
    """The pH of the surface by paper on a puddle of distilled water; 0 to 14, else OutsideValidity."""
    value = within("pH", ph, 0.0, 14.0, "")
    faults = [
        none_or_fault("seconds before the paper", puddle_s, rules.seconds.low, rules.seconds.high, "s"),
        none_or_fault("diameter of the puddle", puddle_diameter_m, rules.diameter_m.low, rules.diameter_m.high, "m"),
        none_or_unmet("bare concrete", bare_concrete),
    ]
    return conclude("ASTM F710-05", value, "", faults)


class Hardness(Enum):
    """How hard the surface is, as grinding tools see it."""

    SOFT = "soft"
    NORMAL = "normal"
    HARD = "hard"


def scratch_hardness(
    softest_that_scratches: int | None, picks: Sequence[int], bare_and_dry: bool | None, normal: Interval
) -> Finding[Hardness]:
    """Hardness by picks of known Mohs number (1 to 9) drawn over the surface.

    ``picks`` are those tried, ``softest_that_scratches`` the lowest that left a scratch, None if none did.
    Scratched by a pick within ``normal`` it is normal, by a softer one soft, by a harder one or none hard.
    Valid if a pick of each kind was to hand.
    """
    for pick in picks:
        within("Mohs number of a pick", pick, 1.0, 9.0, "")
    low, high = normal.low, normal.high
    faults = [
        none_or_unmet("surface bare and dry", bare_and_dry),
        none_or_unmet(f"a pick softer than {low:g} tried", any(pick < low for pick in picks)),
        none_or_unmet(f"a pick of {low:g} to {high:g} tried", any(pick in normal for pick in picks)),
        none_or_unmet(f"a pick harder than {high:g} tried", any(pick > high for pick in picks)),
    ]
    softest = 10 if softest_that_scratches is None else softest_that_scratches
    if softest != 10:
        faults.append(none_or_unmet("the pick that scratched is among those tried", softest in picks))
    value = Hardness.SOFT if softest < low else Hardness.NORMAL if softest <= high else Hardness.HARD
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


def pull_off(pulls: Sequence[Pull], least_pa: float, required: int) -> Readings:
    """Tensile strength of surface or bond (ASTM D7234-22) by so many pulls; value the lowest [Pa], 0 to 20 MPa.

    ``least_pa`` is what the use asks.  A
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
    return readings("ASTM D7234-22", stresses, len(pulls), "Pa", faults, required, form, worst="lowest")
