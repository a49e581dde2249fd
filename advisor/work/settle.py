"""A job settled: who does it, in how many gangs, and the steps that stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from advisor.work.extent import BadJob, Extent
from advisor.work.job import EVEN, Job, find_procedure, steps_on, usual_gang
from advisor.work.pace import gang_hours, worked
from advisor.work.settings import HIGH, LOW, Setting
from explanations.wording import wording


def settle_job(
    base: RuleBase,
    facts: Mapping[str, Value],
    finish: str,
    extent: Extent,
    hired: bool,
    people: int | None = None,
    first: Iterable[str] = (),
) -> Job:
    """The job of putting a finish on a floor.

    Args:
        base: the rule base.
        facts: the floor's facts, given and unknown (the working memory).
        finish: its id.
        extent: how much floor.
        hired: whether a crew does it.
        people: how many work; else from the facts, or the usual crew.
        first: the needs that the advice puts before it.

    Raises:
        BadJob: no such finish, no procedure for it, or nobody to work.
    """
    chosen, procedure = find_procedure(base, finish)
    if people is not None and not 1 <= people <= 100:
        raise BadJob([Fault("people", wording("job.nobody", n=people), wording("job.people"))])
    steps, needs, said = tuple(steps_on(base, procedure, facts)), tuple(dict.fromkeys(first)), people is not None
    workers = people or (usual_gang(base) if hired else _with_helpers(facts))
    job = Job(base, chosen, procedure, extent, facts, hired, workers, steps, needs, people_said=said)
    return in_gangs(job, HIGH)


def in_gangs(job: Job, most: Setting) -> Job:
    """The same by as many gangs of a crew as it keeps busy if no more than this comes of it."""
    if not job.hired:
        return job
    usual = usual_gang(job.base)
    alone = replace(job, people=job.people if job.people_said else usual, gangs=1)
    busy = math.ceil((worked(alone, LOW) + worked(alone, most)) / 2.0 / gang_hours(job) - EVEN)
    gangs = max(1, min(busy, int(job.norm("most_gangs").low)))
    if not job.people_said:
        return replace(job, people=usual * gangs, gangs=gangs)
    return replace(job, gangs=max(1, min(gangs, job.people // usual)))


def _with_helpers(facts: Mapping[str, Value]) -> int:
    helpers = facts["helpers"]
    return 1 + math.floor(helpers.interval.low) if helpers.known and helpers.interval else 1
