"""What the verbs `why` and `turn` find, as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from pydantic import Field

from advisor.asking.changes import Way
from advisor.asking.explaining import Explained
from advisor.asking.missing import NotFired
from advisor.asking.turning import Group, Turn, Turning
from advisor.model.advice import Answer
from advisor.model.bearing import Bearing, FactBearing
from advisor.model.published import Part, Published
from advisor.model.standing import BySheet, Reason, Verdict
from explanations.comparing import Reason as Spoken
from explanations.comparing import compare, reasons
from explanations.telling import tell


class Told(Part):
    """The same reasons in three lengths."""

    sentence: str
    paragraph: str
    full: str


class WhyAnswer(Told, Published):
    """Why the answer is what it is."""

    format: Literal["slab-finish-why-answer/1"] = "slab-finish-why-answer/1"
    answer: Answer
    rules: tuple[Bearing, ...] = Field(
        description="What the answer hangs on; a rule not among them does not bear on it."
    )
    facts: tuple[FactBearing, ...]


class Weighed(Reason):
    """A rule that spoke about a finish, with the weighted points it gave."""

    points: int


class Compared(Part):
    """One criterion: the points under it of the leading finish and of this one, and reasons that only one has."""

    criterion: str
    leading: int
    this: int
    only_leading: tuple[Weighed, ...]
    only_this: tuple[Weighed, ...]


class WhyFinish(Told, Published):
    """Why a finish is ruled out, or stands where it stands."""

    format: Literal["slab-finish-why-finish/1"] = "slab-finish-why-finish/1"
    finish: str
    verdict: Verdict
    rank: int | None
    total: int
    ruled_out_by: tuple[Weighed, ...]
    rests_on: dict[str, str] | None = Field(
        description="Facts by which alone it is ruled out, and by none fewer of them; none where it is not ruled out."
    )
    by_sheet: BySheet | None = Field(description="A maker's numbers beside the defaults; none where those hold.")
    against: str | None = Field(description="The leading finish, where that is another.")
    aspects: tuple[Compared, ...] = Field(description="This finish beside the leading one.")


class Lacked(Part):
    """A condition that was not met: what it asks, what is so, by how much it fails, and why a finding was not made."""

    asks: str
    now: str
    short: str
    behind: tuple[Judged, ...]


class Judged(Part):
    """A rule for one finish (none: for the floor): whether it fired, which conditions were met, and which were not."""

    rule: str
    finish: str
    fired: bool
    met: tuple[str, ...]
    failed: tuple[Lacked, ...]


class WhyRule(Published):
    """What a rule lacked, finish by finish."""

    format: Literal["slab-finish-why-rule/1"] = "slab-finish-why-rule/1"
    rule: str
    judged: tuple[Judged, ...]


class Changed(Part):
    """A fact with another value, and how that can come about."""

    fact: str
    was: str
    to: str
    or_: tuple[str, ...] = Field(serialization_alias="or", description="Further values that do the same.")
    says: str = Field(description="All values that do it, in words.")
    way: Way
    cost: float = Field(description="Of the way, relative.")


class TurnedBy(Part):
    """Changes that turn the answer together, and the answer then."""

    changes: tuple[Changed, ...]
    group: Group
    cost: float
    answer: Answer
    verdict: str = Field(description="Of the finish asked about; empty where none was.")


class WouldTurn(Published):
    """What would turn the answer, or bring a finish back, and what was tried."""

    format: Literal["slab-finish-turn/1"] = "slab-finish-turn/1"
    question: str
    now: Answer
    tried: dict[int, int] = Field(description="By how many facts change: how many sets were tried.")
    found: int = Field(description="Sets that work, those not listed too.")
    measurements_not_listed: tuple[str, ...] = Field(description="Measurements of which no reading does it.")
    turns: tuple[TurnedBy, ...]


def why_record(told: Explained, finish: str | None, rule: str, most: int = 2) -> WhyAnswer | WhyFinish | WhyRule:
    """Why the answer, or the standing of a finish, or the silence of a rule."""
    if rule:
        return WhyRule(rule=rule, judged=tuple(map(_judged, told.not_fired(rule, finish))))
    if finish is None:
        facts = told.facts(most)
        return WhyAnswer(answer=told.advice.answer, rules=told.advice.bearing, facts=facts, **_lengths(told, None))
    standing, leading = told.advice_of(finish), told.advice.answer.leading
    against = leading if leading != finish else None
    rests_on = told.out_rests_on(finish) if standing.verdict == "ruled out" else None
    return WhyFinish(
        **_lengths(told, finish),
        finish=finish,
        verdict=standing.verdict,
        rank=standing.rank,
        total=standing.total,
        ruled_out_by=_weighed(reasons(told.graph, finish, "rule_out").get("", [])),
        rests_on=None if rests_on is None else {name: value.shown for name, value in rests_on.items()},
        by_sheet=standing.by_sheet,
        against=against,
        aspects=_aspects(told, against, finish) if against else (),
    )


def _lengths(told: Explained, finish: str | None) -> dict[str, Any]:
    """The fields of `Told`."""
    return {
        "sentence": tell(told.graph, "sentence", finish),
        "paragraph": tell(told.graph, "paragraph", finish),
        "full": tell(told.graph, "full", finish),
    }


def _aspects(told: Explained, leading: str, finish: str) -> tuple[Compared, ...]:
    return tuple(
        Compared(
            criterion=aspect.criterion,
            leading=aspect.first,
            this=aspect.second,
            only_leading=_weighed(aspect.only_first),
            only_this=_weighed(aspect.only_second),
        )
        for aspect in compare(told.graph, leading, finish)
    )


def _weighed(spoken: Iterable[Spoken]) -> tuple[Weighed, ...]:
    return tuple(Weighed(rule=each.rule, because=each.because, points=each.points) for each in spoken)


def _judged(each: NotFired) -> Judged:
    failed = (Lacked(asks=f.asks, now=f.now, short=f.short, behind=tuple(map(_judged, f.behind))) for f in each.failed)
    return Judged(rule=each.rule, finish=each.finish, fired=each.fired, met=each.met, failed=tuple(failed))


def turning_record(turning: Turning) -> WouldTurn:
    """The sets of changes found."""
    return WouldTurn(
        question=turning.question,
        now=turning.now,
        tried=dict(turning.tried),
        found=turning.found,
        measurements_not_listed=turning.idle,
        turns=tuple(map(_turned_by, turning.turns)),
    )


def _turned_by(turn: Turn) -> TurnedBy:
    changes = (
        Changed(
            fact=each.fact,
            was=each.was,
            to=each.value.shown,
            or_=each.alike,
            says=each.to,
            way=each.way,
            cost=each.cost,
        )
        for each in turn.changes
    )
    return TurnedBy(changes=tuple(changes), group=turn.group, cost=turn.cost, answer=turn.answer, verdict=turn.verdict)
