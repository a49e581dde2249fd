"""Working in a pot life: whether this crew can place this floor, in how many batches, with which joints; if not, why.

A batch is what is mixed at once: at most what the crew places before it sets, and no less than the smallest kit that
the price book has, for a kit is never split. Pot life at the day's temperature is `physics.mixing.pot_life`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from advisor.model.procedures import PotLife, Task, Use
from advisor.model.quantities import show_number
from advisor.physics.bounds import Interval, bounds
from advisor.physics.film import coverage, practical_coverage
from advisor.physics.mixing import POT_LIFE_HALVES_EVERY_K, area_placed, batches, pot_life
from advisor.work.job import Job, JobStep
from advisor.work.needed import LITRE, UM, crew_of
from advisor.work.pricebook import PriceBook, serving

METHOD = "pot life halves for every 10 °C warmer (common practice); batch = pot life x speed x people, less a reserve"


@dataclass(frozen=True)
class Placing:
    """How one timed step goes with this crew on this floor."""

    step: JobStep
    people: int
    pot_life: Interval  # min, at the day's temperature
    placed: Interval  # m2 in one pot life
    kit: float | None  # m2 that the smallest kit covers; None: nothing in the book is a kit for it
    count: tuple[int, int]  # batches, fewest and most
    joints: int  # taped joints across the room, at the slow end
    possible: Literal["yes", "only if it goes fast", "no"]
    helps: tuple[str, ...]  # what would make it possible, or easier


def placings(job: Job, book: PriceBook) -> list[Placing]:
    """Each timed step of a job, at the day's temperature."""
    found = []
    for step in job.steps:
        task = step.task
        if task.pot_life and task.speed:
            found.append(_placing(job, book, step, task.pot_life, task.speed))
    return found


def _placing(job: Job, book: PriceBook, step: JobStep, stated: PotLife, speed: Interval) -> Placing:
    people = crew_of(job, step.task)
    life = bounds(pot_life, stated_min=_minutes(stated.given), stated_temp_c=stated.at, temp_c=job.temperature)
    reserve = job.norm("pot_life_reserve")
    share = Interval(reserve.low / 100.0, reserve.high / 100.0)
    placed = bounds(area_placed, workable_min=life, m2_per_person_hour=speed, people=float(people), reserve=share)
    kit = _kit_area(job, book, step)
    short = kit is not None and kit > placed.low
    possible: Literal["yes", "only if it goes fast", "no"] = "yes"
    if kit is not None and short:
        possible = "only if it goes fast" if kit <= placed.high else "no"
    batch = Interval(min(placed.low, kit) if kit else placed.low, min(placed.high, kit) if kit else placed.high)
    area = job.extent.area
    count = int(batches(area.low, batch.high)), int(batches(area.high, batch.low))
    strips = batch.low / job.norm("least_strip").low  # how far across the room one batch reaches
    joints = max(0, math.ceil(job.extent.across / strips) - 1)
    helps = tuple(_helps(job, step.task, placed, kit, people)) if short or joints else ()
    return Placing(step, people, life, placed, kit, count, joints, possible, helps)


def _minutes(hours: Interval) -> Interval:
    return Interval(hours.low * 60.0, hours.high * 60.0)


def _kit_area(job: Job, book: PriceBook, step: JobStep) -> float | None:
    """Area [m2] of the smallest whole kit of the step's own two-part material."""
    areas = [
        area
        for name, use in step.uses.items()
        if job.base.materials[name].parts == "2"
        for article in serving(book, "goods", name)
        if (area := _covered(use, article.pack.holds)) is not None
    ]
    return min(areas, default=None)


def _covered(use: Use, amount: float) -> float | None:
    if use.dry:
        spread = coverage(use.dry.high * UM, use.solids.low / 100.0)
        return float(practical_coverage(spread, use.loss.high / 100.0)) * amount * LITRE
    if use.weight:
        return amount / use.weight.high
    return None


def _helps(job: Job, task: Task, placed: Interval, kit: float | None, people: int) -> list[str]:
    """What would make room for a whole kit in one pot life: people, cooler air, a slower or smaller kit."""
    if kit is None or kit <= placed.low:
        return ["More people, or cooler air, make larger batches and so fewer joints; tape the joints straight."]
    short = kit / placed.low
    helps = []
    enough = math.ceil(people * short - 1e-9)
    if enough <= task.people.most:
        helps.append(f"{enough} people instead of {people}.")
    else:
        helps.append(f"More hands do not do it alone: the work holds {task.people.most} at most.")
    cooler = job.temperature.high - POT_LIFE_HALVES_EVERY_K * math.log2(short)
    coldest = job.finish.properties["lowest_temperature"].interval
    if coldest is None or cooler >= coldest.high:
        place = "Air" if job.outdoors else "A room"
        helps.append(f"{place} at {show_number(math.floor(cooler))} °C or cooler, with the kits stored as cool.")
    times = show_number(math.ceil(short * 10) / 10)
    helps.append(f"A kit of at most {1 / short:.0%} of that size, or a product with {times} times the pot life.")
    helps.append("Hire a crew that does this every week.")
    return helps
