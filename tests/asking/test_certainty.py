"""What an advice says of its own certainty: each answer told turns it, no other does, and certain is certain."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import date
from math import sqrt
from pathlib import Path
from random import Random

import pytest

from advisor.answer.advising import answer_alone
from advisor.answer.ranking import Recommendation
from advisor.asking.advice import advise_fully
from advisor.asking.certainty import certainty, is_settled
from advisor.asking.outlook import Outlook
from advisor.asking.proof import certain
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Certainty, Turning
from advisor.model.quantities import read_quantity, show
from advisor.physics.bounds import Interval
from tests.answer.test_judging import BASE, JUDGE, REASONER
from tests.asking.test_proof import part_of_a_floor, two_facts_together
from tests.asking_trials import complete, trials
from tests.draws import draws

TODAY = date(2026, 11, 25)
SETTLED, TOLD = (BASE.norms[name].interval.low / 100 for name in ("settled_share", "told_share"))


def look_at(case: Case) -> Outlook:
    return Outlook(JUDGE, working_memory(BASE, case.facts))


def certainty_of(case: Case) -> Certainty:
    advice = advise_fully(REASONER, case, TODAY)
    assert advice.certainty is not None
    return advice.certainty


def comes_to(case: Case, fact: str, said: str) -> Recommendation | None:
    """What the advice comes to once an answer is stated; None where the rest of the case does not allow it."""
    try:
        stated = make_case(BASE, {**case.stated, fact: Statement(said)}, TODAY)
    except BadCase:
        return None
    return gist(stated)


def least_bad(case: Case, turning: Turning, said: str) -> bool | None:
    """Whether the finish told is the least bad once an answer is stated; None where that brings another."""
    try:
        stated = make_case(BASE, {**case.stated, turning.fact: Statement(said)}, TODAY)
    except BadCase:
        return None
    answer, ranked = answer_alone(REASONER, stated.facts)
    return ranked[0].total < 0 if answer.finish == turning.finish else None


def gist(case: Case) -> Recommendation:
    """What is recommended for a case, by the engine."""
    answer, _ = answer_alone(REASONER, case.facts)
    return Recommendation.of(answer.kind, answer.leading)


def said_in(fact: str, values: str) -> list[str]:
    """One answer for each value told, of a stretch of a number its middle."""
    kind, found = BASE.facts[fact], []
    for each in re.split(r", | or ", values):
        if kind.type != "number":
            found.append(each)
            continue
        span = read_quantity(each.removeprefix("exactly "), kind.unit, kind.plausible)
        middle = (span.low + span.high) / 2
        found.append(show(Interval(middle, middle), kind.unit, 9))
    return found


def held_to_the_advice(case: Case, rng: Random) -> Certainty:
    """What is told of single answers is what the advice gives once they are stated; what turns it unsaid is rare."""
    look, found = look_at(case), certainty_of(case)
    now, memory = gist(case), look.memory
    assert look.now == now
    for turning in found.turns[:4]:
        if turning.kind == "finish" and BASE.facts[turning.fact].type != "number":
            told_so = ["least bad" in turning.says] * len(said_in(turning.fact, turning.values))
            stated = [least_bad(case, turning, said) for said in said_in(turning.fact, turning.values)]
            assert None in stated or len({*stated}) > 1 or stated == told_so
    if found.state == "but for one":
        assert sum(turning.share for turning in found.turns) == pytest.approx(1.0, abs=0.01)
        assert {turning.fact for turning in found.turns} == {found.fact}
        return found
    for turning in found.turns[:8]:
        assert found.state == "open" or (found.state, turning.kind) == ("settled", "professional")
        for said in said_in(turning.fact, turning.values):
            assert comes_to(case, turning.fact, said) == (turning.kind, turning.finish or "") != now
    told = {turning.fact for turning in found.turns}
    others = [(f, o) for f, possible in look.undecided.items() for o in possible if f not in told]
    for fact, outcome in rng.sample(others, min(12, len(others))):
        alone = comes_to(case, fact, outcome.value.choice or outcome.value.shown)
        have = next((some for value, some in look.floors.facts[fact] if value is outcome.value), 0)
        rare = (have & look.floors.real).bit_count() < TOLD * look.real
        assert alone in (now, None) or (found.state in ("open", "settled") and (rare or found.state == "settled"))
    order = [(not has_its_turn(BASE, turning.fact, memory), -turning.share) for turning in found.turns]
    assert order == sorted(order)
    return found


@pytest.mark.parametrize("name", demo_cases())
def test_on_the_demo_cases_each_answer_told_turns_the_advice_and_no_other(name: str) -> None:
    found = held_to_the_advice(read_case(demo_cases()[name], BASE, TODAY), Random(1))
    assert found.state != "certain"


@pytest.mark.parametrize("seed", range(draws(5)))
def test_on_random_floors_each_answer_told_turns_the_advice_and_no_other(seed: int) -> None:
    rng = Random(500 + seed)
    facts = part_of_a_floor(rng, rng.choice([2, 8, 25, 60]))
    case = make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in facts.items()}, TODAY)
    held_to_the_advice(case, rng)


def test_settled_is_found_sooner_and_is_the_same() -> None:
    found = []
    for seed in range(draws(10)):
        facts = part_of_a_floor(rng := Random(700 + seed), rng.choice([1, 3, 8, 25, 60, 200]))
        look = look_at(make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in facts.items()}, TODAY))
        found.append(is_settled(look))
        assert found[-1] == certainty(look).settled
    assert {True, False} == set(found)


def test_certain_is_proved() -> None:
    states = []
    for seed in range(draws(16)):
        rng = Random(seed)
        facts = part_of_a_floor(rng, rng.choice([1, 3, 8, 25, 60, 200]))
        case = make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in facts.items()}, TODAY)
        found = certainty_of(case)
        states.append(found.state)
        if found.state == "certain":
            verdict = certain(JUDGE, working_memory(BASE, case.facts))
            assert verdict.recommendation == gist(case)
    assert states.count("certain") > 2
    assert states.count("open") > 2


def test_the_share_told_is_that_of_complete_floors_whose_answer_is_another() -> None:
    """Floors as the likelihoods make them, a third of each hidden: as many turn out otherwise as was told (Brier)."""
    some = trials(JUDGE, Random(21), draws(60), usual=True, hidden=0.35)
    told, came, settled = 0.0, 0, []
    for trial in some:
        look = Outlook(JUDGE, working_memory(BASE, trial.known), 1024)
        found, in_the_end = certainty(look), complete(JUDGE, trial)
        another = in_the_end != look.now and not (look.now.finish and in_the_end.finish == look.now.finish)
        told, came = told + found.share, came + another
        settled += [another] if found.settled else []
        if found.state == "certain":
            assert in_the_end == look.now
    spread = 3 * sqrt(len(some) * 0.25)
    assert abs(told - came) < spread
    assert len(settled) > 5
    assert sum(settled) <= SETTLED * len(settled) + 3 * sqrt(SETTLED * len(settled))


def test_one_fact_that_it_hangs_on_is_named_with_what_each_answer_does() -> None:
    """Once all but one fact that turns it is known, it is settled but for that one, whichever it is."""
    facts = {}
    for trial in trials(JUDGE, Random(8), 40, usual=True, hidden=0.0):
        look = Outlook(JUDGE, working_memory(BASE, trial.floor), 256)
        for fact in ("slab_humidity", "on_floor", "wanted_look", "can_ventilate"):
            if fact not in trial.floor:
                continue
            known = {name: value for name, value in trial.floor.items() if name != fact}
            without = Outlook(JUDGE, working_memory(BASE, known), 1024)
            found = certainty(without)
            assert found.state in ("certain", "settled", "but for one")
            if found.state == "but for one":
                assert found.fact == fact
                assert len({(each.kind, each.finish) for each in found.turns}) == len(found.turns) > 0
                assert found.share >= SETTLED or any(each.kind == "professional" for each in found.turns)
                facts[fact] = look.now
    assert len(facts) >= 2


def test_that_what_is_left_otherwise_is_the_least_bad_is_said_beforehand() -> None:
    """With the reading on which the garage's film does not stand, more speaks against what is left than for it."""
    case = read_case(demo_cases()["untested_garage"], BASE, TODAY)
    advice = advise_fully(REASONER, case, TODAY)
    assert advice.certainty is not None
    (wet,) = (each for each in advice.certainty.turns if each.finish == advice.answer.fallback)
    assert wet.fact == "slab_humidity"
    stated = make_case(BASE, {**case.stated, wet.fact: Statement("88 %")}, TODAY)
    assert "least bad" in answer_alone(REASONER, stated.facts)[0].sentence
    assert "least bad" in wet.says
    assert "least bad" in advice.answer.sentence
    dry = next(each for each in advice.certainty.turns if each.finish == advice.answer.leading)
    assert "least bad" not in dry.says


