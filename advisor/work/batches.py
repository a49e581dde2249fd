"""Working in a pot life: whether this crew can place this floor, in how many batches, with which joints; if not, why.

Batches are counted by `facts.placing`, as the rules count them. A kit is never split: whether the crew places the
smallest that the price book has before it sets is judged here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from advisor.facts.placing import Placed, crew, is_timed, placed, spreading
from advisor.model.materials import Use
from advisor.model.procedures import Task
from advisor.model.quantities import show_both, show_number
from advisor.physics.bounds import Interval, Span
from advisor.physics.film import coverage, practical_coverage
from advisor.work.job import Job, JobStep
from advisor.work.needed import LITRE, UM
from advisor.work.pricebook import PriceBook, serving
from explanations.wording import wording

Possible = Literal["yes", "only_fast", "no"]  # only_fast: only if it goes fast


@dataclass(frozen=True)
class Placing:
    """How one timed step goes with this crew on this floor."""

    step: JobStep
    people: int  # who spread
    pot_life: Span  # min, at the slab's temperature
    placed: Span  # m2 in one pot life
    kit: float | None  # m2 that the smallest kit covers; None: nothing in the book is a kit for it
    count: tuple[int, int]  # batches, fewest and most
    joints: int  # taped joints across the room, at the slow end
    possible: Possible
    helps: tuple[str, ...]  # what would make it possible, or easier


def placings(job: Job, book: PriceBook) -> list[Placing]:
    """Each timed step of a job, at the day's temperature."""
    return [_placing(job, book, step) for step in job.steps if is_timed(step.task)]


def _placing(job: Job, book: PriceBook, step: JobStep) -> Placing:
    gang = job.gang
    people = Span(gang, gang)
    temperature, area = job.slab_temperature, Span(job.extent.area.low / job.gangs, job.extent.area.high / job.gangs)
    found = placed(job.base, job.finish, step.task, area, Span(temperature.low, temperature.high), people)
    kit = _kit_area(job, book, step)
    short = kit is not None and kit > found.area.low
    possible: Possible = "yes"
    if kit is not None and short:
        possible = "only_fast" if kit <= found.area.high else "no"
    strips = found.area.low / job.norm("least_strip").low  # how far across the room one batch reaches
    joints = max(0, math.ceil(job.extent.across / strips) - 1)
    spread = int(spreading(crew(step.task, gang)))
    helps = tuple(_helps(job, step.task, found, kit, spread)) if short or joints else ()
    count = int(found.batches.low) * job.gangs, int(found.batches.high) * job.gangs
    return Placing(step, spread, found.pot_life, found.area, kit, count, joints, possible, helps)


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


def _helps(job: Job, task: Task, found: Placed, kit: float | None, spread: int) -> list[str]:
    """What would make room for a whole kit in one pot life: people, a cooler slab, a slower or smaller kit."""
    if kit is None or kit <= found.area.low:
        return [wording("placing.larger")]
    short = kit / found.area.low
    helps = []
    enough = math.ceil(spread * short - 1e-9) + 1  # and one who mixes
    if enough <= task.people.most:
        helps.append(wording("placing.more_people", enough=enough, crew=int(crew(task, job.gang))))
    else:
        helps.append(wording("placing.full", most=task.people.most))
    cooler = job.slab_temperature.high - job.norm("pot_life_halves_every").low * math.log2(short)
    if job.window is None or cooler >= job.window.low:
        warmest = math.floor(cooler)
        helps.append(wording("placing.cooler", temperature=show_both(Interval(warmest, warmest), "degC")))
    times = show_number(math.ceil(short * 10) / 10)
    helps.append(wording("placing.smaller", share=f"{1 / short:.0%}", times=times))
    if not job.hired:
        helps.append(wording("placing.hire"))
    return helps
