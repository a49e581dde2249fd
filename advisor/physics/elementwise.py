"""Elementary functions for a float (without NumPy, which a short command need not load) and an array."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from advisor.physics.validity import Number

if TYPE_CHECKING:
    from advisor.physics.validity import Mask


def exp(x: Number) -> Number:
    """Exponential."""
    if isinstance(x, float):
        return math.exp(x)
    import numpy as np

    return np.exp(x)


def log(x: Number) -> Number:
    """Natural logarithm."""
    if isinstance(x, float):
        return math.log(x)
    import numpy as np

    return np.log(x)


def cos(x: Number) -> Number:
    """Cosine of an angle in radians."""
    if isinstance(x, float):
        return math.cos(x)
    import numpy as np

    return np.cos(x)


def sqrt(x: Number) -> Number:
    """Square root."""
    if isinstance(x, float):
        return math.sqrt(x)
    import numpy as np

    return np.sqrt(x)


def ceil(x: Number) -> Number:
    """Least whole number not below x, as float."""
    if isinstance(x, float):
        return float(math.ceil(x))
    import numpy as np

    return np.ceil(x)


def choose(condition: bool | Mask, if_true: Number, if_false: Number) -> Number:
    """One of two numbers, place by place."""
    if isinstance(condition, bool):
        return if_true if condition else if_false
    import numpy as np

    return cast("Number", np.where(condition, if_true, if_false))


def least(a: Number, b: Number) -> Number:
    """The lesser, place by place."""
    if isinstance(a, float) and isinstance(b, float):
        return min(a, b)
    import numpy as np

    return np.minimum(a, b)


def greatest(a: Number, b: Number) -> Number:
    """The greater, place by place."""
    if isinstance(a, float) and isinstance(b, float):
        return max(a, b)
    import numpy as np

    return np.maximum(a, b)


def interpolate(x: Number, knots: Sequence[float], values: Sequence[float]) -> Number:
    """The value at x on straight lines between rising knots; beyond them the first and the last."""
    if isinstance(x, float):
        after = min(max(bisect_right(knots, x), 1), len(knots) - 1)
        share = (x - knots[after - 1]) / (knots[after] - knots[after - 1])
        return values[after - 1] + (values[after] - values[after - 1]) * min(max(share, 0.0), 1.0)
    import numpy as np

    return np.interp(x, knots, values)


def decay_mean(x: Number) -> Number:
    """Mean of exp(-s) over s from 0 to x, (1 - exp(-x))/x, ; 1 at x = 0."""
    if isinstance(x, float):
        return -math.expm1(-x) / x if x else 1.0
    import numpy as np

    return np.divide(-np.expm1(-x), x, out=np.ones_like(x), where=x != 0.0)