def test_what_is_settled_asks_nothing_and_what_hangs_on_one_fact_asks_for_that() -> None:
    asked = {"certain": set[int](), "settled": set(), "but for one": set(), "open": set()}
    for trial in trials(JUDGE, Random(5), 40, usual=True, hidden=0.1):
        case = make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in trial.known.items()}, TODAY)
        advice = advise_fully(REASONER, case, TODAY)
        assert advice.certainty is not None
        asked[advice.certainty.state].add(len(advice.ask_next))
        assert {each.fact for each in advice.ask_next} <= {advice.certainty.fact} or advice.certainty.state == "open"
    assert asked["certain"] | asked["settled"] <= {0}
    assert asked["but for one"] <= {0, 1}


def test_what_only_two_answers_together_turn_is_not_settled(tmp_path: Path) -> None:
    """Oil leads; only a thick slab in a garage gives another finish more points."""
    base = two_facts_together(tmp_path)
    reasoner = Reasoner(base)

    def found(facts: dict[str, str]) -> Certainty:
        case = make_case(base, {name: Statement(text) for name, text in facts.items()}, TODAY)
        advice = advise_fully(reasoner, case, TODAY)
        assert advice.certainty is not None
        return advice.certainty

    together = found({"care": "high"})
    assert (together.state, together.turns) == ("open", ())
    assert f"several together can make it {base.finishes['paint'].name}" in together.says
    (turning,) = found({"care": "high", "room": "garage"}).turns
    assert (turning.fact, turning.finish) == ("thickness", "paint")
    assert found({"care": "high", "room": "kitchen"}).state == "certain"


