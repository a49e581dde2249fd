from __future__ import annotations

import math
import pickle

import numpy as np
import pytest

from advisor.physics.validity import OutsideValidity, within


def test_a_refusal_names_quantity_value_and_range():
    with pytest.raises(OutsideValidity, match=r"slab thickness is -0\.1 m; allowed is 0\.01 to 1 m") as refusal:
        within("slab thickness", -0.1, 0.01, 1.0, "m")
    copy = pickle.loads(pickle.dumps(refusal.value))
    for error in (refusal.value, copy):
        assert isinstance(error, ValueError)
        assert (error.quantity, error.value, error.low, error.high, error.unit) == (
            "slab thickness",
            -0.1,
            0.01,
            1.0,
            "m",
        )


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1.0000001, -1e-9])
def test_what_is_no_number_or_outside_is_refused_alone_and_in_a_column(value):
    with pytest.raises(OutsideValidity):
        within("share", value, 0.0, 1.0, "")
    with pytest.raises(OutsideValidity) as refusal:
        within("share", np.array([0.5, value, 0.7]), 0.0, 1.0, "")
    assert refusal.value.value == value or math.isnan(value)


def test_what_lies_in_range_comes_back_as_float():
    assert within("share", 1, 0.0, 1.0, "") == 1.0
    assert isinstance(within("share", 1, 0.0, 1.0, ""), float)
    column = within("share", np.array([0, 1]), 0.0, 1.0, "")
    assert column.dtype == np.float64
    assert within("share", np.array([]), 0.0, 1.0, "").size == 0
