"""What `advisor next` finds, as data."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from typing import Literal

from pydantic import Field

from advisor.answer.ranking import Recommendation
from advisor.asking.effects import Effect
from advisor.asking.interview import Interview
from advisor.asking.outlook import Turn
from advisor.model.advice import Certainty
from advisor.model.published import Part, Published
from advisor.model.standing import AnswerKind


class Recommended(Part):
    """What an answer comes down to."""

    kind: AnswerKind
    finish: str = Field(description="The finish recommended or waited for; empty where there is none.")


class Outcome(Recommended):
    """What the answer may come to, and on which share of floors like this one, by the likelihoods."""

    share: float


class AtOnce(Recommended):
    """What one answer does at once, with nothing else new."""

    fell: tuple[str, ...] = Field(description="Finishes that it rules out.")
    came_back: tuple[str, ...] = Field(description="Finishes that it no longer rules out.")
    first_no_longer: tuple[str, ...] = Field(description="Needs that no longer come first for the leading finish.")
    first_now: tuple[str, ...] = Field(description="Needs that now come first for it.")
    lead: int | None = Field(description="Points by which it is ahead of the next; none where there is no next.")
    set_aside: tuple[str, ...] = Field(description="What the answer would not rest on, though stated.")


class AnswerTo(Part):
    """One answer to a question: how often it is met, what may come of it in the end, and what it does at once."""

    value: str
    share: float
    turns: tuple[Outcome, ...]
    at_once: AtOnce


class WorthAsking(Part):
    """A fact worth asking for."""

    fact: str
    settles_bits: float = Field(description="Uncertainty that its answer is expected to remove, in bits.")
    effort: float = Field(description="What finding out takes; a plain question takes 1.")
    answers: tuple[AnswerTo, ...]


class Next(Published):
    """Whether the answer is certain, what it may still come to, and what to ask next."""

    format: Literal["slab-finish-next/1"] = "slab-finish-next/1"
    now: Recommended = Field(description="The answer as it stands.")
    certainty: Certainty
    uncertainty_bits: float
    turns: tuple[Outcome, ...] = Field(description="Likeliest first.")
    questions: tuple[WorthAsking, ...] = Field(description="What is worth most for its effort first.")


def next_record(interview: Interview, most: int) -> Next:
    """The same as data.

    Args:
        interview: the floor as far as it is known.
        most: questions shown.
    """
    look = interview.outlook
    return Next(
        now=Recommended(**look.now._asdict()),
        certainty=interview.certainty,
        uncertainty_bits=round(look.uncertainty, 4),
        turns=_outcomes(look.turns),
        questions=tuple(
            WorthAsking(
                fact=question.fact,
                settles_bits=round(question.settles, 4),
                effort=question.cost,
                answers=tuple(_answer(effect) for effect in interview.effects(question)),
            )
            for question in islice(interview.questions(), most)
        ),
    )


def _answer(effect: Effect) -> AnswerTo:
    branch, after = effect.branch, effect.after
    at_once = AtOnce(
        **after.recommendation._asdict(),
        fell=effect.fell,
        came_back=effect.came_back,
        first_no_longer=effect.needs_gone,
        first_now=effect.needs_new,
        lead=after.lead,
        set_aside=tuple(each.says for each in effect.set_aside),
    )
    return AnswerTo(value=branch.stretch, share=round(branch.share, 4), turns=_outcomes(branch.turns), at_once=at_once)


def _outcomes(turns: Iterable[Turn]) -> tuple[Outcome, ...]:
    return tuple(_outcome(turn.recommendation, turn.share) for turn in turns)


def _outcome(recommendation: Recommendation, share: float) -> Outcome:
    return Outcome(**recommendation._asdict(), share=round(share, 4))
