"""Where one question holds the floor: what each answer to it would lead to, stated as a case would state it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from datetime import date

from advisor.answer.advising import answer_alone
from advisor.answer.judging import judge_of
from advisor.answer.kind_words import asking
from advisor.answer.ranking import KINDS, Recommendation
from advisor.asking.outlook_words import reaching, values_told
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case
from advisor.facts.likelihoods import outcomes
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Answer, Branch
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.wording import wording
from explanations.words import sentence


def what_if(reasoner: Reasoner, case: Case, memory: Mapping[str, Value], advice: Advice, today: date) -> Answer:
    """The advice's answer, with what the answers to each question that holds the floor would lead to, best first.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        memory: its working memory.
        advice: for it.
        today: the date against which tests age.
    """
    if advice.answer.kind != "ask first":
        return advice.answer
    questions = {hold.need: hold.says for hold in advice.holds}
    asks = tuple(
        each.model_copy(update={"branches": tuple(_branches(reasoner, case, memory, each.fact, questions, today))})
        for each in advice.answer.asks
    )
    return advice.answer.model_copy(update={"asks": asks, "sentence": asking(questions, asks)})


def _branches(
    reasoner: Reasoner,
    case: Case,
    memory: Mapping[str, Value],
    fact: str,
    questions: Collection[str],
    today: date,
) -> Iterator[Branch]:
    """Values with the same answer are told together; one that the rest of the case does not allow is left out."""
    alike: dict[tuple[Recommendation, str], list[str]] = {}
    for outcome in outcomes(reasoner.base, fact, memory[fact], judge_of(reasoner).limits.get(fact, ())):
        stated = {**case.stated, fact: Statement(outcome.value.typed)}
        try:
            other = make_case(reasoner.base, stated, today, case.floor, case.note)
        except BadCase:
            continue
        answer, _ = answer_alone(reasoner, {**case.facts, **other.facts}, like=memory)
        key = Recommendation.of(answer.kind, answer.leading), _told(reasoner.base, answer, questions)
        alike.setdefault(key, []).append(outcome.stretch)
    for (kind, finish), says in sorted(alike, key=lambda each: KINDS.index(each[0].kind)):
        values, kind_of_fact = values_told(alike[Recommendation(kind, finish), says]), reasoner.base.facts[fact]
        if kind_of_fact.type == "number":
            values = reaching(kind_of_fact, values)
        yield Branch(values=values, kind=kind, finish=finish or None, sentence=says)


def _told(base: RuleBase, answer: Answer, questions: Collection[str]) -> str:
    """An answer as it is told behind a question: without the questions that are asked beside that one."""
    if answer.kind != "ask first":
        return answer.sentence
    more = {each.need: sentence(base.needs[each.need].says) for each in answer.asks if each.need not in questions}
    return asking(more) if more else wording("answer.other_question", n=len(questions) - 1)
