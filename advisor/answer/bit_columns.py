"""Numbers of many floors at once, in columns of bits: the first column holds every floor's lowest binary digit.

A set of floors is a whole number with one bit a floor.
"""

from __future__ import annotations

from collections.abc import Iterable

Bits = int


def total(number: int, more: Iterable[tuple[int, Bits]], width: int, everything: Bits) -> list[Bits]:
    """A number on every floor, with others, 0 or more, added to the floors in their sets; lowest digit first.

    Each digit's sets are added three at a time to a sum and a carry (a carry-save adder, after Wallace 1964).

    Args:
        number: that every floor has.
        more: what is added, and to which floors.
        width: of the sum in binary digits; what is beyond is lost.
        everything: all floors.
    """
    digits: list[list[Bits]] = [[] for _ in range(width + 1)]
    for added, some in more:
        if some == everything:
            number += added
        elif some:
            for place in range(min(added.bit_length(), width)):
                if added >> place & 1:
                    digits[place].append(some)
    found = []
    for place in range(width):
        sets, carried = digits[place], digits[place + 1]
        if number >> place & 1:
            sets.append(everything)
        while len(sets) > 1:
            one, other = sets.pop(), sets.pop()
            third = sets.pop() if sets else 0
            differ = one ^ other
            if carry := (one & other) | (differ & third):
                carried.append(carry)
            sets.append(differ ^ third)
        found.append(sets[0] if sets else 0)
    return found


def less(first: list[Bits], second: list[Bits], everything: Bits) -> Bits:
    """The floors on which the first number is less than the second."""
    fewer, same = 0, everything
    for one, other in zip(reversed(first), reversed(second), strict=True):
        fewer |= same & other & ~one
        same &= ~(one ^ other)
    return fewer
