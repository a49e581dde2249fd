"""A revision as data."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.answer.shifting import Turner, Turns
from advisor.asking.revision import Change, FactChange, FinishChange, Revision
from advisor.model.advice import Answer, Unused
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


class Turned(Part):
    """A rule that came or went, or an importance that is another, and turns the answer by it."""

    turns: Turns = Field(
        description="Needed: without this change another answer is given. Enough: with it alone another than before "
        "is given. Together: neither, but it is one of the fewest of which one must stay."
    )
    reason: Reason | None = Field(description="Of a rule.")
    finish: str = Field(description="The finish that the rule speaks of; empty where it is about the floor.")
    gone: bool = Field(description="The rule held before and does no more.")
    importance: str = Field(description="The fact that says how much a criterion matters; empty of a rule.")
    was: int = Field(description="Points by the rule before, weighted; of an importance, what a point counted.")
    now: int = Field(description="The same now.")


class Revise(Published):
    """Two answers for one floor, and the difference between them."""

    format: Literal["slab-finish-revise/2"] = "slab-finish-revise/2"
    before: Answer
    after: Answer
    facts: tuple[FactChange, ...] = Field(description="Those believed otherwise now.")
    set_aside: tuple[Unused, ...] = Field(description="Taken as unknown, though stated.")
    turned_by: tuple[Turned, ...] = Field(
        description="What of all that changed turns the answer; none: it is the same."
    )
    no_longer: tuple[Reason, ...] = Field(description="What was concluded about the floor and is no more.")
    new: tuple[Reason, ...] = Field(description="What is concluded about the floor and was not.")
    finishes: tuple[Revised, ...] = Field(description="Best first, by the new answer.")


def revision_record(revision: Revision) -> Revise:
    """The difference as data."""
    return Revise(
        before=revision.before.answer,
        after=revision.after.answer,
        facts=revision.facts,
        set_aside=revision.set_aside,
        turned_by=tuple(map(_turned, revision.turned_by)),
        no_longer=tuple(Reason(rule=each.rule, because=each.because) for each in revision.no_longer),
        new=tuple(Reason(rule=each.rule, because=each.because) for each in revision.new),
        finishes=tuple(map(_revised, revision.finishes)),
    )


def _turned(each: Turner) -> Turned:
    fired = each.firing
    return Turned(
        turns=each.turns,
        reason=Reason(rule=fired.rule, because=fired.because) if fired else None,
        finish=fired.finish if fired else "",
        gone=each.gone,
        importance=each.importance,
        was=each.points[0],
        now=each.points[1],
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
