"""A larger floor never costs less, and its hours and price grow evenly with it.

Where a crew comes with a larger machine, it does so when that pays; another gang brings no jump. What is whole stays
so: packs, and days of hire.
"""

from __future__ import annotations

import numpy as np
import pytest

from advisor.engines.columns import Columns, columns_of
from advisor.engines.computed_columns import working_columns
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from advisor.work.many_costs import costs_of, jobs_on
from advisor.work.pace import crew_hours, hire_days, machines, speed, worked
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW

from .conftest import MakeJob
from .rough_prices import SOUND, WHO

SIZES = np.geomspace(10.0, 5000.0, 320).round(1)  # m2, each 2 % above the one before
DROP = 0.06  # of packs and days of hire, which are whole
SPARED = 0.09  # in many rooms also of edges, for which a larger machine need not be kept
LEAP = 0.12  # likewise of what is whole, and of a larger machine that comes where it soon pays


MORE: tuple[dict[str, str], ...] = ({}, {"on_floor": "paint", "coating_bond": "loose"}, {"room_count": "10"})


def _floors(base: RuleBase, more: dict[str, str]) -> tuple[list[float], Columns]:
    """Floors that differ in size alone, and their sizes [m2]: those between which a larger machine comes among them."""
    edges = {each.above.low for task in base.tasks.values() for each in task.larger}
    sizes = sorted({*SIZES.tolist(), *edges, *(each - 0.1 for each in edges), *(each + 0.1 for each in edges)})
    floors = [
        {name: read_fact(base, name, text, name) for name, text in {**SOUND, **more, "area": f"{size} m2"}.items()}
        for size in sizes
    ]
    return sizes, working_columns(base, columns_of(base, floors), {})


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize("more", MORE, ids=str)
def test_a_larger_floor_never_costs_less(base: RuleBase, book: PriceBook, who: str, more: dict[str, str]) -> None:
    sizes, working = _floors(base, more)
    least = 1.0 - (SPARED if "room_count" in more else DROP)
    for finish in base.finishes:
        for costs in costs_of(base, book, working, finish, WHO[who], np.arange(len(sizes))):
            dearest = np.maximum.accumulate(costs)
            at = int((costs / dearest).argmin())
            assert costs[at] > least * dearest[at], (
                finish,
                sizes[at],
                dearest[at],
                costs[at],
            )


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize("more", MORE, ids=str)
def test_hours_grow_evenly_with_the_floor(base: RuleBase, who: str, more: dict[str, str]) -> None:
    """No faster than the floor, and machines by a day at a time: another gang brings no hours of its own."""
    sizes, working = _floors(base, more)
    grown = np.array(sizes[1:]) / sizes[:-1]
    for finish in base.finishes:
        jobs = jobs_on(base, working, finish, WHO[who], np.arange(len(sizes)))
        for setting in (LOW, HIGH):
            for time in (worked(jobs, setting), crew_hours(jobs, setting)):
                assert (time[1:] <= time[:-1] * grown + 1e-9).all(), finish
            for name, days in hire_days(jobs, setting).items():
                larger = any(name in each.hire for step in jobs.steps for each in step.task.larger)
                assert larger or (days[1:] <= np.ceil(days[:-1] * grown) + 1.0).all(), (finish, name)


@pytest.mark.parametrize("more", MORE, ids=str)
def test_no_crews_price_leaps(base: RuleBase, book: PriceBook, more: dict[str, str]) -> None:
    """Whole packs and days of hire show on a small floor; from 90 m2 on they are an eighth of the price at most."""
    sizes, working = _floors(base, more)
    grown, large = np.array(sizes[1:]) / sizes[:-1], np.array(sizes[1:]) > 90.0
    for finish in base.finishes:
        for costs in costs_of(base, book, working, finish, True, np.arange(len(sizes))):
            leap = costs[1:] / costs[:-1] / grown
            assert leap[large].max() < 1.0 + LEAP, (finish, sizes[int((leap * large).argmax()) + 1], leap[large].max())
            assert leap.max() < 1.25, finish


def test_the_pace_of_a_large_machine_grows_evenly_with_the_floor(make_job: MakeJob) -> None:
    """By hand, half way between two entries of washing: 36 to 65 m2/h on 100 m2, 100 to 250 m2/h on 400 m2."""
    job = make_job("penetrating_densifier", hired=True, area="250 m2")
    wash = job.base.tasks["wash_surface"]
    assert (speed(job, wash, LOW), speed(job, wash, HIGH)) == pytest.approx(((65 + 250) / 2, (36 + 100) / 2))
    assert machines(job, wash) == ["walk_behind_scrubber"]
    assert speed(make_job("penetrating_densifier", hired=True, area="500 m2"), wash, HIGH) == 100


def test_a_riding_machine_wants_rooms_to_turn_in(make_job: MakeJob) -> None:
    hall, house = (make_job("polished_natural", hired=True, area="600 m2", room_count=rooms) for rooms in ("1", "20"))
    assert "ride_on_trowel" in {name for name, days in hire_days(hall, HIGH).items() if days}
    assert not {"ride_on_trowel"} & {name for name, days in hire_days(house, HIGH).items() if days}
