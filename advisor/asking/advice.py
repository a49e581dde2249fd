"""The advice in full: the answer, what to ask next, and how certain it is."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from advisor.answer.advising import conclude
from advisor.answer.judging import judge_of
from advisor.answer.ranking import standings
from advisor.asking.certainty import certainty
from advisor.asking.open_questions import ask_next
from advisor.asking.outlook import Outlook
from advisor.asking.went_wrong import went_wrong
from advisor.asking.what_if import what_if
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice, Certainty, Question
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.trace import Trace


def advise(
    reasoner: Reasoner, case: Case, today: date | None = None, like: Mapping[str, Value] | None = None
) -> Advice:
    """Reason about a case and put the whole answer together, but for its certainty.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        today: the date to put on the answer; the current one if not given.
        like: its working memory, or that of a floor that differs little; it saves working out what is the same.
    """
    memory = working_memory(reasoner.base, case.facts, like)
    advice = conclude(reasoner, case, today, memory)
    answer = what_if(reasoner, case, memory, advice, today or date.today())
    return advice.model_copy(update={"answer": answer, "ask_next": _questions(reasoner, memory, advice)})


def with_certainty(advice: Advice, certainty: Certainty) -> Advice:
    """The advice with how settled it is; what to ask next is then what it is open for.

    Args:
        advice: as `advise` gives it.
        certainty: of the same case.
    """
    asked = advice.ask_next
    if certainty.settled:
        asked = ()
    elif certainty.fact:
        asked = tuple(each for each in asked if each.fact == certainty.fact)
    return advice.model_copy(update={"certainty": certainty, "ask_next": asked})


def advise_fully(reasoner: Reasoner, case: Case, today: date | None = None) -> Advice:
    """The whole answer, and how settled it is."""
    memory = working_memory(reasoner.base, case.facts)
    look = Outlook(judge_of(reasoner), memory)
    advice = with_certainty(advise(reasoner, case, today, memory), certainty(look, case.doubted))
    return advice.model_copy(update={"went_wrong": went_wrong(reasoner, case, advice, today or date.today())})


def _questions(reasoner: Reasoner, memory: Mapping[str, Value], advice: Advice) -> tuple[Question, ...]:
    base, trace = reasoner.base, advice.trace
    found = {fact.name for fact in trace.facts if fact.origin == "found"}
    waiting = ask_next(judge_of(reasoner), memory, found, standings(base, memory, trace))
    if advice.stops:  # nobody measures on a floor that nobody may touch, but for what the stop itself waits for
        stop_rules = {reason.rule for stop in advice.stops for reason in stop.reasons}
        waited_for = _rests_on(trace, {name for f in trace.firings if f.rule in stop_rules for name in f.antecedents})
        waiting = {
            fact: rules for fact, rules in waiting.items() if fact in waited_for or base.facts[fact].change != "test"
        }
    return tuple(_question(base, fact, rules) for fact, rules in waiting.items())


def _rests_on(trace: Trace, names: set[str]) -> set[str]:
    """These facts and findings, and by way of the findings all that they rest on."""
    rests = set(names)
    while True:
        more = {
            name
            for firing in trace.firings
            if any(each.kind == "finding" and each.name in rests for each in firing.conclusions)
            for name in firing.antecedents
        }
        if more <= rests:
            return rests
        rests |= more


def _question(base: RuleBase, fact: str, rules: tuple[str, ...]) -> Question:
    kind = base.facts[fact]
    return Question(fact=fact, ask=kind.ask or "", find_out=kind.find_out, why=kind.why, rules=rules)
