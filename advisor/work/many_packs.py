"""The price of the cheapest packs for many needs at once: what `packs.choose_packs` says of each, without the counts.

All that is not held by the pack with the cheapest content is held by few others: as soon as so many of one of them can
be exchanged for that pack at no higher price, no best choice need hold as many (an exchange argument). So few choices
of the others are left, and each is filled up with the cheapest content.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np

from advisor.work.packs import THOUSANDTHS, Pack, choose_packs

MOST_TRIED = 20_000


def least_prices(needs: Any, packs: Sequence[Pack]) -> Any:
    """Price in hundredths for each need of an array, in the material's unit; 0 where nothing is needed.

    Raises:
        NoChoice: as `choose_packs`.
    """
    needed = np.ceil(np.asarray(needs) * THOUSANDTHS - 1e-6)
    if not (needed > 0).any():
        return np.zeros_like(needed)
    choose_packs(float(np.max(needs)), packs)  # refuses what cannot be chosen
    sizes, prices = tuple(pack.thousandths for pack in packs), tuple(pack.price for pack in packs)
    best = min(range(len(sizes)), key=lambda place: (prices[place] / sizes[place], -sizes[place]))
    others = _others(sizes, prices, best)
    if others is None:  # contents so nearly of one price that there are too many choices
        each, where = np.unique(needed, return_inverse=True)
        return np.array([choose_packs(float(need) / THOUSANDTHS, packs).price for need in each])[where]
    least = np.full_like(needed, np.inf)
    for held, paid in others:
        more = np.ceil(np.maximum(needed - held, 0.0) / sizes[best])
        least = np.minimum(least, paid + more * prices[best])
    return np.where(needed > 0, least, 0.0)


@lru_cache(maxsize=1024)
def _others(sizes: tuple[int, ...], prices: tuple[int, ...], best: int) -> tuple[tuple[int, int], ...] | None:
    """What the other packs of a best choice can hold, at what price; None: too much to try."""
    most = []
    for place, (size, price) in enumerate(zip(sizes, prices, strict=True)):
        few = 0 if place == best else _fewest_exchanged(size, price, sizes[best], prices[best])
        if few is None:
            return None
        most.append(few)
    if math.prod(few + 1 for few in most) > MOST_TRIED:
        return None
    kept: list[tuple[int, int]] = []
    offers = {(_dot(counts, sizes), _dot(counts, prices)) for counts in _counts(most)}
    for held, paid in sorted(offers, key=lambda each: (each[1], -each[0])):
        if all(had + (paid - cost) // prices[best] * sizes[best] < held for had, cost in kept) or not kept:
            kept.append((held, paid))  # what holds no more than something cheaper, filled up, is left out
    return tuple(kept)


def _dot(counts: Sequence[int], values: Sequence[int]) -> int:
    return sum(count * value for count, value in zip(counts, values, strict=True))


def _counts(most: Sequence[int]) -> Any:
    return product(*(range(few + 1) for few in most))


def _fewest_exchanged(size: int, price: int, best_size: int, best_price: int) -> int | None:
    """How many of a pack a best choice need hold at the most: one less than can be exchanged at no higher price."""
    for count in range(1, MOST_TRIED):
        if -(-count * size // best_size) * best_price <= count * price:
            return count - 1
    return None
