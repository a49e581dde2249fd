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
from advisor.physics.floor_tests.humidity import DryingSides, Probe, ProbeRules, humidity_test, probe_depth
from advisor.physics.floor_tests.surface import (
    Break,
    Hardness,
    Pull,
    SurfaceRules,
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
    "DryingSides",
    "Fault",
    "Finding",
    "Hardness",
    "Probe",
    "ProbeRules",
    "Pull",
    "Readings",
    "SurfaceRules",
    "dish_test",
    "emission_rate",
    "humidity_test",
    "places_required",
    "plastic_sheet",
    "probe_depth",
    "pull_off",
    "scratch_hardness",
    "surface_ph",
    "water_drop",
]
