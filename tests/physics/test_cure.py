from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.air import dew_margin, dew_point
from advisor.physics.cure import cure_margin, day_and_night
from advisor.physics.validity import OutsideValidity

COURSES = st.lists(st.tuples(st.floats(0, 40), st.floats(0, 40), st.floats(20, 100)), min_size=2, max_size=24)


def test_a_slab_that_cools_to_the_dew_point_overnight():
    air, rh = [21.0] * 3, [50.0] * 3
    dew = dew_point(21.0, 50.0)
    margin = cure_margin([dew + 6.0, dew, dew + 6.0], air, rh, step_h=4.0, required_k=3.0)
    assert margin.least_k == pytest.approx(0.0, abs=1e-9)
    assert margin.least_at_h == 4.0
    # From 6 K down to 0 and back in straight lines: the lower half of either line.
    assert margin.hours_below == pytest.approx(4.0)
    assert not cure_margin([dew + 6.0] * 3, air, rh, 3.0).condenses
    assert cure_margin([dew + 6.0, dew - 0.1, dew + 6.0], air, rh, 3.0).condenses


@given(COURSES, st.floats(0.0, 10.0))
def test_against_a_dense_walk(course, required):
    surface, air, rh = zip(*course, strict=True)
    margin = cure_margin(surface, air, rh, required)
    margins = [dew_margin(*at) for at in course]
    assert margin.least_k == pytest.approx(min(margins))
    steps = 2000
    walk = [before + (after - before) * (i + 0.5) / steps for before, after in pairwise(margins) for i in range(steps)]
    assert margin.hours_below == pytest.approx(sum(m < required for m in walk) / steps, abs=0.03)


def test_day_and_night():
    course = day_and_night(24.0, 12.0, 24, 9.0, 15.0)
    assert len(course) == 25
    assert course[6] == max(course) == pytest.approx(24.0)
    assert course[18] == min(course) == pytest.approx(12.0)
    assert course[0] == pytest.approx(course[24]) == pytest.approx(18.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: cure_margin([20.0], [20.0], [50.0], 3.0),
        lambda: cure_margin([20.0, 20.0], [20.0], [50.0, 50.0], 3.0),
        lambda: cure_margin([20.0, 20.0], [20.0, 20.0], [50.0], 3.0),
        lambda: cure_margin([20.0, 20.0], [20.0, 20.0], [50.0, 120.0], 3.0),
        lambda: cure_margin([20.0, float("nan")], [20.0, 20.0], [50.0, 50.0], 3.0),
        lambda: cure_margin([20.0, 20.0], [20.0, 20.0], [50.0, 50.0], 3.0, step_h=0.0),
        lambda: day_and_night(20.0, 10.0, 0, 9.0, 15.0),
        lambda: day_and_night(20.0, 10.0, 24, 25.0, 15.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
