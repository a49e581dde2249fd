"""This finish and not that one: what sets two finishes apart on a floor, and what would put the second first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from advisor.answer.advising import broken_by
from advisor.answer.ranking import weights
from advisor.asking.explaining import Explained
from advisor.asking.turning import would_turn
from advisor.asking.why_record import TurnedBy, WhyAnswer, WhyFinish, WhyRule, turning_record
from advisor.facts.memory import working_memory
from advisor.model.bearing import TieBreak
from advisor.model.published import Part, Published
from advisor.model.standing import FinishStanding, Verdict
from explanations.comparing import Reason, compare, reasons

TURNS = 5  # sets of changes handed out that put the second first


class Swing(Part):
    """A rule that spoke of one of the two and not alike of the other: its points, and what one of them counts."""

    finish: str
    rule: str
    because: str
    criterion: str
    importance: str = Field(description="How much the criterion matters to the customer, as stated or assumed.")
    points: int = Field(description="As the rule gives them.")
    weight: int = Field(description="What one point counts by that importance.")
    counted: int = Field(description="Points times weight.")


class Side(Part):
    """Where one of the two stands."""

    finish: str
    name: str
    verdict: Verdict
    rank: int | None
    total: int
    ruled_out_by: tuple[str, ...]
    only_first: tuple[str, ...] = Field(description="What comes first for this one alone.")


class Instead(Published):
    """Two finishes on one floor: exclusions, points and conditions in which they differ, and how ties are broken."""

    format: Literal["slab-finish-instead/1"] = "slab-finish-instead/1"
    first: Side
    second: Side
    swings: tuple[Swing, ...] = Field(description="The widest first.")
    alike: int = Field(description="How many rules spoke of both alike.")
    broken_by: TieBreak = Field(description="What breaks a tie of points, if there is one.")
    to_prefer: tuple[TurnedBy, ...] = Field(description="The smallest changes that would put the second first.")


Why = Annotated[WhyAnswer | WhyFinish | WhyRule | Instead, Field(discriminator="format")]  # what `why` prints


def instead(told: Explained, first: str, second: str, preferring: bool = True) -> Instead:
    """What sets two finishes apart.

    Args:
        told: the answer.
        first: a finish.
        second: another.
        preferring: whether to search for what would put the second first, which takes nearly all of the time.
    """
    one, other = told.advice_of(first), told.advice_of(second)
    return Instead(
        first=_side(told, one, other),
        second=_side(told, other, one),
        swings=tuple(sorted(_swings(told, first, second), key=lambda each: (-abs(each.counted), each.rule))),
        alike=_alike(told, first, second),
        broken_by=broken_by(one, other),
        to_prefer=_to_prefer(told, second) if preferring else (),
    )


def _side(told: Explained, standing: FinishStanding, other: FinishStanding) -> Side:
    out = reasons(told.graph, standing.finish, "rule_out").get("", [])
    needed = {each.says for each in other.first}
    return Side(
        finish=standing.finish,
        name=standing.name,
        verdict=standing.verdict,
        rank=standing.rank,
        total=standing.total,
        ruled_out_by=tuple(each.because for each in out),
        only_first=tuple(each.says for each in standing.first if each.says not in needed),
    )


def _swings(told: Explained, first: str, second: str) -> Iterator[Swing]:
    memory = working_memory(told.base, told.case.facts)
    weight = weights(told.base, memory)
    for aspect in compare(told.graph, first, second):
        for finish, some in ((first, aspect.only_first), (second, aspect.only_second)):
            asked = told.base.criteria[aspect.criterion].importance
            importance = memory[asked].shown if asked else ""
            yield from (_swing(finish, each, importance, weight[aspect.criterion]) for each in some)


def _swing(finish: str, reason: Reason, importance: str, weight: int) -> Swing:
    return Swing(
        finish=finish,
        rule=reason.rule,
        because=reason.because,
        criterion=reason.criterion,
        importance=importance,
        points=reason.points // weight,
        weight=weight,
        counted=reason.points,
    )


def _alike(told: Explained, first: str, second: str) -> int:
    spoken = [
        {(firing.rule, each.kind, each.name, each.points) for firing in told.advice.trace.about(finish)
         for each in firing.conclusions if each.finish == finish}
        for finish in (first, second)
    ]  # fmt: skip
    return len({rule for rule, *_ in spoken[0] & spoken[1]})


def _to_prefer(told: Explained, second: str) -> tuple[TurnedBy, ...]:
    if told.advice.answer.leading == second:
        return ()
    found = would_turn(told.reasoner, told.case, second, most=2, leads=True, today=told.today)
    return turning_record(found).turns[:TURNS]
