"""How settled an answer is: which single answers would turn it now, or the proof that nothing can.

Every open fact is set in turn to each value that rules can tell apart, all at once, and the rest of the case is left
as it is; so each answer told is one that the advice gives when it is stated. Only where none turns the
recommendation is it worth a proof.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.answer.bit_columns import Bits
from advisor.answer.judging import Floors, Judge
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.outlook import QUICKLY_DRAWN
from advisor.asking.outlook_words import percent, recommended, values_told
from advisor.asking.proof import certain
from advisor.asking.sampling import draw, open_facts, unsettled
from advisor.facts.formulas import compute
from advisor.facts.likelihoods import Outcome, has_its_turn
from advisor.model.advice import Advice, Certainty, Turning
from advisor.model.values import Value
from explanations.words import counted, listing, sentence

MOST_STEPS = 12  # of a proof beside an advice; `advisor next` takes longer
OPEN = "Not certain yet. These answers would turn it, each by itself; likeliest first, by what is usual."


def certainty(judge: Judge, memory: Mapping[str, Value], advice: Advice) -> Certainty:
    """What is certain of an advice.

    Args:
        judge: for the rule base.
        memory: the case's working memory.
        advice: for the same case.
    """
    base, answer = judge.base, advice.answer
    now = Recommendation.of(answer.kind, answer.leading)
    undecided = open_facts(judge, memory)
    if turns := _turns(judge, memory, undecided, now):
        return Certainty(state="open", says=OPEN, turns=turns)
    verdict, facts = certain(judge, memory, MOST_STEPS), counted(len(undecided), "open fact")
    others = listing((recommended(base, each) for each in verdict.exceptions if each != now), "or")
    if verdict.recommendation == now:
        tried = counted(verdict.tried, "combination")
        says = f"Certain: whatever the {facts} may turn out to be, it stays so (proved over {tried} of what matters)."
        return Certainty(state="certain", says=says)
    if verdict.recommendation:
        says = sentence(f"open until more is known, but then in any case: {recommended(base, verdict.recommendation)}")
    elif others:
        says = f"No single answer turns it, but several together can make it: {others}."
    else:
        says = f"Not settled: no single answer turns it, and what several of the {facts} do together was not proved."
    return Certainty(state="not settled", says=says)


def _turns(
    judge: Judge, memory: Mapping[str, Value], undecided: Mapping[str, list[Outcome]], now: Recommendation
) -> tuple[Turning, ...]:
    """The single answers that turn the recommendation, those of one fact with the same outcome together."""
    base, shares = judge.base, _shares(judge, memory, undecided)
    found = []
    for fact, by_outcome in _answers_alone(judge, memory, undecided).items():
        for recommendation, outcomes in by_outcome.items():
            if recommendation != now:
                share = round(sum(shares.get((fact, outcome.stretch), 0.0) for outcome in outcomes), 4)
                stretches = [outcome.stretch for outcome in outcomes]
                values = values_told(stretches)
                says = f"{fact.replace('_', ' ')} is {values} ({percent(share)}): {recommended(base, recommendation)}."
                kind, finish = recommendation
                found.append(
                    Turning(fact=fact, values=values, share=share, kind=kind, finish=finish or None, says=says)
                )
    late = {turning.fact for turning in found if not has_its_turn(base, turning.fact, memory)}  # asked after another
    return tuple(sorted(found, key=lambda turning: (turning.fact in late, -turning.share)))


def _answers_alone(
    judge: Judge, memory: Mapping[str, Value], undecided: Mapping[str, list[Outcome]]
) -> dict[str, dict[Recommendation, list[Outcome]]]:
    """What each answer comes to with nothing else new; one floor for each value of each open fact."""
    base = judge.base
    answers = [(fact, outcome) for fact, outcomes in undecided.items() for outcome in outcomes]
    floors = Floors(len(answers), {})
    for name, kind in base.facts.items():
        if kind.of == "floor" and not judge.is_computed(memory, name):
            floors.facts[name] = [(memory[name], floors.all)]
    for fact in floors.facts:
        own = _set_by(judge, memory, fact, answers)
        rest = floors.all & ~sum(have for _, have in own)
        floors.facts[fact] = [*own, *([(memory[fact], rest)] if rest else [])]
    floors.impossible = unsettled(base, floors, undecided)
    found: dict[str, dict[Recommendation, list[Outcome]]] = {}
    for recommendation, some in judge.recommend(floors, weights(base, memory)).items():
        for place, (fact, outcome) in enumerate(answers):
            if some >> place & 1:
                found.setdefault(fact, {}).setdefault(recommendation, []).append(outcome)
    return found


def _set_by(
    judge: Judge, memory: Mapping[str, Value], fact: str, answers: list[tuple[str, Outcome]]
) -> list[tuple[Value, Bits]]:
    """The values that a fact has by the answers to it, or to what it is worked out from where nobody states it."""
    computed = judge.base.facts[fact].computed
    inputs = computed.inputs if computed and not memory[fact].known else ()
    found = []
    for place, (asked, outcome) in enumerate(answers):
        if asked == fact:
            found.append((outcome.value, 1 << place))
        elif asked in inputs:
            found.append((compute(judge.base, fact, {**memory, asked: outcome.value}), 1 << place))
    return found


def _shares(
    judge: Judge, memory: Mapping[str, Value], undecided: Mapping[str, list[Outcome]]
) -> dict[tuple[str, str], float]:
    """How often each outcome is met on floors as the case leaves them possible."""
    floors = draw(judge, memory, undecided, QUICKLY_DRAWN)
    real, total = floors.real, max(floors.real.bit_count(), 1)
    met = {(fact, value): (have & real).bit_count() / total for fact in undecided for value, have in floors.facts[fact]}
    return {
        (fact, outcome.stretch): met.get((fact, outcome.value), 0.0)
        for fact, outcomes in undecided.items()
        for outcome in outcomes
    }
