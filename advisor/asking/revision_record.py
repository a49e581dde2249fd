"""A revision as data."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.asking.revision import Change, FactChange, FinishChange, Revision
from advisor.model.advice import Answer, Unused
from advisor.model.bearing import Bearing
from advisor.model.published import Part, Published
from advisor.model.standing import FinishStanding, Reason, Verdict


class Place(Part):
    """Where a finish stood or stands."""

    rank: int | None = Field(description="1 is best; none for a finish that is ruled out.")
    total: int = Field(description="Points, weighted.")
    verdict: Verdict


class Revised(Part):
    """What became of one finish."""

    finish: str
    change: Change
    was: Place
    now: Place
    why: tuple[Reason, ...] = Field(description="Of one that fell: what rules it out; of one that came back: what did.")
    no_longer_first: tuple[str, ...] = Field(description="Needs that came first before.")
    now_first: tuple[str, ...] = Field(description="Needs that come first now.")


class Revise(Published):
    """Two answers for one floor, and the difference between them."""

    format: Literal["slab-finish-revise/1"] = "slab-finish-revise/1"
    before: Answer
    after: Answer
    facts: tuple[FactChange, ...] = Field(description="Those believed otherwise now.")
    set_aside: tuple[Unused, ...] = Field(description="Taken as unknown, though stated.")
    turned_by: tuple[Bearing, ...] = Field(description="Of what the answer hangs on now, what is new.")
    no_longer_turned_by: tuple[Bearing, ...] = Field(description="Of what it hung on before, what is gone.")
    no_longer: tuple[Reason, ...] = Field(description="What was concluded about the floor and is no more.")
    new: tuple[Reason, ...] = Field(description="What is concluded about the floor and was not.")
    finishes: tuple[Revised, ...] = Field(description="Best first, by the new answer.")


def revision_record(revision: Revision) -> Revise:
    """The difference as data."""
    came, went = revision.turned_by
    return Revise(
        before=revision.before.answer,
        after=revision.after.answer,
        facts=revision.facts,
        set_aside=revision.set_aside,
        turned_by=came,
        no_longer_turned_by=went,
        no_longer=tuple(Reason(rule=each.rule, because=each.because) for each in revision.no_longer),
        new=tuple(Reason(rule=each.rule, because=each.because) for each in revision.new),
        finishes=tuple(map(_revised, revision.finishes)),
    )


def _revised(each: FinishChange) -> Revised:
    return Revised(
        finish=each.finish,
        change=each.change,
        was=_place(each.before),
        now=_place(each.after),
        why=each.why,
        no_longer_first=each.conditions_gone,
        now_first=each.conditions_new,
    )


def _place(standing: FinishStanding) -> Place:
    return Place(rank=standing.rank, total=standing.total, verdict=standing.verdict)