def test_a_range_turns_the_answer_by_its_parts() -> None:
    garage = read_case(demo_cases()["untested_garage"], BASE, TODAY)
    case = make_case(BASE, {**garage.stated, "slab_humidity": Statement("80 to 90 %")}, TODAY)
    humidity = [turning for turning in certainty_of(case).turns if turning.fact == "slab_humidity"]
    assert humidity
    for turning in humidity:
        for said in said_in("slab_humidity", turning.values):
            assert 80 <= float(said.split()[0]) <= 90
            assert comes_to(case, "slab_humidity", said) == (turning.kind, turning.finish or "")


def run(*words: str) -> str:
    command = [sys.executable, "-m", "advisor", *words]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_the_command_says_it_in_words_and_as_data_by_the_published_schema() -> None:
    text, data = run("advise", "untested_garage", "--full"), json.loads(run("advise", "untested_garage", "--json"))
    section = text[text.index("Is it settled?") : text.index("What to find out next")]
    assert len([line for line in section.splitlines() if line.strip().startswith("- If ")]) > 2
    read = Advice.model_validate(data).certainty
    assert read is not None
    first = read.turns[0]
    assert first.says in " ".join(section.split())
    schema = json.loads(run("schema", "advice"))
    part = schema["$defs"]["Certainty"]
    assert set(part["properties"]) == set(data["certainty"])
    assert set(data["certainty"]["turns"][0]) == set(schema["$defs"]["Turning"]["properties"])
    assert part["properties"]["state"]["enum"] == ["certain", "settled", "but for one", "open"]
    assert {"type": "null"} in schema["properties"]["certainty"]["anyOf"]


def test_a_stop_is_told_as_certain() -> None:
    stated = {**read_case(demo_cases()["untested_garage"], BASE, TODAY).stated, "active_leak": Statement("yes")}
    found = certainty_of(make_case(BASE, stated, TODAY))
    assert found.state == "certain"
    assert "proved" in found.says


def test_to_say_once_more_what_was_set_aside_turns_nothing() -> None:
    said = {"bloom_returns": "no", "building_year": "2002", "topping_kind": "lightweight",
            "plastic_sheet_test": "damp", "slab_humidity": "75 %"}  # fmt: skip
    case = make_case(BASE, {name: Statement(text) for name, text in said.items()}, TODAY)
    assert case.doubted.keys() == {"slab_humidity", "plastic_sheet_test"}
    look = Outlook(JUDGE, working_memory(BASE, case.facts))
    turns = {each.fact for each in certainty(look, case.doubted).turns}
    assert "plastic_sheet_test" in {each.fact for each in certainty(look).turns} - turns
    assert "slab_humidity" in turns  # measured again it may read higher
