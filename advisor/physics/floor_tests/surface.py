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
        none_or_fault("sheet_side", side_m, Interval(rules.side_m * (1.0 - 1e-9), inf), "m"),
        none_or_fault("sheet_hours", hours, Interval(rules.hours, inf), "h"),
        none_or_unmet("sheet_taped", sealed),
    ]
    return conclude(damp_or_darker, "", faults)


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
        within("seconds_until_soaked", seconds_until_soaked, 0.0, 86_400.0, "s")
    soaked = seconds_until_soaked is not None and seconds_until_soaked <= watch_s
    faults = [none_or_unmet("surface_clean_and_dry", surface_clean_and_dry)]
    if not soaked:  # a drop that has soaked need not be watched any longer
        faults.append(none_or_fault("drop_watched", watched_s, Interval(watch_s, inf), "s"))
    return conclude(soaked, "", faults)


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
    value = within("ph", ph, 0.0, 14.0, "")
    faults = [
        none_or_fault("puddle_time", puddle_s, rules.seconds, "s"),
        none_or_fault("puddle_diameter", puddle_diameter_m, rules.diameter_m, "m"),
        none_or_unmet("concrete_bare", bare_concrete),
    ]
    return conclude(value, "", faults)


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
        within("mohs_number_of_a_pick", pick, 1.0, 9.0, "")
    low, high = normal.low, normal.high
    faults = [
        none_or_unmet("surface_bare_and_dry", bare_and_dry),
        none_or_unmet("softer_pick_tried", any(pick < low for pick in picks)),
        none_or_unmet("normal_pick_tried", any(pick in normal for pick in picks)),
        none_or_unmet("harder_pick_tried", any(pick > high for pick in picks)),
    ]
    softest = 10 if softest_that_scratches is None else softest_that_scratches
    if softest != 10:
        faults.append(none_or_unmet("scratching_pick_tried", softest in picks))
    value = Hardness.SOFT if softest < low else Hardness.NORMAL if softest <= high else Hardness.HARD
    return conclude(value, "", faults)


class Break(Enum):
    """Where a pulled dolly came off."""

    IN_CONCRETE = "in_concrete"
    BETWEEN = "between"
    IN_COATING = "in_coating"
    IN_GLUE = "in_glue"


@dataclass(frozen=True)
class Pull:
    """One pull: stress at the break [Pa], where it broke, and whether it was scored around the dolly."""

    stress_pa: float
    broke: Break
    scored: bool | None


def pull_off(pulls: Sequence[Pull], least_pa: float, required: int) -> Readings:
    """Tensile strength of surface or bond (ASTM D7234-22) by so many pulls; value the lowest [Pa], 0 to 20 MPa.

    ``least_pa`` is what the use asks.  A break in the glue below it says nothing of the floor and makes the test
    invalid; above it, it proves enough.
    """
    within("least_strength_asked", least_pa, 1e4, 2e7, "Pa")
    faults: list[Fault | None] = []
    for number, pull in enumerate(pulls, start=1):
        within("pull_off_stress", pull.stress_pa, 0.0, 2e7, "Pa")
        faults.append(none_or_unmet("pull_scored", pull.scored, number))
        if pull.broke is Break.IN_GLUE and pull.stress_pa < least_pa:
            faults.append(Fault("pull_broke_in_floor", Break.IN_GLUE, place=number))
    return readings([pull.stress_pa for pull in pulls], len(pulls), "Pa", faults, required, worst="lowest")
