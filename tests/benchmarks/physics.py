"""Measures the building physics; prints ratios, asserts nothing.

A million steady assemblies beside the bare NumPy arithmetic of the same answer, and a year of drying of one
slab beside the independent solver of the tests.  Run behind ``make bench``.
"""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from advisor.physics.diffusivity import model_code
from advisor.physics.drying import Slab, dry
from advisor.physics.drying_air import constant_air, seasonal_air
from advisor.physics.drying_time import DryingSides
from advisor.physics.units import INCH, US_PERM
from advisor.physics.vapour import rh_beneath_finish

FLOORS = 1_000_000


def best_of(repeats: int, run: Callable[[], object]) -> float:
    """Shortest of several runs [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def bare_rh_beneath_finish(
    ground: Any, ground_rh: Any, room: Any, room_rh: Any, below: Any, finish: Any, top: Any
) -> Any:
    """The same answer in plain NumPy: no checks, and ISO 13788's formula for the saturation pressure."""

    def saturation(temp: Any) -> Any:
        return 610.5 * np.exp(17.269 * temp / (237.3 + temp))

    below_pa = ground_rh / 100.0 * saturation(ground)
    above_pa = room_rh / 100.0 * saturation(room)
    flow = (below_pa - above_pa) / (1.0 / below + 1.0 / finish)
    return 100.0 * (below_pa - flow / below) / saturation(top)


def steady_assemblies() -> None:
    """A million floors: the checked function and the bare arithmetic."""
    draw = np.random.default_rng(1)
    floors = (
        draw.uniform(8.0, 20.0, FLOORS),
        draw.uniform(80.0, 100.0, FLOORS),
        draw.uniform(15.0, 25.0, FLOORS),
        draw.uniform(30.0, 70.0, FLOORS),
        draw.uniform(0.05, 1.4, FLOORS) * US_PERM,
        draw.uniform(0.1, 10.0, FLOORS) * US_PERM,
        draw.uniform(10.0, 22.0, FLOORS),
    )
    checked = best_of(9, lambda: rh_beneath_finish(*floors))
    bare = best_of(9, lambda: bare_rh_beneath_finish(*floors))
    apart = np.abs(rh_beneath_finish(*floors) - bare_rh_beneath_finish(*floors)).max()
    print(f"{FLOORS:,} steady assemblies: {checked * 1e3:.0f} ms, bare NumPy {bare * 1e3:.0f} ms")
    print(f"  ratio {checked / bare:.2f} (wanted under 5); the answers differ by at most {apart:.2f} % RH")


def year_of_drying() -> None:
    """A year of one slab, in constant and in seasonal air, and in rain; and the independent solver."""
    slab = Slab(4 * INCH, model_code(25e6), DryingSides.ONE)
    rain = tuple((7.0 * week, 7.0 * week + 1.0) for week in range(52))
    year = best_of(5, lambda: dry(slab, constant_air(20.0, 50.0), 365.0))
    seasons = best_of(5, lambda: dry(slab, seasonal_air(12.0, 10.0, 60.0, -10.0, 100.0, 365.0), 365.0))
    rainy = best_of(3, lambda: dry(slab, constant_air(20.0, 50.0, rain), 365.0))
    outside = independent_solver()
    limits = [0.75]
    days = outside.days_to_limits(slab.thickness_m, 0.4 * slab.thickness_m, (4e-10, 0.05, 0.8, 15.0), 0.98, 0.5, limits)
    other = best_of(
        2,
        lambda: outside.days_to_limits(
            slab.thickness_m, 0.4 * slab.thickness_m, (4e-10, 0.05, 0.8, 15.0), 0.98, 0.5, limits
        ),
    )
    same = best_of(5, lambda: dry(slab, constant_air(20.0, 50.0), days[0]))
    print(f"a year of drying: {year * 1e3:.0f} ms (wanted under 300), seasonal {seasons * 1e3:.0f} ms, ", end="")
    print(f"with 52 days of rain {rainy * 1e3:.0f} ms")
    print(
        f"  {days[0]:.0f} days: {same * 1e3:.0f} ms, independent solver {other * 1e3:.0f} ms, ratio {same / other:.3f}"
    )


def independent_solver() -> ModuleType:
    """The solver that the tests of drying hold against ours."""
    path = Path(__file__).parent.parent / "physics" / "independent_drying.py"
    spec = importlib.util.spec_from_file_location("independent_drying", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main() -> None:
    """Print every measurement."""
    steady_assemblies()
    year_of_drying()


if __name__ == "__main__":
    main()
