"""A second solver for drying, unlike the first in every choice, as its referee.

Nodes on a mesh graded towards the surface, the surface itself a node; diffusivity at the faces as the mean of
its neighbours'; implicit Euler with Picard iteration, each step taken whole and in halves and extrapolated
(second order in time), steps growing with time.  It shares no code with ``advisor.physics``.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import solve_banded

DAY = 86400.0


def diffusivity(humidity: np.ndarray, d1: float, dry: float, centre: float, exponent: float) -> np.ndarray:
    return d1 * (dry + (1.0 - dry) / (1.0 + ((1.0 - humidity) / (1.0 - centre)) ** exponent))


def euler_step(
    old: np.ndarray, step: float, spacing: np.ndarray, volume: np.ndarray, law: tuple[float, float, float, float]
) -> np.ndarray:
    """One implicit step of all nodes but the first, which keeps the air's humidity."""
    new = old.copy()
    for _ in range(100):
        at_node = diffusivity(new, *law)
        conductance = step * 0.5 * (at_node[1:] + at_node[:-1]) / spacing
        inner = volume[1:]
        banded = np.zeros((3, len(inner)))
        banded[1] = 1.0 + conductance / inner
        banded[1, :-1] += conductance[1:] / inner[:-1]
        banded[0, 1:] = -conductance[1:] / inner[:-1]
        banded[2, :-1] = -conductance[1:] / inner[1:]
        right = old[1:].copy()
        right[0] += conductance[0] / inner[0] * old[0]
        solved = solve_banded((1, 1), banded, right)
        change = np.abs(solved - new[1:]).max()
        new[1:] = solved
        if change < 1e-10:
            return new
    raise RuntimeError("Picard iteration did not converge")


def days_to_limits(
    path_m: float,
    measured_at_m: float,
    law: tuple[float, float, float, float],
    start: float,
    air: float,
    limits: list[float],
    nodes: int = 151,
) -> list[float]:
    """Days until the humidity (0 to 1) at a depth falls to each of the limits, which fall in turn."""
    places = path_m * np.linspace(0.0, 1.0, nodes) ** 1.6
    spacing = np.diff(places)
    volume = np.concatenate([[spacing[0] / 2], (spacing[1:] + spacing[:-1]) / 2, [spacing[-1] / 2]])
    state = np.full(nodes, start)
    state[0] = air
    day, step, found = 0.0, 1e-6, []
    before = start
    while len(found) < len(limits):
        whole = euler_step(state, step * DAY, spacing, volume, law)
        half = euler_step(state, step * DAY / 2, spacing, volume, law)
        halves = euler_step(half, step * DAY / 2, spacing, volume, law)
        # Extrapolation may overshoot where the surface is steepest.
        state = np.clip(2.0 * halves - whole, min(air, start), max(air, start))
        state[0] = air
        after = float(np.interp(measured_at_m, places, state))
        while len(found) < len(limits) and after <= limits[len(found)]:
            found.append(day + step * (before - limits[len(found)]) / (before - after))
        day, before = day + step, after
        step = min(step * 1.1, 0.02 * day + 1e-6)
    return found
