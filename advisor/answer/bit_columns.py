"""Numbers of many floors at once, in columns of bits: the first column holds every floor's lowest binary digit.

A set of floors is a whole number with one bit a floor.
"""

from __future__ import annotations

Bits = int


def constant(number: int, width: int, everything: Bits) -> list[Bits]:
    """The same number on every floor."""
    return [everything if number >> place & 1 else 0 for place in range(width)]


def add(columns: list[Bits], number: int, some: Bits) -> None:
    """Add a number, 0 or more, to the floors in `some`; columns hold the binary digits, lowest first."""
    carry, first = 0, (number & -number).bit_length() - 1
    for place in range(max(first, 0), len(columns)):
        added = some if number >> place & 1 else 0
        if not carry and not number >> place:
            return
        digit = columns[place]
        columns[place] = digit ^ added ^ carry
        carry = (digit & added) | (carry & (digit ^ added))


def less(first: list[Bits], second: list[Bits], everything: Bits) -> Bits:
    """The floors on which the first number is less than the second."""
    fewer, same = 0, everything
    for one, other in zip(reversed(first), reversed(second), strict=True):
        fewer |= same & other & ~one
        same &= ~(one ^ other)
    return fewer
