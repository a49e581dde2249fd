"""How hard a job is for these people: step by step, from the steps' own properties and what has been done before.

Never one number: each step says which demands it makes, how much, and what the person's experience makes of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.model.entry import UNKNOWN
from advisor.model.procedures import JUDGEMENTS, Grade, Judgement
from advisor.work.job import Job, JobStep
from explanations.wording import label, wording

UNDOING = ("yes", "with_effort", "no")  # mildest first


@dataclass(frozen=True)
class Asked:
    """One demand of a step: how much of it, what the person has done before, what follows."""

    name: str
    grade: Grade
    experience: str  # in words; empty where nothing is learnt by doing
    judgement: Judgement
    practise: str

    @property
    def words(self) -> str:
        """What is asked, and how much of it."""
        return wording("skills.asked", what=self.name, grade=self.grade)


@dataclass(frozen=True)
class StepSkill:
    """How hard one step is for these people."""

    step: JobStep
    asked: tuple[Asked, ...]

    @property
    def judgement(self) -> Judgement:
        """The harshest of its demands'."""
        return max((each.judgement for each in self.asked), key=JUDGEMENTS.index, default="fine")

    @property
    def weight(self) -> tuple[int, int, int]:
        """For finding the crux: the judgement, how many demands are great, whether a mistake stays."""
        much = sum(each.grade == "much" for each in self.asked)
        return JUDGEMENTS.index(self.judgement), much, UNDOING.index(self.step.task.undo)


@dataclass(frozen=True)
class Skills:
    """How hard a job is: every step, the crux, what to practise, and which steps to hire someone for."""

    steps: tuple[StepSkill, ...]
    crux: StepSkill
    practise: tuple[str, ...]
    hire_for: tuple[str, ...]

    @property
    def words(self) -> str:
        """The crux in a sentence."""
        return wording(
            "skills.crux",
            step=self.crux.step.title,
            demands=", ".join(each.words for each in self.crux.asked),
            undo=wording(f"skills.undo.{self.crux.step.task.undo}"),
            judgement=wording(f"skills.judgement.{self.crux.judgement}"),
        )


def judge(job: Job) -> Skills:
    """How hard the job is for the people that the facts describe."""
    steps = tuple(StepSkill(step, tuple(_asked(job, step))) for step in job.steps if step.task.kind != "cure")
    crux = max(steps, key=lambda each: each.weight)
    practise = dict.fromkeys(
        each.practise for step in steps for each in step.asked if each.judgement in ("practise", "hire")
    )
    hire_for = dict.fromkeys(step.step.title for step in steps if step.judgement == "hire")
    return Skills(steps, crux, tuple(practise), tuple(hire_for))


def _asked(job: Job, step: JobStep) -> Iterator[Asked]:
    for name, grade in step.task.demands.items():
        demand = job.base.demands[name]
        judged = demand.some if grade == "some" else demand.much
        known = job.facts[demand.experience].choice or UNKNOWN if demand.experience else "any"
        experience = label("value", known) if demand.experience else ""
        yield Asked(demand.name, grade, experience, judged[known], demand.practise)
