"""What was worked out for the visitors that came last, kept in each process."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Made = TypeVar("Made")


class Recent(Generic[Made]):
    """The things made last, by what they were made for; the one asked for longest ago goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Made] = OrderedDict()

    def __contains__(self, key: Hashable) -> bool:
        return key in self._kept

    def of(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """The one for this key, made if it is not kept."""
        made = self._kept[key] if key in self._kept else make()
        self.keep(key, made)
        return made

    def take(self, key: Hashable) -> Made | None:
        """The one for this key, which is let go; nothing if it is not kept."""
        return self._kept.pop(key, None)

    def keep(self, key: Hashable, made: Made) -> None:
        """Keep it as the last one asked for."""
        self._kept[key] = made
        self._kept.move_to_end(key)
        while len(self._kept) > self._most:
            self._kept.popitem(last=False)
