"""What is worked out once for each rule base, and forgotten with it: a rule base is frozen, but cannot be a key."""

from __future__ import annotations

import weakref
from collections.abc import Callable
from typing import Generic, TypeVar

from advisor.model.knowledge import RuleBase

Found = TypeVar("Found")


class OncePerBase(Generic[Found]):
    """A function of a rule base whose outcome is kept as long as that very object lives."""

    def __init__(self, work: Callable[[RuleBase], Found]) -> None:
        self._work = work
        self._found: dict[int, Found] = {}

    def __call__(self, base: RuleBase) -> Found:
        """Worked out the first time only."""
        if id(base) not in self._found:
            self.keep(base, self._work(base))
        return self._found[id(base)]

    def keep(self, base: RuleBase, found: Found) -> None:
        """Take as worked out what was worked out of the same rule base before."""
        if id(base) not in self._found:
            weakref.finalize(base, self._found.pop, id(base), None)
        self._found[id(base)] = found
