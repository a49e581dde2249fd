"""Tests on the floor: what was measured, whether it was done validly, and so what it lets one conclude.

Each test returns a ``Finding``: a value, or else the faults because of which it concludes nothing.
"""

from advisor.physics.floor_tests.emission import (
    Dish,
    DishArea,
    DishRules,
    dish_test,
    emission_rate,
    places_required,
)
from advisor.physics.floor_tests.finding import Fault, Finding, Readings
from advisor.physics.floor_tests.humidity import Probe, ProbeRules, humidity_test
from advisor.physics.floor_tests.surface import (
    Break,
    Hardness,
    PuddleRules,
    Pull,
    SheetRules,
    plastic_sheet,
    pull_off,
    scratch_hardness,
    surface_ph,
    water_drop,
)

__all__ = [
    "Break",
    "Dish",
    "DishArea",
    "DishRules",
    "Fault",
    "Finding",
    "Hardness",
    "Probe",
    "ProbeRules",
    "PuddleRules",
    "Pull",
    "Readings",
    "SheetRules",
    "dish_test",
    "emission_rate",
    "humidity_test",
    "places_required",
    "plastic_sheet",
    "pull_off",
    "scratch_hardness",
    "surface_ph",
    "water_drop",
]
