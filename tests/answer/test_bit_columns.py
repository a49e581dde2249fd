"""Numbers in columns of bits, against the same done with whole numbers floor by floor."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from advisor.answer.bit_columns import less, total

WIDTH, FLOORS = 4, 5
EVERYTHING = (1 << FLOORS) - 1


def columns(numbers: tuple[int, ...], width: int = WIDTH) -> list[int]:
    return [sum((each >> place & 1) << floor for floor, each in enumerate(numbers)) for place in range(width)]


def numbers(found: list[int], floors: int = FLOORS) -> list[int]:
    return [sum((column >> floor & 1) << place for place, column in enumerate(found)) for floor in range(floors)]


@pytest.mark.parametrize("number", range(1 << WIDTH))
def test_a_number_alone_is_the_same_on_every_floor(number: int) -> None:
    assert numbers(total(number, [], WIDTH, EVERYTHING)) == [number] * FLOORS
    assert len(total(number, [], WIDTH, EVERYTHING)) == WIDTH


@pytest.mark.parametrize("number", range(12))
@pytest.mark.parametrize("some", [0, 0b00001, 0b10110, EVERYTHING])
def test_numbers_are_added_where_they_count_and_nowhere_else(number: int, some: int) -> None:
    for start, *others in product((0, 1, 3, 6, 7), repeat=4):
        more = [(number, some), *zip(others, (0b00111, 0b01010, EVERYTHING), strict=True)]
        found = total(start, more, 6, EVERYTHING)
        expected = [start + sum(each * (have >> floor & 1) for each, have in more) for floor in range(FLOORS)]
        assert numbers(found) == expected


def test_many_numbers_carry_through_all_digits() -> None:
    rng = Random(5)
    for count in (2, 3, 4, 17, 64):
        more = [(rng.randrange(1 << 9), rng.getrandbits(FLOORS)) for _ in range(count)]
        expected = [sum(each * (have >> floor & 1) for each, have in more) for floor in range(FLOORS)]
        assert numbers(total(0, more, 16, EVERYTHING)) == expected


def test_what_is_beyond_the_width_is_lost() -> None:
    more = [(9, 0b00110), (8, EVERYTHING), (17, 0b00011)]
    expected = [3 + 8 + 9 * (floor in (1, 2)) + 17 * (floor in (0, 1)) for floor in range(FLOORS)]
    assert numbers(total(3, more, 3, EVERYTHING)) == [each % 8 for each in expected]


def test_one_number_is_less_than_another_on_just_those_floors() -> None:
    for pair in product(product(range(4), repeat=2), repeat=2):
        one, other = (*pair[0], 3, 0, 2), (*pair[1], 3, 1, 0)
        found = less(columns(one), columns(other), EVERYTHING)
        assert found == sum((a < b) << floor for floor, (a, b) in enumerate(zip(one, other, strict=True)))


def test_floors_that_are_not_among_all_are_in_no_answer() -> None:
    assert less(columns((0, 0)), columns((1, 1)), 0b01) == 0b01


def test_numbers_of_different_widths_are_not_compared() -> None:
    with pytest.raises(ValueError, match=r"longer|shorter"):
        less([1], [1, 0], 1)
