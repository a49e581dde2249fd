"""One price: what rules about money hold against a budget is the take-off's, and never more than the take-off says."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from advisor.engines.columns import columns_of
from advisor.engines.computed_columns import working_columns
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from advisor.model.values import number
from advisor.physics.bounds import Interval
from advisor.work.cost import cost_range
from advisor.work.many_costs import costs_of
from advisor.work.pricebook import PriceBook
from tests.floors import random_case

from .conftest import MakeJob
from .rough_prices import SOUND, WHO, derived, without_what_is_worn

RENEW = "python -m tests.work.rough_prices"
FLOORS = 600


def test_the_finishes_state_what_the_take_off_gives(base: RuleBase, book: PriceBook) -> None:
    for finish, who, fixed, each in derived(base, book):
        stated = base.finishes[finish].properties
        assert stated[f"{who}_fixed_cost"].given == f"{fixed[0]:g} to {fixed[1]:g} usd", (finish, RENEW)
        assert stated[f"{who}_cost"].given == f"{each[0]:g} to {each[1]:g} usd_m2", (finish, RENEW)


@pytest.mark.parametrize("who", WHO)
def test_no_budget_is_too_small_with_which_the_cost_says_that_it_may_be_had(
    base: RuleBase, book: PriceBook, who: str
) -> None:
    rng = Random(18)
    drawn = (random_case(base, rng, rng.choice([0.5, 0.9])) for _ in range(FLOORS))
    sizes = [Interval(size, size) for size in (3.0, 8.0, 20.0, 45.0, 130.0, 700.0, 3000.0)]
    floors = [{**facts, "area": number(rng.choice(sizes), "m2")} for facts in drawn]
    # a coating of which only the bond is told is nobody's floor; its low figure leaves out every way of treating it
    floors = [facts for facts in floors if "on_floor" in facts or "coating_bond" not in facts]
    working = working_columns(base, columns_of(base, floors), {})
    area = working.facts["area"]
    for finish in base.finishes:
        low, _ = costs_of(base, book, working, finish, WHO[who], np.arange(len(floors)))
        fixed = base.finishes[finish].properties[f"{who}_fixed_cost"].interval
        each = base.finishes[finish].properties[f"{who}_cost"].interval
        assert fixed
        assert each
        line = fixed.low + each.low * area.low  # type: ignore[union-attr]
        over = np.flatnonzero(line > low + 1e-6)
        assert not len(over), (finish, line[over[0]], low[over[0]], floors[over[0]])


def test_on_a_sound_floor_the_line_is_not_far_below_what_it_costs(base: RuleBase, book: PriceBook) -> None:
    """Worst where less is done than on a bare floor (0.54 of it by the least itself), or where machines get larger.

    What is worn is left out: one may have it, and on a small floor it is up to half of the rest.
    """
    sizes = (9, 12, 20, 40, 110, 200, 300, 900)
    floors = [
        {name: read_fact(base, name, text, name) for name, text in {**SOUND, "area": f"{size} m2"}.items()}
        for size in sizes
    ]
    working = working_columns(base, columns_of(base, floors), {})
    near = []
    for finish in base.finishes:
        for who, hired in WHO.items():
            low, _ = costs_of(base, without_what_is_worn(base, book), working, finish, hired, np.arange(len(floors)))
            stated = base.finishes[finish].properties
            fixed, each = stated[f"{who}_fixed_cost"].interval, stated[f"{who}_cost"].interval
            assert fixed
            assert each
            share = (fixed.low + each.low * np.array(sizes)) / low
            assert share.min() > 0.47, (finish, who, share)
            near.extend(share)
    assert np.median(near) > 0.8


@pytest.mark.parametrize("size", [12, 40, 200])
def test_the_high_end_of_the_line_runs_through_what_it_may_cost(make_job: MakeJob, book: PriceBook, size: int) -> None:
    for finish, who in ((finish, who) for finish in ("epoxy_flake", "polished_natural", "floor_paint") for who in WHO):
        job = make_job(finish, hired=WHO[who], **{**SOUND, "area": f"{size} m2", "helpers": "0"})
        stated = job.finish.properties
        fixed, each = stated[f"{who}_fixed_cost"].interval, stated[f"{who}_cost"].interval
        assert fixed
        assert each
        _, high = cost_range(job, book)
        assert fixed.high + each.high * size == pytest.approx(high.total, rel=0.3)
