"""Ranges in, ranges out: the true bounds of a function over intervals of its arguments.

A function says of which arguments it is monotone, each with the others held, in a direction that may depend
on those others (``@monotone_in``).  Its extremes over these are then at corners, and every corner is tried:
that is exact.  Any other argument with a range is searched: a grid over the range, then finer grids around
the best point until it no longer moves.  That finds the extreme if the function has no feature narrower than
a step of the first grid, to a relative 1e-9 of the range; it is a search, not a proof.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from math import inf
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from advisor.physics.validity import within

if TYPE_CHECKING:
    from advisor.physics.validity import Array

Function = TypeVar("Function", bound=Callable[..., Any])

MOST_RANGES, MOST_SEARCHED = 12, 4  # corners and grid grow as powers of these numbers
_FIRST_GRID = {0: 1, 1: 257, 2: 65, 3: 17, 4: 9}  # points along each searched argument
_ZOOM_GRID, _ZOOMS = 5, 40  # every zoom halves the reach


@dataclass(frozen=True)
class Interval:
    """All values from ``low`` to ``high``; raises OutsideValidity if they are crossed or not a number."""

    low: float
    high: float

    def __post_init__(self) -> None:
        """Refuse an interval that holds nothing."""
        within("low_end_of_a_range", self.low, -inf, inf, "")
        within("high_end_of_a_range", self.high, self.low, inf, "")

    def __contains__(self, value: float) -> bool:
        """Whether a value lies in the interval, ends included."""
        return self.low <= value <= self.high


class Span(NamedTuple):
    """Least and most of a quantity: of one floor as floats, of many as arrays."""

    low: Any
    high: Any

    def times(self, scale: float) -> Span:
        """All of it so many times (a positive number)."""
        return Span(self.low * scale, self.high * scale)


def extremes(
    function: Callable[..., Any],
    rises: Mapping[str, Span],
    falls: Mapping[str, Span] = MappingProxyType({}),
    **held: float,
) -> Span:
    """Least and most of a function that rises in some arguments and falls in others: two corners are exact."""
    least = {n: s.low for n, s in rises.items()} | {n: s.high for n, s in falls.items()}
    most = {n: s.high for n, s in rises.items()} | {n: s.low for n, s in falls.items()}
    return Span(function(**least, **held), function(**most, **held))


def monotone_in(*arguments: str) -> Callable[[Function], Function]:
    """Declare that a function is monotone in each of these arguments while the others are held."""

    def declare(function: Function) -> Function:
        function.__dict__["monotone_in"] = frozenset(arguments)
        return function

    return declare


def bounds(function: Callable[..., Any], **arguments: float | Interval) -> Interval:
    """Least and greatest value of an elementwise function over all values of its ranges.

    Arguments are passed by name; those that are not an Interval are held.  At most 12 may be ranges, and 4
    of them searched, else OutsideValidity; so is what the function itself refuses at a point tried, and
    the ends of every range are tried.

    >>> from advisor.physics.air import dew_margin
    >>> margin = bounds(dew_margin, surface_temp_c=Interval(13.0, 15.0), air_temp_c=21.0, rh_percent=50.0)
    >>> round(margin.low, 2), round(margin.high, 2)
    (2.81, 4.81)
    """
    ranges = {name: value for name, value in arguments.items() if isinstance(value, Interval)}
    held = {name: value for name, value in arguments.items() if name not in ranges}
    monotone: frozenset[str] = getattr(function, "monotone_in", frozenset())
    cornered = {name: span for name, span in ranges.items() if name in monotone}
    searched = {name: span for name, span in ranges.items() if name not in monotone}
    within("number_of_ranges", len(ranges), 0, MOST_RANGES, "")
    within("number_of_ranges_without_declared_monotony", len(searched), 0, MOST_SEARCHED, "")
    if not searched:
        names = list(cornered)
        corners = product(*({span.low, span.high} for span in cornered.values()))
        values = [float(function(**held, **dict(zip(names, corner, strict=True)))) for corner in corners]
        return Interval(min(values), max(values))
    evaluate = partial(function, **held, **_grid({name: (s.low, s.high) for name, s in cornered.items()}, axis=0))
    return Interval(_least(evaluate, searched, 1.0), _least(evaluate, searched, -1.0))


def _grid(axes: Mapping[str, Sequence[float] | Array], axis: int) -> dict[str, Array]:
    """All combinations of the axes' values, along rows (0) or columns (1) of a table."""
    import numpy as np

    mesh = np.meshgrid(*(np.asarray(values) for values in axes.values()), indexing="ij")
    return {name: np.expand_dims(values.ravel(), 1 - axis) for name, values in zip(axes, mesh, strict=True)}


def _least(evaluate: Callable[..., Any], searched: Mapping[str, Interval], sign: float) -> float:
    """Least of sign * function; rows of the table are corners, each searched by itself, columns points."""
    import numpy as np

    centre: dict[str, Any] = {name: (span.low + span.high) / 2.0 for name, span in searched.items()}
    reach = {name: (span.high - span.low) / 2.0 for name, span in searched.items()}
    count = _FIRST_GRID[len(searched)]
    least = inf
    for _ in range(_ZOOMS if searched else 1):
        offsets = _grid({name: np.linspace(-1.0, 1.0, count) for name in searched}, axis=1)
        points = {
            name: np.clip(centre[name] + reach[name] * offsets[name], span.low, span.high)
            for name, span in searched.items()
        }
        values = np.atleast_2d(sign * evaluate(**points))
        best = values.argmin(axis=1, keepdims=True)
        least = min(least, float(values.min()))
        centre = {
            name: np.take_along_axis(np.broadcast_to(points[name], values.shape), best, axis=1) for name in points
        }
        reach = {name: 2.0 * width / (count - 1) for name, width in reach.items()}
        count = _ZOOM_GRID
    return sign * least
