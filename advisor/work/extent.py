"""How much floor there is, and how much edge: of rooms by their dimensions, of what was told, else of the area alone.

The edges are written once, for one floor (floats) and for many (arrays).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from advisor.errors import AdvisorError, Fault
from advisor.facts.rooms import BadRoom, read_room
from advisor.model.entry import NONNEGATIVE
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity, show_both
from advisor.model.values import Value
from advisor.physics.bounds import Interval, Span
from advisor.physics.elementwise import choose, greatest, sqrt
from explanations.wording import wording

Told = Callable[[str], tuple[Any, Span]]  # whether a number is known, and its ends
ONE = Span(1.0, 1.0)


class BadJob(AdvisorError):
    """A job cannot be worked out as asked."""


@dataclass(frozen=True)
class Extent:
    """How much floor: area [m2] along the slope, and length of its edges [m]."""

    area: Interval
    edges: Interval
    across: float  # short side of the largest room [m]
    rooms: tuple[str, ...] = ()
    count: Span = ONE  # of rooms
    taken: bool = False  # whether nothing but the area was told


def counted(told: Told, fact: str) -> Span:
    """A number that is one where nobody told it, such as of rooms."""
    known, number = told(fact)
    return Span(choose(known, number.low, 1.0), choose(known, number.high, 1.0))


def edges_of(base: RuleBase, told: Told, area: Span, rooms: Span, walls: Span | None = None) -> Span:
    """Length of all edges [m]: walls, what stands on the floor or is let into it, and lines between parts.

    Args:
        base: for the shape taken of rooms of which only the area is known, and for the edge around each thing.
        told: the numbers of the floor.
        area: of the floor [m2].
        rooms: how many.
        walls: their length, where the rooms were measured.
    """
    oblong = base.norms["oblong"].interval
    if walls is None:
        known, perimeter = told("perimeter")
        least, low, high = (4.0 * sqrt(each) for each in (area.low, area.low * rooms.low, area.high * rooms.high))
        walls = Span(  # what is told shorter than around a square has forgotten some
            choose(known, greatest(perimeter.low, least), low * oblong.low),
            choose(known, greatest(perimeter.high, least), high * oblong.high),
        )
    low, high = walls
    for fact, edge in base.edges.items():
        known, number = told(fact)
        low = low + choose(known, number.low * edge.each.low, 0.0)
        high = high + choose(known, number.high * edge.each.high, 0.0)
    parts = counted(told, "in_parts")
    lines = [greatest(part - count, 0.0) for part, count in zip(parts, rooms[::-1], strict=True)]
    low, high = (
        edge + line * sqrt(each / count)
        for edge, line, each, count in zip((low, high), lines, area, rooms[::-1], strict=True)
    )
    return Span(low, high)


def measure(rooms: Iterable[str], slope: str, facts: Mapping[str, Value], base: RuleBase) -> Extent:
    """The extent of the floor: of rooms by their dimensions, else of the case's area.

    Args:
        rooms: texts such as `20 ft x 22 ft`.
        slope: such as `2 %`; the surface along it is a little larger than the plan.
        facts: for the area, where no room is given (both must agree if both are), and for what makes edges.
        base: for the shape taken where only the area is known.

    Raises:
        BadJob: a room cannot be read, or is nothing; the area is unknown; area and rooms disagree.
    """
    rooms = tuple(rooms)
    longer = math.sqrt(1.0 + _slope(slope, base) ** 2)
    stated = facts["area"].interval if facts["area"].known else None

    def told(fact: str) -> tuple[bool, Span]:
        value = facts.get(fact)
        found = value.interval if value and value.known else None
        return (True, Span(found.low, found.high)) if found else (False, Span(0.0, 0.0))

    if not rooms:
        if stated is None or stated.low <= 0:
            more, remedy = wording("job.more_than_nothing"), wording("job.state_size")
            raise BadJob([Fault("area", wording("job.size_unknown"), more, remedy)])
        count = counted(told, "room_count")
        edges = edges_of(base, told, Span(stated.low, stated.high), count)
        taken = not (told("room_count")[0] or told("perimeter")[0])
        area, across = Interval(stated.low * longer, stated.high * longer), math.sqrt(stated.high / count.low)
        return Extent(area, Interval(*edges), across, count=count, taken=taken)
    try:
        sides = [read_room(text) for text in rooms]
    except BadRoom as error:
        raise BadJob(error.faults) from None
    plan = sum(each.area for each in sides)
    apart = base.norms["sizes_agree"].interval.high / 100.0
    if stated and not (1.0 - apart) * stated.low <= plan <= (1.0 + apart) * stated.high:
        what = wording("job.sizes_differ", area=show_both(Interval(plan, plan), "m2"), stated=facts["area"].shown)
        raise BadJob([Fault("area", what, remedy=wording("job.mend_size"))])
    walls, count = sum(each.walls for each in sides), Span(float(len(sides)), float(len(sides)))
    edges = edges_of(base, told, Span(plan, plan), count, Span(walls, walls))
    largest = max(sides, key=lambda each: each.area)
    return Extent(Interval(plan * longer, plan * longer), Interval(*edges), min(largest), rooms, count)


def _slope(text: str, base: RuleBase) -> float:
    try:
        slope = read_quantity(text, "percent", NONNEGATIVE).high / 100.0
    except NotAQuantity as error:
        raise BadJob([Fault("--slope", wording("job.unread", text=text, why=error), wording("job.slope"))]) from None
    steepest = base.norms["steepest_floor"].interval.high
    if slope > steepest / 100.0:
        allowed = wording("job.slopes", most=f"{steepest:g}")
        raise BadJob([Fault("--slope", wording("job.ramp", slope=text), allowed)])
    return slope
