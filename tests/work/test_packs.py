"""Pack choice against brute force; lists are never too short, kits never split."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import example, given, reject
from hypothesis import strategies as st

from advisor.work import packs as packing
from advisor.work.packs import NoChoice, Pack, choose_packs

PACKS = st.lists(
    st.builds(Pack, st.just("pack"), st.integers(1, 9).map(float), st.integers(1, 40)), min_size=1, max_size=3
)


def brute_force(need: int, packs: list[Pack]) -> tuple[int, float]:
    """Least price, and at that price the least content, over every choice of up to enough of each."""
    most = [range(-(-need // int(pack.holds)) + 1) for pack in packs]
    enough = [
        (sum(n * pack.price for n, pack in zip(counts, packs, strict=True)), content)
        for counts in product(*most)
        if (content := sum(n * pack.holds for n, pack in zip(counts, packs, strict=True))) >= need
    ]
    return min(enough)


@given(need=st.integers(1, 24), packs=PACKS)
def test_choice_is_the_cheapest_and_then_the_one_with_least_left(need: int, packs: list[Pack]) -> None:
    choice = choose_packs(float(need), packs)
    assert (choice.price, choice.holds) == brute_force(need, packs)


@given(
    need=st.floats(0.001, 5000.0),
    packs=st.lists(
        st.builds(Pack, st.just("pack"), st.floats(0.05, 300.0), st.integers(1, 500_000)), min_size=1, max_size=4
    ),
)
def test_rounding_never_makes_a_list_too_short(need: float, packs: list[Pack]) -> None:
    choice = choose_packs(need, packs)
    assert sum(n * pack.holds for n, pack in zip(choice.counts, packs, strict=True)) >= need - 1e-9
    assert choice.price == sum(n * pack.price for n, pack in zip(choice.counts, packs, strict=True))
    assert all(isinstance(n, int) for n in choice.counts)


SIZES = st.lists(st.tuples(st.integers(1, 40_000), st.integers(1, 60_000)), min_size=1, max_size=4)


@given(needed=st.integers(1, 400_000), kinds=SIZES)
@example(needed=1_000_300, kinds=[(1_000, 400), (5_000, 2_000), (20_000, 8_000), (25_000, 10_000)])
def test_search_finds_what_the_solver_finds(needed: int, kinds: list[tuple[int, int]]) -> None:
    """SciPy's `milp` (HiGHS) is the referee, whose answer is checked in whole numbers."""
    sizes, prices = zip(*kinds, strict=True)
    try:
        found = packing._Search(needed, sizes, prices).best()
    except packing._TooMany:  # left to the solver, as the next test shows
        reject()
    first = packing._solve(prices, needed, sizes, prices, None)
    least = packing._solve(sizes, needed, sizes, prices, packing._dot(first, prices))
    assert [packing._dot(found, each) for each in (prices, sizes)] == [packing._dot(least, e) for e in (prices, sizes)]


def test_a_search_that_would_take_too_long_is_left_to_the_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    packs = [Pack("a", 3.785, 2_101), Pack("b", 18.927, 9_977), Pack("c", 7.001, 3_871)]
    least = choose_packs(123.4, packs)
    packing._cheapest.cache_clear()
    monkeypatch.setattr(packing, "MOST_STEPS", 0)
    assert choose_packs(123.4, packs) == least


def test_equally_cheap_packs_leave_the_least_over() -> None:
    packs = [Pack("three", 3.0, 300), Pack("four", 4.0, 300)]
    assert choose_packs(3.0, packs).counts == (1, 0)
    assert choose_packs(3.5, packs).counts == (0, 1)


def test_a_large_pack_is_bought_where_it_costs_less_than_the_small_ones() -> None:
    assert choose_packs(2.1, [Pack("one", 1.0, 100), Pack("five", 5.0, 250)]).counts == (0, 1)


def test_a_trace_more_than_the_packs_hold_is_one_pack_more() -> None:
    assert choose_packs(3.0004, [Pack("one", 1.0, 100)]).counts == (4,)
    assert choose_packs(3.0004, [Pack("one", 1.0, 100), Pack("three", 3.0, 200)]).counts == (1, 1)


def test_nothing_needed_is_nothing_bought() -> None:
    assert choose_packs(0.0, [Pack("one", 1.0, 100)]).counts == (0,)


@pytest.mark.parametrize("packs", [[], [Pack("empty", 0.0, 100)], [Pack("tiny", 0.001, 1)]])
def test_what_cannot_be_chosen_is_refused(packs: list[Pack]) -> None:
    with pytest.raises(NoChoice):
        choose_packs(1e7, packs)


def test_what_is_left_over_is_what_they_hold_beyond_the_need() -> None:
    choice = choose_packs(5.0, [Pack("four", 4.0, 100)])
    assert (choice.holds, choice.left_over(5.0)) == (8.0, 3.0)
