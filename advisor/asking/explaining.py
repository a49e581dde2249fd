"""Answers to "why": what a case comes to, its graph, what each conclusion rests on, and rules that did not fire."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cached_property

from advisor.answer.picturing import advice_graph
from advisor.answer.variants import variants_of
from advisor.asking.advice import advise
from advisor.asking.bearing_facts import bearing_facts, turning_alone
from advisor.asking.least_facts import Facts, answer_rests_on, rests_on
from advisor.asking.missing import NotFired, missing
from advisor.asking.scanning import Scan
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest, Fault, did_you_mean, nearest
from advisor.facts.case import Case
from advisor.model.advice import Advice
from advisor.model.bearing import FactBearing
from advisor.model.standing import FinishStanding
from advisor.rulebase.rule_values import finishes_called
from explanations.graph import Graph
from explanations.views import given_facts, proof
from explanations.wording import wording


class Explained:
    """One case reasoned about, to be asked about."""

    def __init__(self, reasoner: Reasoner, case: Case, today: date | None = None) -> None:
        self.reasoner, self.case, self.base = reasoner, case, reasoner.base
        self.today = today or date.today()
        self._scan = Scan(variants_of(reasoner), case)
        advice = advise(reasoner, case, self.today)
        self.advice: Advice = advice.model_copy(update={"turns_alone": turning_alone(self._scan)})

    @cached_property
    def graph(self) -> Graph[str]:
        """The whole explanation graph."""
        return advice_graph(self.advice, self.base)

    def facts(self, most: int = 2) -> tuple[FactBearing, ...]:
        """How each fact that some rule asks for bears on the answer, alone or with others, at most so many together."""
        return bearing_facts(self._scan, most)

    def finish(self, name: str) -> str:
        """The id of a finish, given as its id or its name.

        Raises:
            BadRequest: there is none.
        """
        called = finishes_called(self.base, name)
        if len(called) == 1:
            return called[0]
        known = ", ".join(self.base.finishes)
        hint = did_you_mean(called) or nearest(name, self.base.finishes)
        raise BadRequest([Fault("finish", wording("asking.no_finish", name=name), known, hint)])

    def advice_of(self, finish: str) -> FinishStanding:
        """Where a finish stands."""
        return next(standing for standing in self.advice.standings if standing.finish == finish)

    def out_rests_on(self, finish: str) -> Facts:
        """A least set of given facts by which a finish that is ruled out is so."""
        node = f"out:@{finish}"
        return rests_on(self.reasoner, self.case.facts, node, given_facts(proof(self.graph, node)))

    def answer_rests_on(self) -> Facts:
        """A least set of given facts that gives this answer."""
        return answer_rests_on(self.reasoner, self.case.facts)

    def not_fired(self, rule: str, finish: str | None = None) -> Iterator[NotFired]:
        """For each finish (or the one named, or the floor) what a rule lacked; those for which it fired have none.

        Raises:
            BadRequest: there is no such rule.
        """
        if rule not in self.base.rules:
            hint = f"{nearest(rule, self.base.rules)} {wording('asking.all_rules')}".strip()
            raise BadRequest([Fault("rule", wording("asking.no_rule", name=rule), remedy=hint)])
        wanted = self.base.rules[rule]
        memory, trace = self.reasoner.reason(self.case.facts)
        found = frozenset(fact.name for fact in trace.facts if fact.origin == "found")
        if wanted.judges is None:
            yield missing(self.base, wanted, None, memory, found)
            return
        for each in self.base.finishes.values():
            if finish in (None, each.id):
                yield missing(self.base, wanted, each, memory, found)
