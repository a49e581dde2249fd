"""The floor of a lesson as far as it is known, and what comes to light of it step by step."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from advisor.answer.advising import answer_alone
from advisor.answer.judging import judge_of
from advisor.answer.ranking import Recommendation
from advisor.answer.variants import variants_of
from advisor.asking.advice import advise
from advisor.asking.bearing_facts import bearing_facts
from advisor.asking.outlook import WORTH_ASKING, Outlook
from advisor.asking.scanning import Scan
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice
from advisor.model.advice import Question as AskNext
from advisor.model.bearing import FactBearing
from advisor.model.values import Value
from explanations.trace import Firing
from explanations.wording import label, wording
from explanations.words import sentence

OPENING = 4  # facts that are told at the start
AT_ONCE = 3  # facts that come to light together, at most, until something follows from them
WEIGHTY = ("rule_out", "hold", "refer", "first", "finding", "points")


@dataclass(frozen=True)
class KnownSoFar:
    """What is known of a floor, and what its case still hides.

    Attributes:
        whole: the case with all its facts.
        known: the facts known, in the order in which they came to light.
        hidden: the others that the case states.
        not_known: what was asked for and the customer cannot tell.
        told: what came to light last, in sentences.
    """

    reasoner: Reasoner
    whole: Case
    today: date
    known: Mapping[str, Value]
    hidden: Mapping[str, Value]
    not_known: frozenset[str] = frozenset()
    told: tuple[str, ...] = ()

    @classmethod
    def begun(cls, reasoner: Reasoner, case: Case, today: date) -> KnownSoFar:
        """The first few facts of a case, in the vocabulary's order, the rest hidden."""
        given = [name for name in reasoner.base.facts if name in case.facts and case.facts[name].known]
        known, hidden = ({name: case.facts[name] for name in some} for some in (given[:OPENING], given[OPENING:]))
        return cls(reasoner, case, today, known, hidden, told=(wording("lessons.opening", facts=_listed(known)),))

    @cached_property
    def case(self) -> Case:
        """The floor as a case that states what is known."""
        return self._stating(*self.known)

    def _stating(self, *names: str) -> Case:
        said = {name: self.whole.statement(name) for name in names}
        return make_case(self.reasoner.base, said, self.today, self.whole.floor, self.whole.note)

    @cached_property
    def advice(self) -> Advice:
        """What is advised as far as the floor is known."""
        return advise(self.reasoner, self.case, self.today)

    @property
    def out(self) -> set[str]:
        """The finishes ruled out."""
        return {standing.finish for standing in self.advice.standings if standing.verdict == "ruled out"}

    @property
    def asked(self) -> list[AskNext]:
        """What the rule base would ask for, less what the customer has said not to know."""
        return [question for question in self.advice.ask_next if question.fact not in self.not_known]

    @cached_property
    def outlook(self) -> Outlook:
        """What the floor may come to: by it a question is weighed, as `next` weighs it."""
        return Outlook(judge_of(self.reasoner), working_memory(self.reasoner.base, self.case.facts))

    @cached_property
    def worth(self) -> Mapping[str, float]:
        """What each open fact is worth asking for: bits that it settles, for its effort; what stops all, most.

        What the answer waits for only because nobody has said it is worth as much as the best.
        """
        look = self.outlook
        found = {
            fact: math.inf if fact in look.stopping else settles / cost
            for fact, settles, cost in look.ranked()
            if (settles / cost >= WORTH_ASKING or fact in look.pressing)
            and fact not in self.not_known
            and has_its_turn(self.reasoner.base, fact, look.memory)
        }
        best = max(found.values(), default=0.0)
        return {fact: best if fact in look.pressing else worth for fact, worth in found.items()}

    def turned_by(self, fact: str) -> bool:
        """Whether what the customer would say to a question turns the answer at once."""
        if fact not in self.hidden:
            return False
        then = answer_alone(self.reasoner, self._stating(*self.known, fact).facts)[0]
        now = self.advice.answer
        return Recommendation.of(then.kind, then.leading) != Recommendation.of(now.kind, now.leading)

    @cached_property
    def bearing(self) -> Mapping[str, FactBearing]:
        """How each fact that some rule asks for bears on the answer, as far as the floor is known."""
        return {each.fact: each for each in bearing_facts(Scan(variants_of(self.reasoner), self.case))}

    def after_asking(self, wanted: str) -> KnownSoFar:
        """The floor with the fact asked for, if the customer knows it, and others until something follows."""
        order = [wanted] if wanted in self.hidden else []
        order += [question.fact for question in self.asked if question.fact in self.hidden]
        order += list(self.hidden)
        fresh: list[str] = []
        after = self
        for name in dict.fromkeys(order):
            fresh.append(name)
            if len(fresh) < AT_ONCE:
                continue
            after = self._with(fresh)
            if len(fresh) >= 2 * AT_ONCE or after.out - self.out or after.new_firings(self):
                break
        else:
            after = self._with(fresh)
        told = wording("lessons.turns_out", facts=_listed({name: self.hidden[name] for name in fresh}))
        if not wanted or wanted in after.known:
            return replace(after, told=(told,))
        lacking = sentence(wording("lessons.not_known", fact=label("fact", wanted)))
        return replace(after, told=(lacking, told), not_known=self.not_known | {wanted})

    def whole_floor(self) -> KnownSoFar:
        """The floor with all that was still hidden."""
        told = (wording("lessons.the_rest", facts=_listed(self.hidden)),) if self.hidden else ()
        return replace(self._with(list(self.hidden)), told=told)

    def _with(self, names: list[str]) -> KnownSoFar:
        known = {**self.known, **{name: self.hidden[name] for name in names}}
        return replace(self, known=known, hidden={n: value for n, value in self.hidden.items() if n not in known})

    def new_firings(self, before: KnownSoFar) -> list[Firing]:
        """The firings that were not there before and conclude something new, weightiest first."""
        fired = before.advice.trace.firings
        there = {(firing.rule, firing.finish) for firing in fired}
        had = {(c.kind, c.name, c.finish) for firing in fired for c in firing.conclusions}
        found = [
            firing
            for firing in self.advice.trace.firings
            if firing.antecedents
            and (firing.rule, firing.finish) not in there
            and any(
                c.kind == "points" or (c.kind, c.name, c.finish) not in had
                for c in firing.conclusions
                if c.kind in WEIGHTY
            )
        ]
        return sorted(found, key=lambda firing: min(_weight(c.kind) for c in firing.conclusions))


def _listed(facts: Mapping[str, Value]) -> str:
    told = (wording("lessons.fact", fact=label("fact", name), value=value.shown) for name, value in facts.items())
    return "; ".join(told)


def _weight(kind: str) -> int:
    return WEIGHTY.index(kind) if kind in WEIGHTY else len(WEIGHTY)
