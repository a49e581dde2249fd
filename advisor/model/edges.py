"""Values of one fact at the edge of what a pattern asks of it: those that just meet it, and those that just do not."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from math import ceil, floor, log10

from advisor.model.program import Pattern
from advisor.model.quantities import keep
from advisor.model.units import UNITS
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval

WHOLE = {name for name, unit in UNITS.items() if unit.whole} | {"day"}  # in which people give whole numbers
SIGNIFICANT = 3  # digits of a bound; one in the last of them is the smallest step that anyone measures


def step(unit: str, near: float) -> float:
    """The smallest step by which a number of this size is given.

    >>> step("percent", 75.0), step("perm", 0.1), step("calendar_year", 1980.0)
    (0.1, 0.001, 1.0)
    """
    if unit in WHOLE:
        return 1.0
    size = abs(near) or 1.0
    return float(10.0 ** (floor(log10(size)) - SIGNIFICANT + 1))


def meeting(kind: FactKind, pattern: Pattern) -> list[Value]:
    """Values that meet the pattern, those nearest to its edge first, the unknown one (if it meets it) last."""
    values = [value for value in _values(kind, pattern) if pattern.holds(value)]
    silent = unknown(kind)
    if kind.assume is None and pattern.holds(silent):
        values.append(silent)
    return values


def missing(kind: FactKind, pattern: Pattern, value: Value) -> list[Value]:
    """Values that do not meet the pattern, those nearest to `value` first, the unknown one (if it does not) last."""
    values = [other for other in _values(kind, pattern) if not pattern.holds(other)]
    if value.known and (here := value.interval):
        values.sort(key=lambda other: _distance(other.interval, here))
        values.sort(key=lambda other: _is_range(other.interval) != _is_range(here))
    silent = unknown(kind)
    if kind.assume is None and not pattern.holds(silent):
        values.append(silent)
    return values


def spread(kind: FactKind) -> list[Value]:
    """Values from all over what the fact can be, the middle first; for a number then some ranges."""
    if kind.type != "number":
        return [choice(each) for each in kind.choices]
    low, high = kind.plausible.low, kind.plausible.high
    points = [_on_grid(kind, _share(low, high, share)) for share in (0.5, 0.25, 0.75, 0.1, 0.9, 0.0, 1.0)]
    ends = sorted(points)
    ranges = [(points[1], points[2]), *((a, b) for a, b in pairwise(ends) if a < b)]
    return [number(Interval(a, b), kind.unit) for a, b in [*zip(points, points, strict=True), *ranges]]


def _share(low: float, high: float, share: float) -> float:
    """A point of a range; by ratio where the range spans orders of magnitude, as areas and permeances do."""
    if low > 0 and high / low > 500:
        return float(low * (high / low) ** share)
    return low + share * (high - low)


def between(kind: FactKind, one: Value, other: Value) -> Value | None:
    """The number half way between two, or nothing where no step lies between them."""
    if not (one.interval and other.interval):
        return None
    a, b = one.interval.low, other.interval.low
    middle = _on_grid(kind, (a + b) / 2)
    return number(Interval(middle, middle), kind.unit) if min(a, b) < middle < max(a, b) else None


def _values(kind: FactKind, pattern: Pattern) -> Iterator[Value]:
    if kind.type != "number":
        yield from (choice(each) for each in kind.choices)
        return
    points = list(dict.fromkeys(_points(kind, pattern)))
    yield from (number(Interval(v, v), kind.unit) for v in points)
    yield from (number(Interval(a, b), kind.unit) for a, b in product(points, points) if a < b)


def _points(kind: FactKind, pattern: Pattern) -> Iterator[float]:
    """The steps on and beside every bound, then the ends and the middle of what is plausible."""
    low, high = kind.plausible.low, kind.plausible.high
    for comparison in pattern.comparisons:
        bound, size = comparison.bound, step(kind.unit, comparison.bound)
        below, above = floor(bound / size) * size, ceil(bound / size) * size
        for value in (below, above, below - size, above + size):
            if low <= keep(value) <= high:
                yield keep(value)
    yield from (_on_grid(kind, (low + high) / 2), low, high)


def _on_grid(kind: FactKind, value: float) -> float:
    size = step(kind.unit, value)
    return min(max(keep(round(value / size) * size), kind.plausible.low), kind.plausible.high)


def _is_range(interval: Interval | None) -> bool:
    return interval is not None and interval.low < interval.high


def _distance(one: Interval | None, other: Interval) -> float:
    return abs(one.low - other.low) + abs(one.high - other.high) if one else 0.0
