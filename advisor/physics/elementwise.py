"""Elementary functions for a float (without NumPy, which a short command need not load) and an array."""

from __future__ import annotations

import math

from advisor.physics.validity import Number


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


def decay_mean(x: Number) -> Number:
    """Mean of exp(-s) over s from 0 to x, (1 - exp(-x))/x, for x >= 0; 1 at x = 0."""
    if isinstance(x, float):
        return -math.expm1(-x) / x if x else 1.0
    import numpy as np

    return np.divide(-np.expm1(-x), x, out=np.ones_like(x), where=x != 0.0)
