"""What is called certain holds: on floors completed at random, at the limits themselves, by the engine."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from random import Random

import pytest

from advisor.answer.judging import Judge
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.outlook import Outlook
from advisor.asking.proof import Verdict, certain
from advisor.asking.relevance import Relevance, domains_of
from advisor.asking.sampling import draw, open_facts
from advisor.facts.case import read_fact
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from advisor.validation.loading import read_rulebase
from tests.answer.test_judging import BASE, JUDGE, REASONER, alone, engine
from tests.draws import draws
from tests.floors import limits_of, random_case
from tests.rule_folders import BASE as BASE_TEXT
from tests.rule_folders import OIL, PAINT, write

LIMITS = limits_of(REASONER.program)


def part_of_a_floor(rng: Random, hidden: int) -> dict[str, Value]:
    """A complete floor drawn from the priors, with so many facts hidden."""
    memory = working_memory(BASE, {})
    undecided = open_facts(JUDGE, memory)
    floors = draw(JUDGE, memory, undecided, 256)
    floor = floors.one(rng.choice([place for place in range(floors.size) if floors.real >> place & 1]))
    known = [name for name in undecided if floor[name].known]
    hide = rng.sample(known, min(hidden, len(known)))
    return {name: floor[name] for name in known if name not in hide}


def completed(facts: Mapping[str, Value], rng: Random) -> dict[str, Value] | None:
    """The floor with every open fact at some value, likely or not; None where that contradicts itself."""
    rest = random_case(BASE, rng, known=1.0, bounds=LIMITS)
    points = {
        name: value
        for name, value in rest.items()
        if (value.interval is None or value.interval.low == value.interval.high) and not BASE.facts[name].assume
    }
    whole = {**points, **facts}
    return None if contradicted(BASE, whole) else whole


@pytest.mark.parametrize("seed", range(draws(16)))
def test_what_is_certain_holds_on_every_completion_tried(seed: int) -> None:
    rng = Random(seed)
    facts = part_of_a_floor(rng, rng.choice([1, 2, 4, 8, 16]))
    verdict = certain(JUDGE, working_memory(BASE, facts))
    if verdict.recommendation is None:
        return
    tried = 0
    for _ in range(40):
        if whole := completed(facts, rng):
            tried += 1
            assert alone(whole) == verdict.recommendation
    whole = completed(facts, rng)
    assert whole is None or engine(whole) == verdict.recommendation


def test_the_floors_above_are_often_certain_and_not_always_the_same() -> None:
    """So that the test above is about something."""
    found: list[Recommendation | None] = []
    for seed in range(draws(16)):
        rng = Random(seed)
        facts = part_of_a_floor(rng, rng.choice([1, 2, 4, 8, 16]))
        found.append(certain(JUDGE, working_memory(BASE, facts)).recommendation)
    assert sum(each is not None for each in found) >= 4
    assert len({each.kind for each in found if each}) >= 2


@pytest.mark.parametrize("seed", range(draws(12)))
def test_no_finish_that_leads_on_a_floor_is_taken_out_of_the_running(seed: int) -> None:
    rng = Random(200 + seed)
    memory = working_memory(BASE, part_of_a_floor(rng, rng.choice([10, 25, 50])))
    part = Relevance(JUDGE, domains_of(JUDGE, memory), weights(BASE, memory))
    for turn in Outlook(JUDGE, memory, 1024).turns:
        assert turn.recommendation.finish in part.alive | {""}
        assert not part.surely_stops or turn.recommendation.kind == "professional"


@pytest.mark.parametrize("seed", range(draws(8)))
def test_a_disproof_shows_two_real_floors(seed: int) -> None:
    rng = Random(100 + seed)
    facts = part_of_a_floor(rng, 12)
    verdict = certain(JUDGE, working_memory(BASE, facts))
    for recommendation, floor in verdict.exceptions.items():
        assert facts.items() <= floor.items()
        assert engine(dict(floor)) == recommendation
    assert len(verdict.exceptions) != 1


def test_a_referral_that_stops_is_certain_from_one_fact() -> None:
    verdict = certain(JUDGE, working_memory(BASE, {"water_pressure": _yes()}))
    assert verdict.recommendation == Recommendation("professional")


def test_nothing_is_certain_of_an_unknown_floor() -> None:
    verdict = certain(JUDGE, working_memory(BASE, {}))
    assert verdict.recommendation is None


def _yes() -> Value:
    return read_fact(BASE, "water_pressure", "yes", "test")


SMALL_RULES = """\
rules:
  - id: cost.oil_is_cheap
    judges: {film: open}
    then: {points: {cost: 2}}
    because: "{finish} is cheap."
    source: handbook
  - id: cost.paint_in_a_thick_garage
    judges: {film: dense}
    when: {room: garage, thickness: above limit.thick}
    then: {points: {cost: 5}}
    because: "A thick garage."
    source: handbook
"""


def two_facts_together(folder: Path) -> RuleBase:
    """Oil leads on most floors; only a thick slab in a garage gives another finish more points."""
    small = BASE_TEXT[: BASE_TEXT.index("rules:")].replace("low: 1, high: 2", "low: 1, normal: 2, high: 4")
    small = small.replace("values: [low, high]", "values: [low, normal, high]")
    finishes = {"paint.yaml": PAINT, "oil.yaml": OIL}
    return read_rulebase(write(folder, {"base.yaml": small, "rules.yaml": SMALL_RULES, **finishes}))


def test_points_that_hang_on_two_facts_together_are_not_forgotten(tmp_path: Path) -> None:
    base = two_facts_together(tmp_path)
    judge = Judge(base, ground(base))

    def verdict(facts: dict[str, str]) -> Verdict:
        given = {name: read_fact(base, name, text, "test") for name, text in facts.items()}
        return certain(judge, working_memory(base, given))

    open_floor = verdict({"care": "high"})
    assert open_floor.recommendation is None
    assert {each.finish for each in open_floor.exceptions} == {"oil", "paint"}
    assert verdict({"care": "high", "room": "kitchen"}).recommendation == Recommendation("finish", "oil")
    assert verdict({"care": "high", "room": "garage", "thickness": "5 in"}).recommendation == Recommendation(
        "finish", "paint"
    )
    assert verdict({"care": "high", "room": "garage", "thickness": "3 to 5 in"}).recommendation is None
