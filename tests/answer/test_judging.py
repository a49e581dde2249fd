"""Many floors judged as bits: held to the engine, floor by floor, and to the ranking of the standings."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from random import Random

import pytest

from advisor.answer.advising import answer_alone
from advisor.answer.judging import Floors, Judge
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.sampling import draw, open_facts
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import read_case
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.values import Value
from advisor.validation.loading import load_rulebase
from tests.draws import draws
from tests.floors import limits_of, random_case

BASE = load_rulebase()
REASONER = Reasoner(BASE)
JUDGE = Judge(BASE, REASONER.program)


def engine(facts: dict[str, Value]) -> Recommendation:
    """The engine's recommendation."""
    answer, _ = answer_alone(REASONER, facts)
    finish = answer.leading if answer.kind in ("finish", "test first") else None
    return Recommendation(answer.kind, finish or "")


def alone(facts: dict[str, Value]) -> Recommendation:
    """The judge's recommendation for one floor."""
    memory = working_memory(BASE, facts)
    (found,) = JUDGE.recommend(Floors(1, {name: [(value, 1)] for name, value in memory.items()}), weights(BASE, memory))
    return found


@pytest.mark.parametrize("seed", range(draws(25)))
def test_a_floor_with_holes_and_ranges_is_judged_as_the_engine_does(seed: int) -> None:
    facts = random_case(BASE, Random(seed), bounds=limits_of(REASONER.program))
    assert alone(facts) == engine(facts)


@pytest.mark.parametrize("seed", range(draws(25)))
def test_that_the_best_is_the_least_bad_is_judged_as_the_engine_does(seed: int) -> None:
    facts = random_case(BASE, Random(seed), bounds=limits_of(REASONER.program))
    memory = working_memory(BASE, facts)
    floor = Floors(1, {name: [(value, 1)] for name, value in memory.items()})
    _, poor = JUDGE.judge(floor, weights(BASE, memory))
    left = [each for each in answer_alone(REASONER, facts)[1] if each.verdict != "ruled out"]
    assert bool(poor) == bool(left and left[0].total < 0)


@pytest.mark.parametrize("seed", range(draws(3)))
def test_drawn_floors_are_judged_as_the_engine_does_and_do_not_contradict_themselves(seed: int) -> None:
    rng = Random(seed)
    given = random_case(BASE, rng, known=rng.choice([0.0, 0.3, 0.7]))
    memory = working_memory(BASE, given)
    undecided = open_facts(JUDGE, memory)
    floors = draw(JUDGE, memory, undecided, 256)
    recommended = JUDGE.recommend(floors, weights(BASE, memory))
    assert sum(some.bit_count() for some in recommended.values()) == floors.real.bit_count()
    places = [place for place in range(floors.size) if floors.real >> place & 1]
    for place in rng.sample(places, min(8, len(places))):
        one = floors.one(place)
        stated = {name: value for name, value in one.items() if value.known and name in BASE.facts}
        complete = {name: v for name, v in stated.items() if BASE.facts[name].ask and v.origin == "given"}
        assert not contradicted(BASE, complete)
        assert all(complete[name] == value for name, value in given.items() if name not in undecided and value.known)
        (judged,) = (each for each, some in recommended.items() if some >> place & 1)
        assert judged == engine(complete)


def test_floors_come_out_as_the_priors_say() -> None:
    memory = working_memory(BASE, {})
    floors = draw(JUDGE, memory, open_facts(JUDGE, memory), 8192)
    real = floors.real
    shares = {v.choice: (some & real).bit_count() / real.bit_count() for v, some in floors.facts["pets"]}
    likely = BASE.priors["pets"].likely
    for value, share in shares.items():
        assert share == pytest.approx(likely[value] / sum(likely.values()), abs=0.03)


def test_a_fact_without_meaning_stays_unknown() -> None:
    """The permeance of a sheet that is not there cannot be known, whatever is drawn."""
    memory = working_memory(BASE, {})
    floors = draw(JUDGE, memory, open_facts(JUDGE, memory), 1024)
    absent = next(some for value, some in floors.facts["vapour_retarder"] if value.choice == "absent")
    known = sum(some for value, some in floors.facts["retarder_permeance"] if value.known)
    assert absent
    assert known
    assert not absent & known


def test_threads_share_what_a_judge_keeps(monkeypatch: pytest.MonkeyPatch) -> None:
    """What it keeps is forgotten at every call here, and threads change places as often as they can: they got a
    KeyError, or another floor's value."""
    monkeypatch.setattr("advisor.answer.judging.MOST_KEPT", -1)
    judge = Judge(BASE, REASONER.program)
    floors = [read_case(path, BASE).facts for path in demo_cases().values()]

    def found(facts: dict[str, Value]) -> object:
        memory = working_memory(BASE, facts)
        return judge.recommend(draw(judge, memory, open_facts(judge, memory), 64), weights(BASE, memory))

    one_by_one, before = [found(facts) for facts in floors], sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(6) as pool:
            assert list(pool.map(found, floors * 4)) == one_by_one * 4
    finally:
        sys.setswitchinterval(before)
