"""One question of an interview as it stands before a reader, whatever shows it: a terminal or a page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from advisor.asking.interview import OPENING, Interview
from advisor.asking.opening import NOTHING, apart, example_of, left_out, pieces, read_opening
from advisor.asking.outlook import Question
from advisor.asking.typed_answers import read_answer
from advisor.errors import BadCase, Fault
from advisor.facts.case import describe_allowed, read_fact
from advisor.facts.statements import Statement
from advisor.model.knowledge import RuleBase
from advisor.model.vocabulary import FactKind
from explanations.wording import label, listed, wording

NO_WORDS: Mapping[str, str] = {}


@dataclass(frozen=True)
class Choice:
    """A likely answer: what it says, and what is typed to give it."""

    says: str
    typed: str


@dataclass(frozen=True)
class Screen:
    """What is asked, the likely answers, why, and what an answer says.

    Attributes:
        asked: the fact asked for, or `OPENING` and the opening question.
        kind: of the one fact whose values are the answers, if there is one.
        several: whether as many of the choices may be picked as are so.
        fields: facts that are told freely, one piece each.
        other: the fact of which an answer may be a value that is none of the choices.
        allowed: what a number may be given as.
        reads: what a typed answer says, fact by fact; raises `BadCase` where it is none.
        question: what its answers would do, where that was worked out.
    """

    asked: str
    ask: str
    choices: tuple[Choice, ...]
    why: str
    find_out: str
    reads: Callable[[str], Mapping[str, Statement]]
    kind: FactKind | None = None
    several: bool = False
    fields: tuple[str, ...] = ()
    other: str = ""
    example: str = ""
    allowed: str = ""
    question: Question | None = None

    def in_part(self, text: str) -> tuple[str, tuple[str, ...]]:
        """Of an answer told freely that cannot be read whole: the pieces that can, and those that cannot."""
        taken: list[str] = []
        missed: list[str] = []
        for piece in pieces(text) if self.fields else [text]:
            for part in [piece] if self._takes([*taken, piece]) else apart(piece):
                (taken if self._takes([*taken, part]) else missed).append(part)
        return ", ".join(taken), tuple(missed)

    def _takes(self, said: Sequence[str]) -> bool:
        """Whether pieces can be read together."""
        try:
            self.reads(", ".join(said))
        except BadCase:
            return False
        return True

    @property
    def opening(self) -> bool:
        """Whether it is a question with which an interview opens."""
        return self.asked.startswith(OPENING)


def screen_of(interview: Interview, asked: str, question: Question | None = None) -> Screen:
    """A question of an interview.

    Args:
        interview: the case in the making.
        asked: a fact, or `OPENING` and an opening question.
        question: what its answers would do, where that was worked out.
    """
    base, stated = interview.base, interview.case.stated

    def reads(text: str) -> Mapping[str, Statement]:
        return read_typed(base, asked, text, interview.today, stated)

    if not asked.startswith(OPENING):
        kind = base.facts[asked]
        return Screen(
            asked,
            kind.ask or "",
            tuple(_values(base, kind)),
            kind.why,
            kind.find_out,
            reads,
            kind,
            allowed=describe_allowed(base, kind),
            question=question,
        )
    opening = base.conversation[asked.removeprefix(OPENING)]
    of = base.facts[opening.fact] if opening.fact else None
    rest = left_out(opening, stated)
    picked = (Choice(each.says, str(place)) for place, each in enumerate(opening.answers, start=1))
    return Screen(
        asked,
        wording("interview.rest", facts=listed(label("fact", name) for name in rest)) if rest else opening.ask,
        tuple(_values(base, of, opening.says) if of else picked),
        opening.why,
        opening.find_out or (of.find_out if of else ""),
        reads,
        of,
        opening.several,
        rest or opening.facts,
        next(iter(opening.or_facts), ""),
        example_of(opening, rest or opening.facts),
        describe_allowed(base, of) if of else "",
    )


def read_typed(
    base: RuleBase, asked: str, text: str, today: date, stated: Mapping[str, Statement] = NOTHING
) -> Mapping[str, Statement]:
    """What a typed answer says, fact by fact; whether it fits the floor is found out later.

    Args:
        base: for the vocabulary.
        asked: a fact, or `OPENING` and an opening question.
        text: as typed.
        today: no date lies after it.
        stated: what was stated before, by fact.

    Raises:
        BadCase: it is no answer to this; or there is no such question.
    """
    if not asked.startswith(OPENING):
        if asked not in base.facts or not base.facts[asked].ask:
            read_fact(base, asked, text, asked)  # says what is wrong with the name
        return {asked: read_answer(asked, base.facts[asked], text, today, NO_WORDS)}
    opening = base.conversation.get(asked.removeprefix(OPENING))
    if opening is None:
        raise BadCase([Fault(asked, wording("interview.no_question", name=asked.removeprefix(OPENING)))])
    return read_opening(base, opening, text, today, stated)


def _values(base: RuleBase, kind: FactKind, says: Mapping[str, str] = NO_WORDS) -> Iterator[Choice]:
    """The values of a fact that is chosen, some in plainer words; none of a number."""
    if kind.values_from:
        yield from (Choice(each.name, each.name) for each in base.finishes.values())
    elif kind.type != "number":
        yield from (Choice(says.get(value) or label("value", value), value) for value in kind.choices)
