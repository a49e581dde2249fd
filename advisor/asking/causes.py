"""What went wrong with a floor: causes judged by the same rules, engine and questions as finishes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import islice
from weakref import WeakKeyDictionary

from advisor.answer.advising import conclude, mark
from advisor.answer.hazards import hazards
from advisor.answer.judging import Judge, judge_of
from advisor.answer.ranking import Standing, standings
from advisor.asking.cause_fits import explaining, fits, settled, together, usual_signs_of
from advisor.asking.cause_forms import (
    CauseFound,
    Causes,
    Complaint,
    Look,
    OutcomeOfLook,
    RemedyFound,
)
from advisor.asking.outlook import Outlook, Question
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_fact
from advisor.facts.complaints import BRINGS, COMPLAINTS, complaints, with_complaints
from advisor.facts.likelihoods import effort
from advisor.model.advice import Advice
from advisor.model.causes import Due
from advisor.model.grounding import meets_all
from advisor.model.knowledge import RuleBase
from advisor.model.standing import Hazard
from advisor.model.values import Value
from advisor.rulebase.causes import as_causes
from advisor.rulebase.rule_values import spelled
from explanations.wording import label, listed, wording
from explanations.words import sentence

MOST_LOOKS = 3
MOST_FINISHES = 3
ALIKE = 3  # causes told that then come first


@dataclass(frozen=True, eq=False)
class Inquiry:
    """A rule base made ready to be asked what went wrong."""

    base: RuleBase

    @cached_property
    def reasoner(self) -> Reasoner:
        """The engine, with the causes in place of the finishes."""
        return Reasoner(as_causes(self.base))

    @property
    def judge(self) -> Judge:
        """For the search of what to ask."""
        return judge_of(self.reasoner)

    def case(self, case: Case) -> Case:
        """The case with its complaints, whichever facts tell them; without what is asked about finishes."""
        facts = with_complaints(self.base, case.facts)
        return replace(
            case, facts={name: each for name, each in facts.items() if not self.base.facts[name].values_from}
        )

    def causes(self, case: Case, advice: Advice, today: date) -> Causes:
        """What went wrong.

        Args:
            case: the floor.
            advice: on the finish for the same floor: its stops come first, its standings tell which finishes stand.
            today: the date to put on it.
        """
        facts = self.case(case).facts
        memory, trace = self.reasoner.reason(facts)
        ranked = standings(self.reasoner.base, memory, trace)
        wrong = complaints(self.base, case.facts)
        seen = usual_signs_of(trace)
        found = tuple(sorted(fits(self.base, ranked, wrong, seen), key=lambda each: each.fit == "excluded"))
        told = [each for each in found if each.fit in ("likely", "possible")]
        sets = together(self.base, told, wrong)
        leave = any(each.leave for each in advice.stops)
        leading = [] if leave else [each for each in told if each.fit == "likely"] or told[:1]
        if leading and sets:  # what else must be put right before all of it is
            leading += [each for each in told if each.cause in sets[0] and each not in leading]
        pressing = () if leave else (*leading, *(each for each in found if each.in_sight and each not in leading))
        harms = hazards(self.reasoner.base, memory, trace, (), [])
        first = self._first(advice, [each.cause for each in leading], harms) if wrong and not leave else []
        no_look = leave or settled(found) or not wrong
        looks, waiting = ((), ()) if no_look else self._looks_and_waiting(memory, wrong, told, bool(first))
        return Causes(
            floor=case.floor,
            date=today.isoformat(),
            rule_base=mark(self.base),
            sentence=self._sentence(wrong, told, facts),
            stops=advice.stops,
            complaints=tuple(
                Complaint(
                    complaint=each,
                    says=label("value", each),
                    explained_by=explaining(self.base, each, told_by, told),
                )
                for each, told_by in wrong.items()
            ),
            causes=found,
            together=sets,
            looks=looks,
            waiting=waiting,
            clearing=tuple(dict.fromkeys(fact for each in first for fact in each.clears if not memory[fact].known)),
            first=tuple(each.says for each in first),
            due=tuple(dict.fromkeys(each.says for some in pressing for each in self._due(memory, some.cause))),
            hazards=_harming(harms, {each.cause for each in pressing}, first),
            remedies=tuple(self._remedy(each.cause, advice, memory, first, harms) for each in leading),
            not_now=self._not_now(leading, told, advice) if wrong and not leave else (),
            seen=tuple(
                (label("fact", name), _as_told(value))
                for name, value in facts.items()
                if value.known and (name in case.stated or name in COMPLAINTS or not case.stated)
            ),
            deference=wording("answer.deference"),
        )

    def _sentence(self, wrong: Iterable[str], told: list[CauseFound], facts: Mapping[str, Value]) -> str:
        if not wrong:
            return wording("causes.nothing_said", wrong=facts[BRINGS].choice if BRINGS in facts else "none")
        likely = [each.name for each in told if each.fit == "likely"]
        if not told:
            return wording("causes.none_fits")
        if not likely:
            return sentence(wording("causes.open", causes=listed((each.name for each in told[:ALIKE]), "or")))
        return sentence(wording("causes.likely", causes=listed(likely[:ALIKE], "or")))

    def _first(self, advice: Advice, leading: Collection[str], harms: Iterable[Hazard]) -> list[Due]:
        """What is due before anybody touches what lies there: by what the floor is warned of, and the first causes."""
        warned = {each.caution for each in advice.hazards if each.floor}
        warned |= {each.caution for each in harms if set(each.finishes).intersection(leading)}
        return [each for each in self.base.due.values() if warned.intersection(each.warned_of)]

    def _due(self, memory: Mapping[str, Value], cause: str) -> list[Due]:
        """What the remedy of a cause names as due, and nobody has done."""
        named = (self.base.due[each] for each in self.base.causes[cause].remedy.due)
        return [each for each in named if not (each.finds and memory[each.finds].known)]

    def _looks_and_waiting(
        self, memory: Mapping[str, Value], wrong: Mapping[str, str], told: list[CauseFound], wait: bool
    ) -> tuple[tuple[Look, ...], tuple[str, ...]]:
        """What is worth looking at, and the facts of looks that wait, as they disturb what must be tested first."""
        looks: list[Look] = []
        waiting: list[str] = []
        for each in islice(self._looks(memory, wrong, told), 2 * MOST_LOOKS):
            if wait and self.base.facts[each.fact].disturbs:
                waiting.append(each.fact)
            else:
                looks.append(each)
            if len(looks) == MOST_LOOKS:
                break
        return tuple(looks), tuple(waiting)

    def _looks(self, memory: Mapping[str, Value], wrong: Mapping[str, str], told: list[CauseFound]) -> Iterator[Look]:
        """What is worth looking at: what may put another cause first, or leaves but one."""
        names, first = (
            {each.cause for each in told},
            tuple(each.cause for each in told if each.points == told[0].points),
        )
        outlook = Outlook(self.judge, memory)
        for question in outlook.questions():
            outcomes = tuple(self._outcomes(memory, question, wrong, names))
            if not any(each.settles or each.first != first[:ALIKE] for each in outcomes):
                continue
            kind = self.base.facts[question.fact]
            yield Look(
                fact=question.fact,
                ask=kind.ask or "",
                find_out=kind.find_out,
                effort=effort(self.base, question.fact).means,
                settles_bits=round(question.settles, 4),
                outcomes=outcomes,
            )

    def _outcomes(
        self, memory: Mapping[str, Value], question: Question, wrong: Mapping[str, str], told: set[str]
    ) -> Iterable[OutcomeOfLook]:
        """What each answer alone would mean."""
        for branch in question.branches:
            if not branch.share:
                continue
            ranked = ranked_with(self.reasoner, memory, question.fact, branch.said)
            yield OutcomeOfLook(
                value=branch.stretch,
                share=round(branch.share, 4),
                first=first_of(ranked),
                excludes=tuple(each.finish for each in ranked if each.verdict == "ruled out" and each.finish in told),
                settles=settled(fits(self.base, ranked, wrong)),
            )

    def _remedy(
        self,
        name: str,
        advice: Advice,
        memory: Mapping[str, Value],
        first: Collection[Due],
        harms: Iterable[Hazard],
    ) -> RemedyFound:
        cause = self.base.causes[name]
        again = {
            each.id
            for each in self.base.finishes.values()
            if cause.remedy.fails_again and meets_all(self.base, each, cause.remedy.fails_again)
        }
        stand = [s.finish for s in advice.standings if s.verdict != "ruled out" and s.finish not in again]
        fails = [s.finish for s in advice.standings if s.finish in again]
        return RemedyFound(
            cause=name,
            first=tuple(each.says for each in first),
            due=tuple(each.says for each in self._due(memory, name)),
            hazards=_harming(harms, {name}, first),
            take_off=cause.remedy.take_off,
            mend=cause.remedy.mend,
            spot=cause.remedy.spot,
            call=cause.remedy.call,
            stand=tuple(stand[:MOST_FINISHES]),
            fail_again=tuple(fails),
            sources=cause.source,
        )

    def _not_now(self, leading: list[CauseFound], told: list[CauseFound], advice: Advice) -> tuple[str, ...]:
        """What would do harm now: what the floor is warned of, then by first causes, those of danger, others."""
        warned = {each.caution for each in advice.hazards if each.floor}
        named = dict.fromkeys(name for name, each in self.base.not_now.items() if warned.intersection(each.warned_of))
        endangers = [each for each in told if self.base.causes[each.cause].danger]
        causes = (self.base.causes[each.cause] for each in (*leading, *endangers, *told))
        named |= dict.fromkeys(each for cause in causes for each in cause.remedy.not_now)
        return tuple(self.base.not_now[each].says for each in named)


def ranked_with(reasoner: Reasoner, memory: Mapping[str, Value], fact: str, said: str) -> list[Standing]:
    """Where the causes stand if nothing but the answer to one question came to light."""
    given = {name: value for name, value in memory.items() if value.origin == "given"}
    after, trace = reasoner.reason({**given, fact: read_fact(reasoner.base, fact, said, fact)})
    return standings(reasoner.base, after, trace)


def first_of(ranked: Iterable[Standing]) -> tuple[str, ...]:
    """The causes that come first, alike."""
    left = [each for each in ranked if each.verdict != "ruled out"]
    return tuple(each.finish for each in left if each.total == left[0].total)[:ALIKE]


def _harming(harms: Iterable[Hazard], causes: Collection[str], first: Iterable[Due]) -> tuple[Hazard, ...]:
    """What the work against causes can harm, but for what is said by what comes first."""
    said = {caution for each in first for caution in each.warned_of}
    return tuple(each for each in harms if set(each.finishes).intersection(causes) and each.caution not in said)


def _as_told(value: Value) -> str:
    """A value, with when and by whom it was measured, or from what it follows."""
    return wording("causes.handover.noted", value=value.shown, note=value.note) if value.note else value.shown


_INQUIRIES: WeakKeyDictionary[Reasoner, Inquiry] = WeakKeyDictionary()


def find_causes(reasoner: Reasoner, case: Case, today: date | None = None, advice: Advice | None = None) -> Causes:
    """What went wrong with a floor.

    Args:
        reasoner: the whole rule base made ready: for the stops, and for the finishes that then stand.
        case: the floor.
        today: the date to put on it; the current one if not given.
        advice: on the same floor, if it is there already.
    """
    day = today or date.today()
    return inquiry_of(reasoner).causes(case, advice or conclude(reasoner, case, day), day)


def inquiry_of(reasoner: Reasoner) -> Inquiry:
    """The inquiry for a rule base made ready, the same one each time."""
    if reasoner not in _INQUIRIES:
        _INQUIRIES[reasoner] = Inquiry(reasoner.base)
    return _INQUIRIES[reasoner]


def cause_named(base: RuleBase, name: str) -> str:
    """The id of a cause, given as its id or its name; empty where there is none, or where a finish is called so."""
    wanted = spelled(name)
    if any(wanted in (each.id, spelled(each.name)) for each in base.finishes.values()):
        return ""
    return next((cause for cause, each in base.causes.items() if wanted in (cause, spelled(each.name))), "")
