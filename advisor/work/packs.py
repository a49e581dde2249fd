"""Which packs to buy: the cheapest whole packs that hold enough, and among equally cheap choices the least left over.

Exact, in whole numbers: amounts in thousandths of the unit, prices in hundredths of the currency; needs are rounded
up and packs down, so that rounding never makes a list too short. SciPy's `milp` (HiGHS) solves it twice: for the
price, then for the amount at that price. What it returns is checked in whole numbers before it is believed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from explanations.wording import wording

THOUSANDTHS = 1000
MOST_PACKS = 1_000_000


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


@cache
def _cheapest(needed: int, sizes: tuple[int, ...], prices: tuple[int, ...]) -> tuple[int, ...]:
    if len(sizes) == 1:
        return (-(-needed // sizes[0]),)
    first = _solve(prices, needed, sizes, prices, None)
    return _solve(sizes, needed, sizes, prices, _dot(first, prices))


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
