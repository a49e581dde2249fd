"""How settled an answer is: the one place that says so, for advice, questions, interview and letter.

An adviser asks how likely it is that what nobody has said turns the answer. So the floors that the case leaves possible
are drawn by the likelihoods (`outlook`); what counts is the share of them whose answer, all known, is another than the
one given now, and of them those on which a professional comes first. The same finish is no other answer, whether or not
a test comes before it now or in the end. Where both shares are below the norms in rules/certainty.yaml, the answer is
settled; where they are once a single fact is known, or where nothing is open but the make of one finish (its top coat,
its grit, how deep it is ground), settled but for one. Certain is what is proved.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from advisor.answer.bit_columns import Bits
from advisor.answer.judging import Floors
from advisor.answer.ranking import Recommendation
from advisor.asking.outlook import Outlook
from advisor.asking.outlook_words import clause, most_often, percent, recommended, values_told
from advisor.asking.proof import certain
from advisor.asking.sampling import unsettled
from advisor.facts.computing import compute
from advisor.facts.likelihoods import Outcome, effort, has_its_turn
from advisor.model.advice import Certainty, Turning
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.wording import label, listed, wording

MOST_STEPS = 12  # of a proof
NOTHING: Mapping[str, Value] = {}
TRIED = 5  # facts of each kind that may be the only one it hangs on


class Chance(NamedTuple):
    """How often the answer is another once all is known, and how often a professional comes first then."""

    another: float
    stop: float

    def is_settled(self, base: RuleBase) -> bool:
        """Whether both are below the norms; a rule base without them calls nothing settled but what is proved."""
        return self.another < _norm(base, "settled_share") and self.stop < _norm(base, "settled_stop_share")


def certainty(look: Outlook, doubted: Mapping[str, Value] = NOTHING) -> Certainty:
    """How settled the answer of a case is.

    Args:
        look: how the case may still turn out.
        doubted: what was stated and set aside; to say the same once more turns nothing.
    """
    base, now = look.judge.base, look.now
    chance, (alone, poor) = _chance(look, {now: look.floors.all}), _answers_alone(look)
    if look.recommended.keys() <= {now} and not any(by_outcome.keys() - {now} for by_outcome in alone.values()):
        verdict = certain(look.judge, look.memory, MOST_STEPS)
        if verdict.recommendation == now:
            says = wording("certainty.certain", open=len(look.undecided), tried=verdict.tried)
            return Certainty(state="certain", says=says, share=0.0)
    for fact, value in doubted.items():
        for to, outcomes in alone.pop(fact, {}).items():
            if news := [each for each in outcomes if each.value.interval or each.value.choice != value.choice]:
                alone.setdefault(fact, {})[to] = news
    share = round(chance.another, 4)
    if chance.is_settled(base):
        stops = tuple(_turning_alone(look, alone, poor, stops_only=True))
        says = " ".join([_said("settled", chance.another), *([wording("certainty.stops")] if stops else [])])
        return Certainty(state="settled", says=says, share=share, turns=stops)
    turns = tuple(_turning_alone(look, alone, poor))
    if one := _but_for_one(look, turns, poor):
        fact, left, answers = one
        says = _said("but_for_one", left.another, fact=label("fact", fact))
        return Certainty(state="but for one", says=says, share=share, fact=fact, turns=answers)
    made = _chance(look, {now: look.floors.all}, _make)
    if now.finish and made.is_settled(base) and (choice := _picks_most(look, turns, poor)):
        fact, answers = choice
        met = {each.finish for each in look.recommended if _make(base, each.finish) == _make(base, now.finish)}
        makes = listed((base.finishes[each].name for each in base.finishes if each in met | {now.finish}), "or")
        says = wording(
            "certainty.but_for_make", fact=label("fact", fact), makes=makes, chance=chance_told(made.another)
        )
        return Certainty(state="but for one", says=says, share=share, fact=fact, turns=answers)
    others = listed((recommended(base, turn.recommendation) for turn in look.turns if turn.recommendation != now), "or")
    told = [_said("open", chance.another, others=listed(most_often(look), "or") or "none")]
    if turns:
        told.append(wording("certainty.turns"))
    elif others:  # none where no floor that was drawn can be
        told.append(wording("certainty.together", others=others))
    return Certainty(state="open", says=" ".join(told), share=share, turns=turns)


def is_settled(look: Outlook) -> bool:
    """Whether the answer of a case is settled or certain, without working out what would turn it where it is not.

    Args:
        look: how the case may still turn out.
    """
    if _chance(look, {look.now: look.floors.all}).is_settled(look.judge.base):
        return True
    return look.recommended.keys() <= {look.now} and certainty(look).settled  # it may be proved


def _norm(base: RuleBase, name: str) -> float:
    return base.norms[name].interval.low / 100 if name in base.norms else 0.0


Named = Callable[[RuleBase, str], str]


def _finish(_: RuleBase, finish: str) -> str:
    return finish


def _make(base: RuleBase, finish: str) -> str:
    """What a finish is one make of; itself where it stands alone."""
    return (base.finishes[finish].make_of or finish) if finish else ""


def _chance(look: Outlook, at_first: dict[Recommendation, Bits], named: Named = _finish) -> Chance:
    """How often floors get another answer in the end than the one that they get at first.

    Of so few floors drawn a share is told as if one more had been met (Laplace's rule of succession).

    Args:
        look: how the case may still turn out.
        at_first: the answers that floors get at first.
        named: by what finishes count as the same.
    """
    another = stop = 0
    for recommendation, some in look.recommended.items():
        same = at_first.get(recommendation, 0)
        if recommendation.finish:
            called = named(look.judge.base, recommendation.finish)
            for each, have in at_first.items():
                same |= have if named(look.judge.base, each.finish) == called else 0
        differ = some & look.floors.real & ~same
        another |= differ
        stop |= differ if recommendation.kind == "professional" else 0
    return Chance(*((each.bit_count() + 1) / (look.real + 2) for each in (another, stop)))


def _but_for_one(
    look: Outlook, turns: tuple[Turning, ...], poor: Poor
) -> tuple[str, Chance, tuple[Turning, ...]] | None:
    """The fact that tells most for its effort, of those with which the answer is settled once it is known.

    Args:
        look: how the case may still turn out.
        turns: the answers that turn it alone.
        poor: the answers of which alone comes one that is the least bad.
    """
    base, chance = look.judge.base, _chance(look, {look.now: look.floors.all})
    best: tuple[float, str, Chance, dict[Recommendation, Bits]] | None = None
    for fact in _likely_ones(look, turns):
        if look.told_with(fact) == {fact} and _at_best(look, fact) >= _norm(base, "settled_share"):
            continue
        at_first = look.known(fact)
        left = _chance(look, at_first)
        worth = (chance.another - left.another) / effort(base, fact).cost
        if left.is_settled(base) and (best is None or worth > best[0]):
            best = worth, fact, left, at_first
    return best and (best[1], best[2], tuple(_turning_by(look, best[1], best[3], poor)))


def _picks_most(look: Outlook, turns: tuple[Turning, ...], poor: Poor) -> tuple[str, tuple[Turning, ...]] | None:
    """The fact that tells most, for its effort, of which make it is in the end."""
    base, now, best = look.judge.base, _chance(look, {look.now: look.floors.all}), None
    for fact in _likely_ones(look, turns):
        at_first = look.known(fact)
        worth = (now.another - _chance(look, at_first).another) / effort(base, fact).cost
        if worth > 0 and (best is None or worth > best[0]):
            best = worth, fact, at_first
    return best and (best[1], tuple(_turning_by(look, best[1], best[2], poor)))


def _likely_ones(look: Outlook, turns: tuple[Turning, ...]) -> list[str]:
    """The facts that may be the only one it hangs on: of those that turn it alone, and of those that settle most."""
    gaining = [fact for fact, settles, _ in sorted(look.gains, key=lambda each: -each[1]) if settles > 0]
    likely = dict.fromkeys([*(turning.fact for turning in turns[:TRIED]), *gaining[:TRIED]])
    return [each for each in likely if has_its_turn(look.judge.base, each, look.memory)]


def _at_best(look: Outlook, fact: str) -> float:
    """The least share of floors that can get another answer once a fact is known: with each value one is given."""
    right = 0
    for _, have in look.floors.facts[fact]:
        counts = Counter[str]()
        for each, some in look.recommended.items():
            counts[each.finish or each.kind] += (some & have).bit_count()
        right += max(counts.values(), default=0)
    return 1 - right / max(look.real, 1)


def _turning_by(look: Outlook, fact: str, at_first: dict[Recommendation, Bits], poor: Poor) -> Iterator[Turning]:
    """What each likely answer to a fact leads to, most often, once what belongs to it is known too."""
    leading: dict[Recommendation, list[tuple[Outcome, float]]] = {}
    spread = {id(value): have for value, have in look.floors.facts[fact]}
    for outcome in look.undecided[fact]:
        have = spread.get(id(outcome.value), 0) & look.floors.real
        if have:
            usual = max(at_first, key=lambda each: (at_first[each] & have).bit_count())
            leading.setdefault(usual, []).append((outcome, have.bit_count() / look.real))
    found = [_turning(look, fact, each, some, poor) for each, some in leading.items()]
    yield from sorted(found, key=lambda turning: -turning.share)


def _turning_alone(look: Outlook, alone: Alone, poor: Poor, stops_only: bool = False) -> Iterator[Turning]:
    """The likely answers that turn the recommendation with nothing else new; what is asked after another fact, last.

    Args:
        look: how the case may still turn out.
        alone: what each answer comes to.
        poor: the answers of which alone comes one that is the least bad.
        stops_only: those that call for a professional first, however seldom they are met.
    """
    base, total = look.judge.base, max(look.real, 1)
    met = {
        (fact, id(v)): (have & look.floors.real).bit_count() for fact in alone for v, have in look.floors.facts[fact]
    }
    found = []
    for fact, by_outcome in alone.items():
        for recommendation, outcomes in by_outcome.items():
            some = [(each, met.get((fact, id(each.value)), 0) / total) for each in outcomes]
            share = sum(share for _, share in some)
            told = share > 0 if stops_only else share >= _norm(base, "told_share")
            if told and recommendation != look.now and (recommendation.kind == "professional" or not stops_only):
                found.append(_turning(look, fact, recommendation, some, poor))
    late = {turning.fact for turning in found if not has_its_turn(base, turning.fact, look.memory)}
    yield from sorted(found, key=lambda turning: (turning.fact in late, -turning.share))


def _turning(look: Outlook, fact: str, to: Recommendation, some: list[tuple[Outcome, float]], poor: Poor) -> Turning:
    base, values = look.judge.base, values_told(outcome.stretch for outcome, _ in some)
    share = sum(share for _, share in some)
    bad = sum(share for outcome, share in some if (fact, id(outcome.value), to.finish) in poor)
    leads_to = recommended(base, to, poor=bad > share / 2)
    if len(some) == len(look.undecided[fact]):
        says = wording("certainty.any_answer", fact=label("fact", fact), recommended=leads_to)
    else:
        said = clause(base.facts[fact], fact, values, [outcome.value.choice for outcome, _ in some])
        says = wording("certainty.one_answer", clause=said, share=percent(share), recommended=leads_to)
    return Turning(fact=fact, values=values, share=round(share, 4), kind=to.kind, finish=to.finish or None, says=says)


Alone = dict[str, dict[Recommendation, list[Outcome]]]
Poor = set[tuple[str, int, str]]  # fact, id of its value, and the finish against which more speaks than for it


def _answers_alone(look: Outlook) -> tuple[Alone, Poor]:
    """What each answer comes to with nothing else new, and where that is the least bad of what is left.

    One floor for each value of each open fact.
    """
    judge, memory, base = look.judge, look.memory, look.judge.base
    answers = [(fact, outcome) for fact, outcomes in look.undecided.items() for outcome in outcomes]
    places: dict[str, list[int]] = {}
    for place, (fact, _) in enumerate(answers):
        places.setdefault(fact, []).append(place)
    floors = Floors(len(answers), {})
    for name, kind in base.facts.items():
        if kind.of == "floor" and not judge.is_computed(memory, name):
            own = _set_by(look, name, answers, places)
            rest = floors.all & ~sum(have for _, have in own)
            floors.facts[name] = [*own, *([(memory[name], rest)] if rest else [])]
    floors.impossible = unsettled(base, floors, look.undecided)
    found: Alone = {}
    least_bad: Poor = set()
    recommended_on, poor = judge.judge(floors, look.weights)
    for recommendation, some in recommended_on.items():
        for place, (fact, outcome) in enumerate(answers):
            if some >> place & 1:
                found.setdefault(fact, {}).setdefault(recommendation, []).append(outcome)
                if poor >> place & 1:
                    least_bad.add((fact, id(outcome.value), recommendation.finish))
    return found, least_bad


def _set_by(
    look: Outlook, fact: str, answers: list[tuple[str, Outcome]], places: dict[str, list[int]]
) -> list[tuple[Value, Bits]]:
    """The values that a fact has by the answers to it, or to what it is worked out from where nobody states it.

    Args:
        look: how the case may still turn out.
        fact: of the floor.
        answers: to all open facts.
        places: of the answers to each fact among them.
    """
    base, memory = look.judge.base, look.memory
    computed = base.facts[fact].computed
    inputs = computed.inputs if computed and not memory[fact].known else ()
    found = []
    for place in sorted(place for each in {fact, *inputs} for place in places.get(each, ())):
        asked, outcome = answers[place]
        value = outcome.value if asked == fact else compute(base, fact, {**memory, asked: outcome.value})
        found.append((value, 1 << place))
    return found


def _said(key: str, share: float, **more: str) -> str:
    return wording(f"certainty.{key}", chance=chance_told(share), **more)


def chance_told(share: float) -> str:
    """A share of floors as people say it.

    >>> chance_told(0.004), chance_told(0.03), chance_told(0.5), chance_told(0.72)
    ('fewer than 1 floor in 100', 'about 1 floor in 33', 'about half of the floors', 'about 7 of 10 floors')
    """
    if share < 0.01:
        return wording("certainty.chance.rare")
    if share < 0.4:
        return wording("certainty.chance.some", n=round(1 / share))
    if share < 0.6:
        return wording("certainty.chance.half")
    return (
        wording("certainty.chance.most", n=round(share * 10))
        if share < 0.95
        else wording("certainty.chance.nearly_all")
    )
