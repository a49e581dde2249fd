"""Drying of a slab by one-dimensional nonlinear diffusion of its pore humidity.

dH/dt = d/dx (D(H) f(T) dH/dx), with D of ``diffusivity`` and the surface as humid as the air (or wet, in
rain); drying from one side the underside is sealed, from two the middle is a plane of symmetry.  Finite
volumes in space; SciPy's LSODA in time, with the tridiagonal Jacobian.  The flow between two cells is a
difference of the Kirchhoff potential, the integral of D over H, which is exact however steeply D falls.

Left out: water that hydration uses up (low water/cement ratios dry by themselves, too), a film of still air,
the suction of liquid rain (rewetting is therefore understated), vapour from the ground, gradients of
temperature.  It is an estimate for planning, with a wide band; a test of the floor decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.integrate import solve_ivp

from advisor.physics.bounds import Interval
from advisor.physics.diffusivity import Diffusivity, temperature_factor
from advisor.physics.drying_air import AirCourse
from advisor.physics.drying_time import DryingSides
from advisor.physics.units import DAY
from advisor.physics.validity import within

if TYPE_CHECKING:
    from advisor.physics.validity import Array

CELLS, TOLERANCE = 100, 1e-5  # days until a limit within 0.2 %; see the tests of convergence
LONGEST_DAYS = 10_000.0
_TABLE = 8000  # steps of the tabulated Kirchhoff potential


@dataclass(frozen=True)
class Slab:
    """A slab as it starts to dry: thickness 0.01 to 1 m, humidity 1 to 100 % throughout."""

    thickness_m: float
    diffusivity: Diffusivity
    sides: DryingSides = DryingSides.ONE
    initial_rh_percent: float = 98.0

    def __post_init__(self) -> None:
        """Refuse what is no slab."""
        within("slab_thickness", self.thickness_m, 0.01, 1.0, "m")
        within("initial_humidity", self.initial_rh_percent, 1.0, 100.0, "%")

    @property
    def drying_path_m(self) -> float:
        """Longest way out for moisture [m]: the thickness, or half of it."""
        return self.thickness_m * self.sides.value


@dataclass(frozen=True)
class Drying:
    """The course of a drying slab: ``rh_percent[i, j]`` at ``days[i]`` and ``depths_m[j]`` below the top.

    A profile over depth at a date, for a picture, is ``profile(day)``; depths reach the drying path's end.
    """

    slab: Slab
    days: Array
    depths_m: Array
    rh_percent: Array

    def profile(self, day: float) -> Array:
        """Humidity [%] at ``depths_m`` on a day within the course."""
        when = within("day", day, 0.0, float(self.days[-1]), "d")
        after = int(np.clip(np.searchsorted(self.days, when), 1, len(self.days) - 1))
        span = self.days[after] - self.days[after - 1]
        share = (when - self.days[after - 1]) / span
        profile: Array = self.rh_percent[after - 1] * (1.0 - share) + self.rh_percent[after] * share
        return profile

    def at_depth(self, depth_m: float) -> Array:
        """Humidity [%] over ``days`` at a depth."""
        depth = within("depth", depth_m, 0.0, self.slab.drying_path_m, "m")
        after = int(np.clip(np.searchsorted(self.depths_m, depth), 1, len(self.depths_m) - 1))
        low, high = self.depths_m[after - 1], self.depths_m[after]
        share = (depth - low) / (high - low)
        series: Array = self.rh_percent[:, after - 1] * (1.0 - share) + self.rh_percent[:, after] * share
        return series

    def days_to_reach(self, limit_percent: float, depth_m: float) -> float | None:
        """First day on which the depth is at or below a limit (1 to 100 %); None if not in this course."""
        limit = within("humidity_limit", limit_percent, 1.0, 100.0, "%")
        series = self.at_depth(depth_m)
        reached = np.flatnonzero(series <= limit)
        if not reached.size:
            return None
        first = int(reached[0])
        if first == 0:
            return 0.0
        before, after = series[first - 1], series[first]
        share = (before - limit) / (before - after)
        return float(self.days[first - 1] + share * (self.days[first] - self.days[first - 1]))


def dry(slab: Slab, air: AirCourse, days: float, cells: int = CELLS, tolerance: float = TOLERANCE) -> Drying:
    """Follow a slab for ``days`` (0.1 to 10 000), on a mesh of 10 to 2000 cells.

    ``tolerance`` (1e-10 to 1e-3) is LSODA's, relative and absolute in humidity of 0 to 1.
    Raises OutsideValidity beyond these, and RuntimeError should the integration fail.
    """
    horizon = within("days_to_follow", days, 0.1, LONGEST_DAYS, "d")
    count = int(within("cells_of_mesh", cells, 10, 2000, ""))
    accuracy = within("tolerance", tolerance, 1e-10, 1e-3, "")
    system = _Cells(slab, air, count)
    state = np.full(count, slab.initial_rh_percent / 100.0)
    times, states = [0.0], [state]
    # Rain starts and ends at once: the integration starts afresh there.
    edges = sorted({0.0, horizon, *(edge for spell in air.rain for edge in spell if edge < horizon)})
    longest_step = np.inf if len(air.days) == 1 else 10.0
    outputs = np.union1d(np.arange(1.0, horizon, 1.0), horizon * np.geomspace(1e-6, 1.0, 600))
    for start, end in pairwise(edges):
        system.wet = any(low <= start < high for low, high in air.rain)
        wanted = np.append(outputs[(outputs > start) & (outputs < end)], end)
        course = solve_ivp(
            system.rate,
            (start, end),
            state,
            method="LSODA",
            t_eval=wanted,
            jac=system.jacobian,
            lband=1,
            uband=1,
            rtol=accuracy,
            atol=accuracy,
            max_step=longest_step,
        )
        if not course.success:
            raise RuntimeError(f"drying could not be integrated: {course.message}")
        state = course.y[:, -1]
        times.extend(course.t)
        states.extend(course.y.T)
    depths = (np.arange(count) + 0.5) * slab.drying_path_m / count
    return Drying(slab, np.array(times), depths, 100.0 * np.clip(np.array(states), 0.0, 1.0))


class _Cells:
    """The finite volumes as SciPy wants them: rates of change [1/d], and their tridiagonal Jacobian."""

    def __init__(self, slab: Slab, air: AirCourse, count: int) -> None:
        humidity = np.linspace(0.0, 1.0, _TABLE + 1)
        middle = slab.diffusivity.share((humidity[1:] + humidity[:-1]) / 2.0)
        self._diffusivity = slab.diffusivity.share(humidity)
        steps = (self._diffusivity[1:] + 4.0 * middle + self._diffusivity[:-1]) / (6.0 * _TABLE)
        self._potential = np.concatenate([[0.0], np.cumsum(steps)])
        self._scale = slab.diffusivity.d1 * DAY * (count / slab.drying_path_m) ** 2
        self._air = air
        self.wet = False

    @staticmethod
    def _look_up(table: Array, humidity: Array) -> Array:
        place = np.clip(humidity, 0.0, 1.0) * _TABLE
        knot = np.minimum(place.astype(np.intp), _TABLE - 1)
        below: Array = table[knot]
        step: Array = table[knot + 1] - below
        return below + step * (place - knot)

    def _scale_at(self, day: float) -> float:
        temp = float(np.interp(day, self._air.days, self._air.temps_c))
        return self._scale * temperature_factor(temp)

    def rate(self, day: float, humidity: Array) -> Array:
        """Net flow into each cell; half a cell lies between the surface and the first middle."""
        surface = 1.0 if self.wet else float(np.interp(day, self._air.days, self._air.rh_percents)) / 100.0
        potential = self._look_up(self._potential, np.append(surface, humidity))
        inflow = potential[:-1] - potential[1:]  # through the upper face of each cell
        inflow[0] *= 2.0
        net: Array = inflow.copy()
        net[:-1] -= inflow[1:]
        return net * self._scale_at(day)

    def jacobian(self, day: float, humidity: Array) -> Array:
        """Rows: above, on and below the diagonal, as LSODA packs them."""
        slope = self._look_up(self._diffusivity, humidity) * self._scale_at(day)
        packed = np.zeros((3, len(humidity)))
        packed[0, 1:] = slope[1:]
        packed[1] = -2.0 * slope
        packed[1, 0] = -3.0 * slope[0]
        packed[1, -1] = -slope[-1]
        packed[2, :-1] = slope[:-1]
        return packed


@dataclass(frozen=True)
class DryingBand:
    """Days until a limit [%] at the fastest, middle and slowest diffusivity; None is beyond the course."""

    limit_percent: float
    earliest: float | None
    middle: float | None
    latest: float | None


def drying_band(
    slab: Slab,
    air: AirCourse,
    limits_percent: Sequence[float],
    days: float,
    depth_m: float,
    factor: Interval,
) -> tuple[DryingBand, ...]:
    """Days until each limit at a depth, for a diffusivity uncertain by a factor (0.01 to 100, of d1)."""
    within("least_factor_of_diffusivity", factor.low, 0.01, 100.0, "")
    within("greatest_factor_of_diffusivity", factor.high, 0.01, 100.0, "")

    def course(multiple: float) -> Drying:
        diffusivity = replace(slab.diffusivity, d1=slab.diffusivity.d1 * multiple)
        return dry(replace(slab, diffusivity=diffusivity), air, days)

    fast, middle, slow = course(factor.high), course(1.0), course(factor.low)
    return tuple(
        DryingBand(limit, *(drying.days_to_reach(limit, depth_m) for drying in (fast, middle, slow)))
        for limit in limits_percent
    )
