"""Numbers of many floors at once, in columns of bits: the first column holds every floor's lowest binary digit.

A set of floors is a whole number with one bit a floor.
"""

from __future__ import annotations

Bits = int


def constant(number: int, width: int, everything: Bits) -> list[Bits]:
    """The same number on every floor."""
    return [everything if number >> place & 1 else 0 for place in range(width)]


def add(columns: list[Bits], number: int, some: Bits) -> None:
    """Add a number (modulo the width) to the floors in `some`; columns hold the binary digits, lowest first."""
    carry = 0
    for place, digit in enumerate(columns):
        added = some if number >> place & 1 else 0
        columns[place] = digit ^ added ^ carry
        carry = (digit & added) | (carry & (digit ^ added))


def greater(first: list[Bits], second: list[Bits], everything: Bits) -> Bits:
    """The floors on which the first number is greater than the second."""
    more, same = 0, everything
    for one, other in zip(reversed(first), reversed(second), strict=True):
        more |= same & one & ~other
        same &= ~(one ^ other)
    return more
