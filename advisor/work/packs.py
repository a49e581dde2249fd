"""Which packs to buy: the cheapest whole packs that hold enough, and among equally cheap choices the least left over.

Exact, in whole numbers: amounts in thousandths of the unit, prices in hundredths of the currency; needs are rounded
up and packs down, so that rounding never makes a list too short. Branch and bound finds it; where that would take too
many steps, SciPy's `milp` (HiGHS, a third of a second to import) solves it twice: for the price, then for the amount at
that price. What it returns is checked in whole numbers before it is believed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from explanations.wording import wording

THOUSANDTHS = 1000
MOST_PACKS = 1_000_000
MOST_STEPS = 20_000  # some hundredths of a second


class NoChoice(ValueError):
    """No choice of packs can be made; the message says why."""


@dataclass(frozen=True)
class Pack:
    """One article: how much is in it, in the material's unit, and its price in hundredths of the currency."""

    item: str
    holds: float
    price: int

    @property
    def thousandths(self) -> int:
        """What it surely holds."""
        return math.floor(self.holds * THOUSANDTHS + 1e-6)


@dataclass(frozen=True)
class Choice:
    """How many of each pack, what they cost together, and what they hold."""

    counts: tuple[int, ...]
    price: int
    holds: float

    def left_over(self, need: float) -> float:
        """What remains after the work."""
        return self.holds - need


def choose_packs(need: float, packs: Sequence[Pack]) -> Choice:
    """The cheapest packs that hold at least `need`; of equally cheap ones, those with the least left over.

    Raises:
        NoChoice: there is no pack, one holds nothing, or a million packs would not do.

    >>> choose_packs(5.0, [Pack("small", 1.0, 400), Pack("large", 4.0, 1200)]).counts
    (1, 1)
    """
    needed = math.ceil(need * THOUSANDTHS - 1e-6)
    if needed <= 0:
        return Choice((0,) * len(packs), 0, 0.0)
    if not packs:
        raise NoChoice(wording("pricebook.no_choice"))
    if any(pack.thousandths <= 0 for pack in packs):
        raise NoChoice(wording("pricebook.small_pack"))
    if needed > MOST_PACKS * max(pack.thousandths for pack in packs):
        raise NoChoice(wording("pricebook.many_packs"))
    sizes, prices = tuple(pack.thousandths for pack in packs), tuple(pack.price for pack in packs)
    counts = _cheapest(needed, sizes, prices)
    holds = sum(count * pack.holds for count, pack in zip(counts, packs, strict=True))
    return Choice(counts, _dot(counts, prices), holds)


def _dot(counts: Sequence[int], values: Sequence[int]) -> int:
    return sum(count * value for count, value in zip(counts, values, strict=True))


@lru_cache(maxsize=4096)
def _cheapest(needed: int, sizes: tuple[int, ...], prices: tuple[int, ...]) -> tuple[int, ...]:
    try:
        return _Search(needed, sizes, prices).best()
    except _TooMany:  # a handful of sizes without a common measure, and thousands of packs
        first = _solve(prices, needed, sizes, prices, None)
        return _solve(sizes, needed, sizes, prices, _dot(first, prices))


class _TooMany(Exception):
    """The search went over its number of steps."""


class _Search:
    """Branch and bound over whole counts, the pack with the cheapest content first.

    What is still lacking costs at least its amount at the cheapest content left (the bound of Dantzig 1957 for one
    constraint), and no less than the least amount above it that the packs left can make up at all.
    """

    def __init__(self, needed: int, sizes: tuple[int, ...], prices: tuple[int, ...]) -> None:
        order = sorted(range(len(sizes)), key=lambda k: (Fraction(prices[k], sizes[k]), -sizes[k]))
        self.sizes, self.prices = [sizes[k] for k in order], [prices[k] for k in order]
        self.measures = [math.gcd(*self.sizes[k:]) for k in range(len(order))]
        self.in_order = [order.index(k) for k in range(len(order))]
        self.needed, self.steps = needed, 0
        only_first = -(-needed // self.sizes[0])
        self.counts: tuple[int, ...] = (only_first,)
        self.least = (only_first * self.prices[0], only_first * self.sizes[0])  # price, and what is held at that price

    def best(self) -> tuple[int, ...]:
        """The counts, in the order in which the packs were given.

        Raises:
            _TooMany: more steps than a search may take.
        """
        self._go_on(self.needed, 0, ())
        counts = self.counts + (0,) * len(self.sizes)
        return tuple(counts[k] for k in self.in_order)

    def _go_on(self, lacking: int, price: int, counts: tuple[int, ...]) -> None:
        at = len(counts)
        size, each = self.sizes[at], self.prices[at]
        enough = -(-lacking // size)
        reached = price + enough * each, self.needed - lacking + enough * size
        if reached < self.least:
            self.least, self.counts = reached, (*counts, enough)
        if at + 1 == len(self.sizes):
            return
        for count in range(enough - 1, -1, -1):
            self.steps += 1
            if self.steps > MOST_STEPS:
                raise _TooMany
            left, so_far = lacking - count * size, price + count * each
            if so_far + self._costs(left, at + 1) > self.least[0]:
                return  # fewer of the cheapest content only make it dearer
            held = -(-left // self.measures[at + 1]) * self.measures[at + 1]
            if (so_far + self._costs(held, at + 1), self.needed + held - left) < self.least:
                self._go_on(left, so_far, (*counts, count))

    def _costs(self, amount: int, at: int) -> int:
        """The least that an amount can cost in the packs from here on."""
        return -(-amount * self.prices[at] // self.sizes[at])


def _solve(
    least: tuple[int, ...], needed: int, sizes: tuple[int, ...], prices: tuple[int, ...], budget: int | None
) -> tuple[int, ...]:
    """Whole counts that hold enough, within the budget if one is given, with the least sum of `least`."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    # Scaled to the need and the dearest price, the solver's tolerances are far below one thousandth or one cent.
    rows, lows, highs = [np.array(sizes) / needed], [1.0], [np.inf]
    if budget is not None:
        rows.append(np.array(prices) / max(budget, 1))
        lows.append(-np.inf)
        highs.append((budget + 0.25) / max(budget, 1))
    upper = np.array([-(-needed // size) for size in sizes])
    result = milp(
        np.array(least) / max(least),
        integrality=np.ones(len(sizes)),
        bounds=Bounds(np.zeros(len(sizes)), upper),
        constraints=LinearConstraint(np.array(rows), np.array(lows), np.array(highs)),
        options={"mip_rel_gap": 0.0},
    )
    if result.x is None:
        raise NoChoice(wording("pricebook.unsolved", why=result.message))
    counts = tuple(round(float(count)) for count in result.x)
    if _dot(counts, sizes) < needed or (budget is not None and _dot(counts, prices) > budget):
        raise NoChoice(wording("pricebook.unsound"))
    return counts
