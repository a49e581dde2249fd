"""A larger floor never costs less: where a crew comes with a larger machine, it does so when that pays."""

from __future__ import annotations

import numpy as np
import pytest

from advisor.engines.columns import columns_of
from advisor.engines.computed_columns import working_columns
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from advisor.work.many_costs import costs_of
from advisor.work.pace import hire_days, machines, speed
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW

from .conftest import MakeJob
from .rough_prices import SOUND, WHO

SIZES = np.geomspace(10.0, 5000.0, 320).round(1)  # m2, each 2 % above the one before
DROP = 0.06  # of packs and days of hire, which are whole
SPARED = 0.12  # in many rooms also of what a second gang sets up, which one machine in its place spares


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize("more", [{}, {"on_floor": "paint", "coating_bond": "loose"}, {"room_count": "10"}], ids=str)
def test_a_larger_floor_never_costs_less(base: RuleBase, book: PriceBook, who: str, more: dict[str, str]) -> None:
    edges = {each.above.low for task in base.tasks.values() for each in task.larger} | {200.0}  # a second gang comes
    sizes = sorted({*SIZES, *edges, *(each - 0.1 for each in edges), *(each + 0.1 for each in edges)})
    floors = [
        {name: read_fact(base, name, text, name) for name, text in {**SOUND, **more, "area": f"{size} m2"}.items()}
        for size in sizes
    ]
    working = working_columns(base, columns_of(base, floors), {})
    drop = SPARED if "room_count" in more else DROP
    for finish in base.finishes:
        for costs in costs_of(base, book, working, finish, WHO[who], np.arange(len(floors))):
            dearest = np.maximum.accumulate(costs)
            at = int((costs / dearest).argmin())
            assert costs[at] > (1.0 - drop) * dearest[at], (finish, sizes[at], dearest[at], costs[at])


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
