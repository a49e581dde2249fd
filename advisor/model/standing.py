"""Where a finish stands on a floor, as data: its verdict, points, what comes first, and the hazards of its work."""

from __future__ import annotations

from collections import Counter
from typing import Literal

from pydantic import Field

from advisor.model.published import Part
from advisor.model.rules import NeedKind, Severity

AnswerKind = Literal["finish", "test first", "none yet", "ask first", "professional"]  # what says more comes first
Verdict = Literal["suits", "suits if", "ruled out"]  # on one finish


class Reason(Part):
    """A rule that fired and the sentence it gives, with this case's numbers."""

    rule: str
    because: str


class Points(Reason):
    """Points that a rule awarded under a criterion; `weighted` counts them by the customer's importance."""

    criterion: str
    points: int
    weighted: int


class ToDo(Part):
    """Something to test or do first, and why."""

    need: str
    kind: NeedKind
    decides: bool = Field(description="The answer waits for it: its outcome can rule the finish out.")
    says: str
    reasons: tuple[Reason, ...]


class SheetNumber(Part):
    """One number of a maker's data sheet beside what is taken where the maker names none."""

    means: str
    given: str
    default: str


class BySheet(Part):
    """The maker's data sheet by which a finish is judged."""

    product: str
    like: str = Field(description="The finish of the rule base that it is a variant of.")
    numbers: tuple[SheetNumber, ...]


class FinishStanding(Part):
    """Where one finish stands on this floor."""

    finish: str
    name: str
    verdict: Verdict
    rank: int | None = Field(description="1 is best; none for a finish that is ruled out.")
    total: int = Field(description="Points, weighted.")
    ruled_out_by: tuple[Reason, ...]
    first: tuple[ToDo, ...]
    points: tuple[Points, ...]
    by_sheet: BySheet | None = Field(default=None, description="None where the defaults hold.")

    def behind_on(self, other: FinishStanding) -> list[str]:
        """The criteria by which the other has more points."""
        mine, theirs = Counter[str](), Counter[str]()
        for sums, standing in ((mine, self), (theirs, other)):
            for award in standing.points:
                sums[award.criterion] += award.weighted
        return sorted(name for name in theirs.keys() | mine.keys() if theirs[name] > mine[name])


class Hazard(Part):
    """A caution, and what raises it: the floor itself, finishes, or steps of the work with one."""

    caution: str
    title: str = Field(description="What to call it in a list.")
    severity: Severity
    step: str
    says: str
    brief: str = Field(default="", description="The same in one sentence, where room is shortest.")
    floor: bool = Field(description="It holds whichever finish is chosen.")
    finishes: tuple[str, ...]
    reasons: tuple[Reason, ...]
    steps: tuple[str, ...] = Field(default=(), description="The steps of the work that carry it, by their titles.")
    in_full: bool = Field(
        default=True, description="The short answer tells it in full: it is special to this floor, and known to be."
    )
    hangs_on: tuple[str, ...] = Field(
        default=(), description="Unknown facts that would say whether it is there; empty once one of them is known."
    )


class WorkStep(Part):
    """A step of the work with the leading finish, and the hazards that it carries."""

    title: str
    certain: bool = Field(description="False: only needed if a fact, unknown yet, turns out so.")
    cautions: tuple[str, ...]
