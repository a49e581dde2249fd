"""What an answer would do at once: the advice with it stated, by the engine, set against the advice without."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from advisor.answer.advising import answer_alone
from advisor.answer.ranking import Recommendation, Standing
from advisor.asking.outlook import Branch, Question
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, say
from advisor.facts.setting_aside import SetAside
from advisor.facts.statements import Statement
from advisor.model.advice import Answer
from advisor.model.values import Value


@dataclass(frozen=True)
class Position:
    """An answer with the finishes behind it."""

    answer: Answer
    ranked: tuple[Standing, ...]

    @property
    def recommendation(self) -> Recommendation:
        """What the answer comes down to."""
        return Recommendation.of(self.answer.kind, self.answer.leading)

    @property
    def out(self) -> tuple[str, ...]:
        """The finishes ruled out."""
        return tuple(each.finish for each in self.ranked if each.verdict == "ruled out")

    @property
    def left(self) -> tuple[str, ...]:
        """The finishes not ruled out, best first."""
        return tuple(each.finish for each in self.ranked if each.verdict != "ruled out")

    @property
    def lead(self) -> int | None:
        """Points by which the leading finish is ahead of the next; none where there is no next."""
        return self.ranked[0].total - self.ranked[1].total if len(self.left) > 1 else None

    def needs(self, finish: str) -> tuple[str, ...]:
        """What comes first for a finish."""
        return tuple(next(each.conditions for each in self.ranked if each.finish == finish))


@dataclass(frozen=True)
class Effect:
    """The positions without and with one answer, and what would be set aside because of it."""

    branch: Branch
    before: Position
    after: Position
    set_aside: tuple[SetAside, ...]

    @property
    def fell(self) -> tuple[str, ...]:
        """Finishes ruled out by the answer."""
        return tuple(each for each in self.after.out if each not in self.before.out)

    @property
    def came_back(self) -> tuple[str, ...]:
        """Finishes that were ruled out only while nobody knew."""
        return tuple(each for each in self.before.out if each not in self.after.out)

    @property
    def needs_gone(self) -> tuple[str, ...]:
        """What no longer comes first for the leading finish."""
        leading = self.after.left[:1]
        return tuple(need for each in leading for need in self.before.needs(each) if need not in self.after.needs(each))

    @property
    def needs_new(self) -> tuple[str, ...]:
        """What comes first for the leading finish and did not."""
        leading = self.after.left[:1]
        return tuple(need for each in leading for need in self.after.needs(each) if need not in self.before.needs(each))


def effects(
    reasoner: Reasoner, case: Case, question: Question, today: date, memory: Mapping[str, Value], before: Position
) -> Iterator[Effect]:
    """What each answer that is expected would do; one that the rest of the case does not allow is left out.

    Args:
        reasoner: a rule base made ready.
        case: the floor as far as it is known.
        question: of the fact, with its answers; a stretch of a number is stated at its middle.
        today: the date against which tests age.
        memory: the case's working memory; what no answer changes is taken over from it.
        before: where the case stands.
    """
    for branch in question.branches:
        try:
            after = say(reasoner.base, case, {question.fact: Statement(branch.said)}, today)
        except BadCase:
            continue
        new = tuple(each for each in after.set_aside if each not in case.set_aside)
        yield Effect(branch, before, position(reasoner, after, memory), new)


def position(reasoner: Reasoner, case: Case, memory: Mapping[str, Value]) -> Position:
    """Where a case stands.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        memory: the working memory of this floor, or of one that differs little.
    """
    answer, ranked = answer_alone(reasoner, case.facts, memory)
    return Position(answer, tuple(ranked))
