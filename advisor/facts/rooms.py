"""Rooms by their dimensions, as `20 ft x 22 ft`."""

from __future__ import annotations

import re
from typing import NamedTuple

from advisor.errors import AdvisorError, Fault
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.physics.bounds import Interval
from explanations.wording import wording
from explanations.words import visible

FORM = re.compile(r"\s*(?P<length>.+?)\s*(?:x|×|by)\s*(?P<width>.+?)\s*", re.IGNORECASE)
LONGEST_SIDE = Interval(0.0, 1000.0)  # m


class BadRoom(AdvisorError):
    """A room is not length x width."""


class Room(NamedTuple):
    """Its sides [m]."""

    length: float
    width: float

    @property
    def area(self) -> float:
        """Of the plan [m2]."""
        return self.length * self.width

    @property
    def walls(self) -> float:
        """Length of its walls [m]."""
        return 2.0 * (self.length + self.width)


def read_room(text: str, where: str = "--room") -> Room:
    """A room of its dimensions.

    Args:
        text: such as `20 ft x 22 ft`.
        where: what it was given as, for the message.

    Raises:
        BadRoom: it cannot be read, or a side is nothing.
    """
    text = visible(text)
    match = FORM.fullmatch(text)
    if not match:
        raise BadRoom([Fault(where, wording("job.no_room", text=text), wording("job.room"))])
    sides = []
    for side in (match["length"], match["width"]):
        try:
            metres = read_quantity(side, "m", LONGEST_SIDE).high
        except NotAQuantity as error:
            what = wording("job.no_side", text=text, side=side, why=error)
            raise BadRoom([Fault(where, what, wording("job.room"))]) from None
        if metres <= 0:
            what = wording("job.side_nothing", text=text, side=side)
            raise BadRoom([Fault(where, what, wording("job.more_than_nothing"))])
        sides.append(metres)
    return Room(*sides)
