"""Working in a pot life: how far a crew comes before a batch sets, and so in how many batches it places a floor.

One mixes, the others spread; alone one does both. The mix is as warm as the slab that it lies on, and nobody works
outside the finish's temperatures. Kits do not change the count: several are mixed for one batch, and whether a crew
can place even one of them is another question (`work.batches`).
"""

from __future__ import annotations

from typing import Any, NamedTuple

from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Task
from advisor.physics.bounds import Interval, Span, extremes
from advisor.physics.elementwise import greatest, least
from advisor.physics.mixing import COLDEST_C, HOTTEST_C, area_placed, batches, pot_life

ALLOWED = Interval(COLDEST_C, HOTTEST_C)


class Placed(NamedTuple):
    """Pot life [min], area [m2] placed in one, and the batches that it takes; of one floor or of many."""

    pot_life: Span
    area: Span
    batches: Span


def is_timed(task: Task) -> bool:
    """Whether what is mixed for a task sets while one works."""
    return task.pot_life is not None and task.speed is not None


def crew(task: Task, people: Any) -> Any:
    """How many of the people who work share a task: no fewer than it needs, no more than it holds."""
    return greatest(least(people, float(task.people.most)), float(task.people.least))


def spreading(at_task: Any) -> Any:
    """How many of a task's people spread, while one mixes."""
    return greatest(at_task - 1.0, 1.0)


def placed(base: RuleBase, finish: Finish, task: Task, area: Span, slab_temp_c: Span, people: Span) -> Placed:
    """How a timed task goes on an area [m2] at the slab's temperature [degC].

    Args:
        base: for the share of a pot life that is kept in reserve, and for how much faster a warm mix sets.
        finish: for the temperatures at which it may go on.
        task: one that `is_timed`.
        area: fewest and most; and so the others.
        slab_temp_c: at the surface.
        people: all who work on the floor.
    """
    assert task.pot_life is not None
    assert task.speed is not None
    stated, allowed, reserve = task.pot_life, finish.window or ALLOWED, base.norms["pot_life_reserve"].interval
    life = extremes(
        pot_life,
        rises={
            "stated_min": Span(stated.given.low * 60.0, stated.given.high * 60.0),
            "stated_temp_c": _span(stated.at),
        },
        falls={"temp_c": Span(*(greatest(least(each, allowed.high), allowed.low) for each in slab_temp_c))},
        halves_every_k=base.norms["pot_life_halves_every"].interval.low,
    )
    reach = extremes(
        area_placed,
        rises={
            "workable_min": life,
            "m2_per_person_hour": _span(task.speed),
            "people": Span(*(spreading(crew(task, each)) for each in people)),
        },
        falls={"reserve": Span(reserve.low / 100.0, reserve.high / 100.0)},
    )
    return Placed(life, reach, extremes(batches, {"area_m2": area}, {"area_per_batch_m2": reach}))


def _span(interval: Interval) -> Span:
    return Span(interval.low, interval.high)
