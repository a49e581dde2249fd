"""The interview: which fact to ask for next, and what each answer changes. No input or output here.

The engine's session is told every fact as soon as it is settled, a worked-out one as soon as all it takes is, so
after an answer only what is new fires. An answer taken back or changed opens a new session.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from advisor.answer.judging import Judge, judge_of
from advisor.answer.ranking import Standing, standings
from advisor.asking.advice import advise, with_certainty
from advisor.asking.effects import Effect, effects
from advisor.asking.outlook import Outlook, Question
from advisor.asking.proof import Verdict, certain
from advisor.engines.reasoning import Reasoner, record
from advisor.engines.rete import Session
from advisor.facts.case import Case, make_case, say
from advisor.facts.memory import working_memory
from advisor.facts.setting_aside import SetAside
from advisor.facts.statements import Statement
from advisor.model.advice import Advice
from advisor.model.grounding import GroundRule, unbound
from advisor.model.knowledge import UNKNOWN, RuleBase
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


class Interview:
    """A case in the making."""

    def __init__(self, reasoner: Reasoner, judge: Judge, today: date, case: Case | None = None) -> None:
        self.reasoner, self.judge, self.base, self.today = reasoner, judge, reasoner.base, today
        self.case = case or Case("", "", {})
        self._answers: list[tuple[str, Statement | None]] = []  # facts answered here, and what was said of them before
        self._session: Session | None = None
        self._told: dict[str, Value] = {}
        self._fired: list[GroundRule] = []
        self._remembered: tuple[Mapping[str, Value], dict[str, Value]] | None = None
        self._look: tuple[Mapping[str, Value], Outlook] | None = None
        self._sync()
        self._seen = self._summary()

    def close(self) -> None:
        """Free the engine's session."""
        if self._session:
            self._session.__exit__()
            self._session = None

    @property
    def declined(self) -> set[str]:
        """The facts that the customer said they do not know."""
        return {name for name, statement in self.case.stated.items() if statement.text.lower() == UNKNOWN}

    def answer(self, fact: str, statement: Statement) -> Step:
        """Take an answer, new or in place of an earlier one.

        Raises:
            BadCase: it does not fit the fact, or contradicts what was said; nothing is changed then.
        """
        before = self.case.stated.get(fact)
        step = self._become(say(self.base, self.case, {fact: statement}, self.today))
        self._answers.append((fact, before))
        return step

    def undo(self) -> tuple[str, Step] | None:
        """Take the last answer back, if there is one; what was said of its fact before holds again."""
        if not self._answers:
            return None
        fact, before = self._answers.pop()
        stated = dict(self.case.stated)
        if before:
            stated[fact] = before
        else:
            del stated[fact]
        return fact, self._become(make_case(self.base, stated, self.today, self.case.floor, self.case.note))

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
            left=len(self.base.finishes) - len(out),
            set_aside=tuple(each for each in case.set_aside if each not in known_aside),
            afresh=afresh,
        )

    def _sync(self) -> tuple[list[GroundRule], bool]:
        """Tell the engine what is settled now; in a new session where something told is no longer so."""
        wanted = self._settled()
        afresh = any(wanted.get(name) != value for name, value in self._told.items())
        if afresh:
            self.close()
        if self._session is None:
            self._session, self._told, before = self.reasoner.session().__enter__(), {}, self._fired
            self._fired = self._session.tell(wanted)
            fired = [rule for rule in self._fired if rule not in before]
        else:
            fired = self._session.tell({name: value for name, value in wanted.items() if name not in self._told})
            self._fired += fired
        self._told = wanted
        return fired, afresh

    def _settled(self) -> dict[str, Value]:
        """The facts that no further question is expected to change: known, assumed, or declared unknown."""
        memory, declined = self.memory, self.declined
        settled: dict[str, Value] = {}

        def is_settled(name: str) -> bool:
            value = memory[name]
            if value.inputs:
                return all(is_settled(each) for each in value.inputs)
            return value.known or unbound(name)[0] in declined

        for name, value in memory.items():
            if is_settled(name):
                settled[name] = value
        return settled

    @property
    def memory(self) -> dict[str, Value]:
        """The working memory of the case as it stands."""
        if self._remembered is None or self._remembered[0] is not self.case.facts:
            self._remembered = self.case.facts, working_memory(self.base, self.case.facts)
        return self._remembered[1]

    @property
    def trace(self) -> Trace:
        """What fired so far."""
        return record(self.base, self.memory, self._fired, self.case.facts)

    def _summary(self) -> tuple[list[Standing], set[str], list[str], list[str]]:
        trace = self.trace
        ranked = standings(self.base, self.memory, trace)
        concluded = [each for firing in trace.firings for each in firing.conclusions]
        stops = [each.name for each in concluded if each.kind == "refer" and self.base.referrals[each.name].stop]
        holds = [each.name for each in concluded if each.kind == "hold"]
        out = {each.finish for each in ranked if each.verdict == "ruled out"}
        return ranked, out, list(dict.fromkeys(stops)), list(dict.fromkeys(holds))

    @property
    def outlook(self) -> Outlook:
        """How the case may still turn out."""
        if self._look is None or self._look[0] is not self.case.facts:
            self._look = self.case.facts, Outlook(self.judge, self.memory)
        return self._look[1]

    def next_question(self) -> Question | None:
        """The question worth most that the customer has not declined; none where it is time to stop."""
        return next(self.questions(), None)

    def questions(self) -> Iterator[Question]:
        """The questions worth asking, best first; none once the recommendation is certain."""
        if len(self.outlook.turns) > 1 or not self.verdict().recommendation:
            yield from self.outlook.questions(but=self.declined)

    def effects(self, question: Question) -> Iterator[Effect]:
        """What each answer to a question would do at once."""
        return effects(self.reasoner, self.case, question, self.today)

    def verdict(self) -> Verdict:
        """Whether the recommendation is certain whatever else is found out."""
        if len(self.outlook.turns) > 1:
            return Verdict(None, True, self.outlook.real, {})
        return certain(self.judge, self.memory)

    def advice(self) -> Advice:
        """The advice for the case as it stands."""
        return advise(self.reasoner, self.case, self.today)

    def whole_advice(self) -> Advice:
        """The advice for the case as it stands, and how certain it is."""
        return with_certainty(self.advice(), self.judge, self.memory)

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
    reasoner, today = Reasoner(base), today or date.today()
    if case and not keep_declined:
        known = {
            name: each
            for name, each in case.stated.items()
            if each.text.lower() != UNKNOWN or base.facts[name].unknown_means  # an answer in itself
        }
        case = make_case(base, known, today, case.floor, case.note)
    return Interview(reasoner, judge_of(reasoner), today, case)
