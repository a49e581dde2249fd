"""The interview: which fact to ask for next, and what each answer changes. No input or output here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from typing import Literal

from advisor.answer.judging import Judge, judge_of
from advisor.answer.ranking import Standing, standings, weights_that_turn
from advisor.asking.advice import advise, with_certainty
from advisor.asking.certainty import certainty, is_settled
from advisor.asking.effects import Effect, Position, effects, position
from advisor.asking.in_step import InStep
from advisor.asking.opening import is_answered, openings
from advisor.asking.outlook import Outlook, Question
from advisor.engines.reasoning import Reasoner, record
from advisor.facts.case import Case, make_case, say
from advisor.facts.memory import working_memory
from advisor.facts.setting_aside import SetAside
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Certainty
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.opening import Opening
from advisor.model.program import GroundRule
from advisor.model.values import Value
from explanations.trace import Trace


@dataclass(frozen=True)
class Step:
    """What one answer changed, and what stands after it."""

    fired: tuple[str, ...]  # ids of the rules that fired now and had not before
    fell: tuple[Standing, ...]  # finishes ruled out by now that were not before
    came_back: tuple[str, ...]  # finishes no longer ruled out, after an answer was taken back
    stops: tuple[str, ...]  # referrals new now that come before any finish
    holds: tuple[str, ...]  # needs new now that hold every finish
    left: int  # finishes not ruled out
    set_aside: tuple[SetAside, ...]  # what was said and is new among what the answer does not rest on
    afresh: bool  # whether a new session had to be told everything


OPENING = "opening:"  # before the name of an opening question
MOST_WEIGHED = 12  # questions of which what each would settle is worked out
Ending = Literal["settled", "stop", "test", "declined", "costs"]
EARLIEST = 5  # opening questions before it is looked into whether the answer is settled


@dataclass(frozen=True)
class Upcoming:
    """What comes next: an opening question, a question that decides most, or the end and what would help most then."""

    opening: str = ""
    question: Question | None = None
    ends: Ending | None = None


class Interview:
    """A case in the making."""

    def __init__(
        self,
        reasoner: Reasoner,
        judge: Judge,
        today: date,
        case: Case | None = None,
        ask_declined: bool = False,
        earlier: Sequence[tuple[str, Mapping[str, Statement]]] = (),
        like: Mapping[str, Value] | None = None,
    ) -> None:
        """Begin it, or go on with it.

        Args:
            reasoner: the rule base made ready.
            judge: for the same.
            today: the date against which tests age.
            case: what was said before it began.
            ask_declined: whether what the case gives as unknown is asked for.
            earlier: what was asked in it so far and what was said to it, as for `tell`; it then stands as if each had
                been told in turn.
            like: the working memory of any other floor; what is computed there from the same is taken over.

        Raises:
            BadCase: what was told does not fit, or contradicts itself.
        """
        self.reasoner, self.judge, self.base, self.today = reasoner, judge, reasoner.base, today
        self.case = case or Case("", "", {})
        self._asked_anyway = set[str]()  # facts that the case gives as unknown, until they are answered here
        if ask_declined:
            self._asked_anyway = self.declined
        self._answers: list[tuple[str, Mapping[str, Statement | None]]] = []  # each with what was said of it before
        self._engine = InStep(reasoner)
        self._take(earlier)
        self._like = like
        self._remembered: tuple[Mapping[str, Value], dict[str, Value]] | None = None
        self._look: tuple[Mapping[str, Value], Outlook] | None = None
        self._certainty: tuple[Outlook, Certainty] | None = None
        self._settled: tuple[Outlook, bool] | None = None
        self._position: tuple[Case, Position] | None = None
        self._sync()
        self._seen = self._summary()

    def _take(self, earlier: Sequence[tuple[str, Mapping[str, Statement]]]) -> None:
        stated = dict(self.case.stated)
        for asked, said in earlier:
            self._answers.append((asked, {name: stated.get(name) for name in said}))
            stated |= said
        said_in_all = {name: each for _, said in earlier for name, each in said.items()}
        if said_in_all:
            self.case = say(self.base, self.case, said_in_all, self.today)
            self._asked_anyway -= said_in_all.keys()

    def close(self) -> None:
        """Free the engine's session."""
        self._engine.close()

    @property
    def declined(self) -> set[str]:
        """The facts that the customer said they do not know, and that are not asked for."""
        unknown = {name for name, statement in self.case.stated.items() if statement.text.lower() == UNKNOWN}
        return unknown - self._asked_anyway

    @property
    def _closed(self) -> set[str]:
        """The facts that are not asked for: declined, or answered here and set aside since.

        What a file said and was set aside, an old test say, is asked for once more; the same answer twice helps nobody.
        """
        doubted = {fact for each in self.case.set_aside for fact in each.facts}
        told = {fact for _, before in self._answers for fact in before}
        return self.declined | (doubted & told)

    def answer(self, fact: str, statement: Statement) -> Step:
        """Take an answer, new or in place of an earlier one.

        Raises:
            BadCase: it does not fit the fact, or contradicts what was said; nothing is changed then.
        """
        return self.tell(fact, {fact: statement})

    def tell(self, asked: str, said: Mapping[str, Statement]) -> Step:
        """Take what was said to a question, which may be of several facts.

        Args:
            asked: the fact asked for, or `OPENING` and the opening question.
            said: by fact.

        Raises:
            BadCase: it does not fit, or contradicts what was said; nothing is changed then.
        """
        before = {name: self.case.stated.get(name) for name in said}
        case = say(self.base, self.case, said, self.today)
        self._asked_anyway -= said.keys()
        step = self._become(case)
        self._answers.append((asked, before))
        return step

    def undo(self) -> tuple[str, Step] | None:
        """Take the last answer back, if there is one; what was said of its facts before holds again."""
        if not self._answers:
            return None
        asked, before = self._answers.pop()
        stated = dict(self.case.stated)
        for fact, statement in before.items():
            if statement:
                stated[fact] = statement
            else:
                del stated[fact]
        return asked, self._become(make_case(self.base, stated, self.today, self.case.floor, self.case.note))

    def _become(self, case: Case) -> Step:
        known_aside, self.case = self.case.set_aside, case
        fired, afresh = self._sync()
        before, self._seen = self._seen, self._summary()
        ranked, out, stops, holds = self._seen
        return Step(
            fired=tuple(dict.fromkeys(rule.rule for rule in fired)),
            fell=tuple(each for each in ranked if each.finish in out - before[1]),
            came_back=tuple(sorted(before[1] - out)),
            stops=tuple(each for each in stops if each not in before[2]),
            holds=tuple(each for each in holds if each not in before[3]),
            left=self.left,
            set_aside=tuple(each for each in case.set_aside if each not in known_aside),
            afresh=afresh,
        )

    def _sync(self) -> tuple[list[GroundRule], bool]:
        return self._engine.sync(self.memory, self.declined)

    @property
    def memory(self) -> dict[str, Value]:
        """The working memory of the case as it stands."""
        if self._remembered is None or self._remembered[0] is not self.case.facts:
            before = self._remembered[1] if self._remembered else self._like
            self._remembered = self.case.facts, working_memory(self.base, self.case.facts, before)
        return self._remembered[1]

    @property
    def trace(self) -> Trace:
        """What fired so far."""
        return record(self.base, self.memory, self._engine.fired, self.case.facts)

    def _summary(self) -> tuple[list[Standing], set[str], list[str], list[str]]:
        trace = self.trace
        ranked = standings(self.base, self.memory, trace)
        concluded = [each for firing in trace.firings for each in firing.conclusions]
        stops = [each.name for each in concluded if each.kind == "refer" and self.base.referrals[each.name].stop]
        holds = [each.name for each in concluded if each.kind == "hold"]
        out = {each.finish for each in ranked if each.verdict == "ruled out"}
        return ranked, out, list(dict.fromkeys(stops)), list(dict.fromkeys(holds))

    @property
    def left(self) -> int:
        """Finishes that are not ruled out."""
        return len(self.base.finishes) - len(self._seen[1])

    @property
    def outlook(self) -> Outlook:
        """How the case may still turn out."""
        if self._look is None or self._look[0] is not self.case.facts:
            look = self._look[1] if self._look else None
            if look is None or look.memory != self.memory:  # who does not know what nobody said changes nothing
                look = Outlook(self.judge, self.memory)
            self._look = self.case.facts, look
        return self._look[1]

    @property
    def certainty(self) -> Certainty:
        """How settled the answer is."""
        if self._certainty is None or self._certainty[0] is not self.outlook:
            self._certainty = self.outlook, certainty(self.outlook, self.case.doubted)
        return self._certainty[1]

    @property
    def settled(self) -> bool:
        """Whether nothing more need be asked; sooner found than how settled the answer is."""
        if self._settled is None or self._settled[0] is not self.outlook:
            self._settled = self.outlook, is_settled(self.outlook)
        return self._settled[1]

    @property
    def asked(self) -> tuple[str, ...]:
        """What was asked and answered here, in order: facts, and `OPENING` with opening questions."""
        return tuple(asked for asked, _ in self._answers)

    def upcoming(self) -> Upcoming:
        """What to ask next, or why to stop. The same case is always asked the same.

        What everything stops for now comes first, as far as it costs nothing to find out; then the opening questions;
        then what decides most and costs nothing to find out. What only a test shows is not asked for, but named.
        """
        look = self.outlook
        if look.stopping and (first := self.next_question()) and first.fact in look.stopping and self._is_free(first):
            return Upcoming(question=first)
        if look.now.kind == "professional":
            return Upcoming(ends="stop")
        if opening := self._opening():
            settled = self._answered >= EARLIEST and self.settled
            return Upcoming(ends="settled") if settled else Upcoming(opening=opening)
        if self.settled:
            return Upcoming(ends="settled")
        worthy = islice(self.questions(self._least), MOST_WEIGHED)
        if question := next((each for each in worthy if self._is_free(each) and each.worth >= self._least), None):
            return Upcoming(question=question)
        best = self.next_question()
        if best and not self._is_free(best):
            return Upcoming(question=best, ends="test")
        declined = any(settles > 0 and fact in self._closed for fact, settles, _ in look.ranked()[:1])
        return Upcoming(question=best, ends="declined" if declined else "costs")

    def _opening(self) -> str | None:
        """The next opening question that is expected to settle something, or whose facts the answer is told by."""
        look, base, memory = self.outlook, self.base, self.memory
        asked = [each.removeprefix(OPENING) for each in self.asked if each.startswith(OPENING)]
        order = list(base.conversation)
        passed = order[: 1 + max(map(order.index, asked), default=-1)]  # what was passed over is not gone back to
        for name in openings(base, memory, self._read, look.undecided, passed):
            if base.conversation[name].always or self._may_settle(base.conversation[name]):
                return name
        return None

    @property
    def _read(self) -> dict[str, Value]:
        """What was stated and is not asked for anew, as it was read."""
        read = self.case.as_read
        return {name: read[name] for name in self.case.stated if name in read and name not in self._asked_anyway}

    @property
    def _answered(self) -> int:
        """How many questions were answered: here, or of those that open an interview before it too."""
        before = (
            OPENING + name for name, each in self.base.conversation.items() if is_answered(self.base, each, self._read)
        )
        return len({*self.asked, *before})

    def _may_settle(self, opening: Opening) -> bool:
        """Whether an opening question is expected to settle something, or asks for a weight that turns the answer."""
        settles = {fact: settles for fact, settles, _ in self.outlook.gains}
        if sum(max(0.0, settles.get(fact, 0.0)) for fact in opening.settles) >= self._least:
            return True
        weighs = weights_that_turn(self.base, self._seen[0]) if any(settles.values()) else frozenset()
        return not weighs.isdisjoint(opening.settles)

    @property
    def _least(self) -> float:
        """Uncertainty [bit] below which an answer tells less than it costs."""
        norm = self.base.norms.get("worth_a_question")
        return norm.interval.low if norm else 0.0

    def _is_free(self, question: Question) -> bool:
        return self.base.facts[question.fact].change != "test"

    def next_question(self) -> Question | None:
        """The question worth most that the customer has not declined; none where it is time to stop."""
        return next(self.questions(), None)

    def questions(self, least: float = 0.0) -> Iterator[Question]:
        """The questions worth asking, best first; none once the answer is settled.

        Args:
            least: bits for one effort below which what does not stop everything is left out.
        """
        if not self.settled:
            yield from self.outlook.questions(self._closed, least)

    def effects(self, question: Question) -> Iterator[Effect]:
        """What each answer to a question would do at once."""
        if self._position is None or self._position[0] is not self.case:
            self._position = self.case, position(self.reasoner, self.case, self.memory)
        return effects(self.reasoner, self.case, question, self.today, self.memory, self._position[1])

    def advice(self) -> Advice:
        """The advice for the case as it stands."""
        return advise(self.reasoner, self.case, self.today)

    def whole_advice(self) -> Advice:
        """The advice for the case as it stands, and how settled it is."""
        return with_certainty(self.advice(), self.certainty)

    def named(self, floor: str) -> None:
        """Give the floor its name."""
        self.case = replace(self.case, floor=floor)


def interview_about(
    base: RuleBase, case: Case | None = None, today: date | None = None, keep_declined: bool = True
) -> Interview:
    """An interview that goes on from a case.

    Args:
        base: the rule base.
        case: what is said already, as read today; nothing if not given.
        today: the date against which tests age; the current one if not given.
        keep_declined: whether what the case gives as unknown is left alone; else it is asked for.
    """
    reasoner = Reasoner(base)
    return Interview(reasoner, judge_of(reasoner), today or date.today(), case, not keep_declined)
