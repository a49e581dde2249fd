"""Packs for many needs at once cost what packs for each cost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.work import many_packs
from advisor.work.many_packs import least_prices
from advisor.work.packs import NoChoice, Pack, choose_packs

PACKS = st.lists(
    st.builds(Pack, st.just("pack"), st.integers(1, 9).map(float), st.integers(1, 40)), min_size=1, max_size=3
)


@given(needs=st.lists(st.integers(0, 24), min_size=1, max_size=8), packs=PACKS)
def test_many_needs_at_once_cost_what_each_costs(needs: list[int], packs: list[Pack]) -> None:
    prices = least_prices(np.array(needs, float), packs)
    assert prices.tolist() == [choose_packs(float(need), packs).price for need in needs]


def test_packs_off_the_shelf_cost_alike_up_to_a_hall() -> None:
    shelf = [Pack("half", 1.893, 4700), Pack("one", 3.785, 8400), Pack("three", 11.356, 22_800)]
    needs = np.array([0.5, 1.9, 4.1, 9.6, 17.0, 63.2, 411.0, 20_000.0])
    assert least_prices(needs, shelf).tolist() == [choose_packs(float(need), shelf).price for need in needs]


def test_prices_too_close_to_try_all_choices_are_worked_out_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(many_packs, "MOST_TRIED", 2)
    close = [Pack("a", 1.001, 1002), Pack("b", 1.003, 1003), Pack("c", 1.007, 1007)]
    assert many_packs._others.__wrapped__((1001, 1003, 1007), (1002, 1003, 1007), 2) is None
    many_packs._others.cache_clear()
    needs = np.array([40.0, 0.0, 7.3])
    assert least_prices(needs, close).tolist() == [choose_packs(float(need), close).price for need in needs]
    many_packs._others.cache_clear()


def test_nothing_to_choose_from_is_refused() -> None:
    with pytest.raises(NoChoice):
        least_prices(np.array([1.0]), [])
