"""Which of the given facts a conclusion rests on, found by taking facts away and reasoning again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from advisor.answer.advising import answer_alone
from advisor.engines.reasoning import Reasoner
from advisor.model.program import unbound
from advisor.model.values import Value

KINDS = {"fact": "finding", "out": "rule_out"}  # of a conclusion, by the first word of its node where that differs

Facts = dict[str, Value]


def rests_on(reasoner: Reasoner, given: Mapping[str, Value], conclusion: str, start: Iterable[str]) -> Facts:
    """A least set of given facts from which a conclusion follows, everything else left unsaid.

    Take any one of them away, and it no longer follows. A fact that merely does not stand against the conclusion is
    not among them. There may be other such sets, where there are other grounds.

    Args:
        reasoner: a rule base made ready.
        given: the facts that the case states.
        conclusion: a node of the explanation graph.
        start: the facts of one proof of it.
    """
    kind, about = conclusion.split(":", 1)
    wanted = KINDS.get(kind, kind), *unbound(about)

    def follows(facts: Facts) -> bool:
        conclusions = (each for rule in reasoner.fired(facts) for each in rule.conclusions)
        return any((each.kind, each.name, each.finish) == wanted for each in conclusions)

    return _least({name: given[name] for name in start}, follows)


def answer_rests_on(reasoner: Reasoner, given: Mapping[str, Value]) -> Facts:
    """A least set of given facts that gives the same kind of answer and the same leading finish."""
    now = answer_alone(reasoner, given)[0]

    def same(facts: Facts) -> bool:
        answer = answer_alone(reasoner, facts)[0]
        return (answer.kind, answer.leading) == (now.kind, now.leading)

    return _least({name: value for name, value in given.items() if value.known}, same)


def _least(facts: Facts, follows: Callable[[Facts], bool]) -> Facts:
    """Facts taken away one by one as long as it still follows, until none can go.

    Less can bring more, for a rule may ask that a fact is unknown; so all are tried again until a round takes nothing.
    """
    while True:
        before = len(facts)
        for name in list(facts):
            fewer = {other: value for other, value in facts.items() if other != name}
            if follows(fewer):
                facts = fewer
        if len(facts) == before:
            return facts
