"""The one refusal of the physics, and the number type that its functions share."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array: TypeAlias = NDArray[np.float64]
    Mask: TypeAlias = NDArray[np.bool]

Number = TypeVar("Number", float, "Array")
"""A float, or an array of float64: what goes in comes out.

Arrays and floats may be mixed at run time (a type checker wants all of one kind).
"""


class OutsideValidity(ValueError):
    """A quantity that cannot be, or that the formula does not hold for: as data, for the caller to word.

    Attributes, and ``args`` in this order: ``quantity`` (its key), ``value`` (as given; of an array the first
    offender), ``low`` and ``high`` (what is allowed, both included), ``unit``.
    """

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str) -> None:
        """State what was given and what is allowed."""
        super().__init__(quantity, value, low, high, unit)
        self.quantity, self.value, self.low, self.high, self.unit = quantity, value, low, high, unit


def within(quantity: str, value: Number, low: float, high: float, unit: str) -> Number:
    """Return the value as float (or float64 array) if all of it lies in [low, high]; NaN never does.

    Raises OutsideValidity otherwise.

    >>> within("relative_humidity", 50, 0.0, 100.0, "%")
    50.0
    >>> within("relative_humidity", 120.0, 0.0, 100.0, "%")
    Traceback (most recent call last):
    advisor.physics.validity.OutsideValidity: ('relative_humidity', 120.0, 0.0, 100.0, '%')
    """
    if isinstance(value, (float, int)):
        if not low <= value <= high:
            raise OutsideValidity(quantity, value, low, high, unit)
        return float(value)
    import numpy as np

    column = np.asarray(value, dtype=np.float64)
    # The extremes of a column with a NaN are NaN, and no comparison holds for them.
    if column.size and not (low <= column.min() and column.max() <= high):
        offender = column[~((column >= low) & (column <= high))].flat[0]
        raise OutsideValidity(quantity, float(offender), low, high, unit)
    return column
