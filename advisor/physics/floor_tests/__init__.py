"""Tests on the floor: what was measured, whether it was done validly, and so what it lets one conclude."""

from advisor.physics.floor_tests.emission import DishArea, emission_rate

__all__ = ["DishArea", "emission_rate"]
