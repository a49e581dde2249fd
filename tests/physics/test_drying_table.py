"""The table of drying against the integration that it stands for, entry by entry and in between."""

from __future__ import annotations

import math
from random import Random

import pytest

from advisor.physics.diffusivity import model_code
from advisor.physics.drying_table import (
    AIR_SHARES,
    DEPTH_SHARE,
    FOURIER_NUMBERS,
    LIMITS,
    START_PERCENT,
    tabled_fourier_number,
)
from advisor.physics.drying_time import fourier_number
from advisor.physics.validity import OutsideValidity

SHAPE = model_code(25e6)


def integrated(limit: float, air: float) -> float:
    return fourier_number(limit, START_PERCENT, air, SHAPE, DEPTH_SHARE)


@pytest.mark.parametrize("row", range(len(LIMITS)))
def test_entries_are_what_the_integration_gives(row: int) -> None:
    for column, share in enumerate(AIR_SHARES):
        exact = integrated(LIMITS[row], round(LIMITS[row] * share, 6))
        assert FOURIER_NUMBERS[row][column] == pytest.approx(exact, rel=2e-3)


def test_in_between_it_is_within_eight_percent() -> None:
    rng = Random(4)
    for _ in range(40):
        limit = rng.uniform(LIMITS[0], LIMITS[-1])
        air = limit * rng.uniform(0.0, AIR_SHARES[-1])
        assert tabled_fourier_number(limit, air) == pytest.approx(integrated(limit, air), rel=0.08)


def test_published_days_of_a_four_inch_slab() -> None:
    """C21: fib Model Code constants, fck 25 MPa, 4 in, one side, 98 to 50 %: 98 days to 85 %, 521 to 75 %."""
    seconds = 0.1016**2 / SHAPE.d1 / 86_400
    assert tabled_fourier_number(85.0, 50.0) * seconds == pytest.approx(98.2, rel=0.02)
    assert tabled_fourier_number(75.0, 50.0) * seconds == pytest.approx(521.0, rel=0.03)


def test_it_only_grows_with_drier_limits_and_damper_air() -> None:
    limits = [65.0 + step for step in range(31)]
    for air in (0.0, 20.0, 40.0, 60.0):
        numbers = [tabled_fourier_number(limit, air) for limit in limits]
        assert numbers == sorted(numbers, reverse=True)
    for limit in limits:
        numbers = [tabled_fourier_number(limit, float(air)) for air in range(0, 101, 5)]
        assert numbers == sorted(numbers)
        assert numbers[-1] == math.inf or limit == 100.0


@pytest.mark.parametrize(("limit", "air"), [(64.0, 50.0), (101.0, 50.0), (80.0, -1.0), (80.0, 120.0), (math.nan, 50.0)])
def test_what_is_outside_is_refused(limit: float, air: float) -> None:
    with pytest.raises(OutsideValidity):
        tabled_fourier_number(limit, air)


def test_a_limit_at_or_over_the_start_takes_no_time() -> None:
    assert tabled_fourier_number(98.0, 50.0) == tabled_fourier_number(100.0, 100.0) == 0.0
