"""What `advisor next` says: is the answer certain, what may it come to, what to ask."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from advisor.asking.answer_words import effects_told
from advisor.asking.interview import Interview
from advisor.asking.outlook import Outlook
from advisor.asking.outlook_words import percent, turns_told
from advisor.facts.likelihoods import effort
from advisor.model.advice import Certainty
from advisor.model.quantities import show_text
from explanations.wording import label, listed, wording
from explanations.words import sentence

MOST_TURNS = 4  # answers told that turn it
MOST_LEFT = 3  # facts named that would still settle something


def outlook_told(interview: Interview, most: int) -> Iterator[str]:
    """Whether the answer is certain, what it may come to, and the questions worth asking; indented by two spaces."""
    base, look = interview.base, interview.outlook
    for aside in interview.case.set_aside:
        yield sentence(wording("asking.unknown", says=aside.says))
        yield sentence(wording("asking.decides", test=aside.test))
    advice = interview.advice()
    yield from settled_told(advice.opening, interview.outlook, interview.certainty)
    if interview.certainty.settled:
        yield wording("certainty.nothing_to_ask")
        return
    questions = list(islice(interview.questions(), most))
    if not questions:
        yield stop_told(interview)
    elif advice.stops:
        yield wording("asking.next.stopped")
    for place, question in enumerate(questions, start=1):
        kind = base.facts[question.fact]
        yield ""
        yield f"{place}. {kind.ask}"
        means = effort(base, question.fact).means
        cost = f"{question.cost:g}"
        if question.settles > 0:
            part = percent(question.settles / look.uncertainty)
            yield wording("asking.next.settles", part=part, cost=cost, means=means)
        else:  # no floor drawn tells what it settles; it is asked since the answer rests on its being unknown
            yield wording("asking.next.waits", cost=cost, means=means)
        yield wording("asking.next.how", why=kind.why, how=kind.find_out)
        value = next((show_text(each.said) for each in question.branches), wording("asking.next.value"))
        yield wording("asking.next.say", fact=question.fact, value=value)
        yield from (f"  - {line}" for line in effects_told(base, look, interview.effects(question)))


def settled_told(answer: str, look: Outlook, certainty: Certainty) -> Iterator[str]:
    """What is advised now, how settled it is, and what it may come to; indented by two spaces.

    Args:
        answer: in its first sentence, as the advice has it.
        look: how the case may still turn out.
        certainty: how settled it is.
    """
    base = look.judge.base
    yield wording("certainty.now", answer=answer)
    yield certainty.says
    yield from (f"  - {turning.says}" for turning in certainty.turns[:MOST_TURNS])
    if not certainty.settled and look.turns:
        yield wording("certainty.may_come_to")
        yield from (f"  {line}" for line in turns_told(base, look.turns))


def stop_told(interview: Interview) -> str:
    """Why nothing more is asked although the recommendation is not certain."""
    base, look, declined = interview.base, interview.outlook, interview.declined
    gaining = [fact for fact, settles, _ in look.ranked() if settles > 0]
    if unknown := list(islice((fact for fact in gaining if fact in declined and look.witness(fact)), MOST_LEFT)):
        return wording("asking.next.unknown", facts=listed((label("fact", each) for each in unknown), "or"))
    left = next((fact for fact in gaining if look.witness(fact)), None)
    if left is None:
        return wording("asking.next.enough")
    return wording("asking.next.enough_but", fact=label("fact", left), means=effort(base, left).means)
