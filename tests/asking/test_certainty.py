"""What an advice says of its own certainty: each answer told turns it, no other does, and certain is certain."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import date
from pathlib import Path
from random import Random

import pytest

from advisor.answer.judging import Judge
from advisor.answer.ranking import Recommendation
from advisor.asking.advice import advise, with_certainty
from advisor.asking.proof import certain
from advisor.asking.sampling import open_facts
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Certainty
from advisor.model.quantities import read_quantity, show
from advisor.physics.bounds import Interval
from tests.answer.test_judging import BASE, JUDGE, REASONER
from tests.asking.test_proof import part_of_a_floor, two_facts_together

TODAY = date(2026, 11, 25)


def certainty_of(case: Case) -> Certainty:
    advice = with_certainty(advise(REASONER, case, TODAY), JUDGE, working_memory(BASE, case.facts))
    assert advice.certainty is not None
    return advice.certainty


def comes_to(case: Case, fact: str, said: str) -> Recommendation | None:
    """What the advice comes to once an answer is stated; None where the rest of the case does not allow it."""
    try:
        stated = make_case(BASE, {**case.stated, fact: Statement(said)}, TODAY)
    except BadCase:
        return None
    return gist(advise(REASONER, stated, TODAY))


def gist(advice: Advice) -> Recommendation:
    kind, leading = advice.answer.kind, advice.answer.leading
    return Recommendation(kind, (leading or "") if kind in ("finish", "test first") else "")


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
    found, now = certainty_of(case), gist(advise(REASONER, case, TODAY))
    told = set()
    for turning in found.turns[:8]:
        for said in said_in(turning.fact, turning.values):
            assert comes_to(case, turning.fact, said) == (turning.kind, turning.finish or "") != now
    told = {turning.fact for turning in found.turns}
    memory = working_memory(BASE, case.facts)
    others = [(f, o) for f, possible in open_facts(JUDGE, memory).items() for o in possible if f not in told]
    for fact, outcome in rng.sample(others, min(12, len(others))):
        assert comes_to(case, fact, outcome.value.choice or outcome.value.shown) in (now, None)
    assert (found.state == "open") == bool(found.turns)
    order = [(not has_its_turn(BASE, turning.fact, memory), -turning.share) for turning in found.turns]
    assert order == sorted(order)
    return found


@pytest.mark.parametrize("name", demo_cases())
def test_on_the_demo_cases_each_answer_told_turns_the_advice_and_no_other(name: str) -> None:
    found = held_to_the_advice(read_case(demo_cases()[name], BASE, TODAY), Random(1))
    assert found.state == "open"


@pytest.mark.parametrize("seed", range(15))
def test_on_random_floors_each_answer_told_turns_the_advice_and_no_other(seed: int) -> None:
    rng = Random(500 + seed)
    facts = part_of_a_floor(rng, rng.choice([2, 8, 25, 60]))
    case = make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in facts.items()}, TODAY)
    held_to_the_advice(case, rng)


def test_certain_is_proved() -> None:
    states = []
    for seed in range(40):
        rng = Random(seed)
        facts = part_of_a_floor(rng, rng.choice([1, 3, 8, 25, 60, 200]))
        case = make_case(BASE, {n: Statement(v.choice or v.shown) for n, v in facts.items()}, TODAY)
        found = certainty_of(case)
        states.append(found.state)
        if found.state == "certain":
            verdict = certain(JUDGE, working_memory(BASE, case.facts))
            assert verdict.recommendation == gist(advise(REASONER, case, TODAY))
    assert states.count("certain") > 5
    assert states.count("open") > 5


def test_what_only_two_answers_together_turn_is_not_settled(tmp_path: Path) -> None:
    """Oil leads; only a thick slab in a garage gives another finish more points."""
    base = two_facts_together(tmp_path)
    reasoner = Reasoner(base)

    def found(facts: dict[str, str]) -> Certainty:
        case = make_case(base, {name: Statement(text) for name, text in facts.items()}, TODAY)
        memory = working_memory(base, case.facts)
        advice = with_certainty(advise(reasoner, case, TODAY), Judge(base, reasoner.program), memory)
        assert advice.certainty is not None
        return advice.certainty

    together = found({"care": "high"})
    assert (together.state, together.turns) == ("not settled", ())
    assert f"several together can make it: {base.finishes['paint'].name}" in together.says
    (turning,) = found({"care": "high", "room": "garage"}).turns
    assert (turning.fact, turning.finish) == ("thickness", "paint")
    assert found({"care": "high", "room": "kitchen"}).state == "certain"


def test_a_range_turns_the_answer_by_its_parts() -> None:
    garage = read_case(demo_cases()["untested_garage"], BASE, TODAY)
    case = make_case(BASE, {**garage.stated, "slab_humidity": Statement("70 to 80 %")}, TODAY)
    humidity = [turning for turning in certainty_of(case).turns if turning.fact == "slab_humidity"]
    assert humidity
    for turning in humidity:
        for said in said_in("slab_humidity", turning.values):
            assert 70 <= float(said.split()[0]) <= 80
            assert comes_to(case, "slab_humidity", said) == (turning.kind, turning.finish or "")


def run(*words: str) -> str:
    command = [sys.executable, "-m", "advisor", *words]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_the_command_says_it_in_words_and_as_data_by_the_published_schema() -> None:
    text, data = run("advise", "untested_garage"), json.loads(run("advise", "untested_garage", "--json"))
    section = text[text.index("Is it certain?") : text.index("What to find out next")]
    assert len([line for line in section.splitlines() if line.strip().startswith("- If ")]) == 4
    read = Advice.model_validate(data).certainty
    assert read is not None
    first = read.turns[0]
    assert f"If {first.fact.replace('_', ' ')} is {first.values}" in " ".join(section.split())
    schema = json.loads(run("schema", "advice"))
    part = schema["$defs"]["Certainty"]
    assert set(part["required"]) == set(part["properties"])
    assert set(part["properties"]) == set(data["certainty"])
    assert set(data["certainty"]["turns"][0]) == set(schema["$defs"]["Turning"]["properties"])
    assert part["properties"]["state"]["enum"] == ["certain", "open", "not settled"]
    assert {"type": "null"} in schema["properties"]["certainty"]["anyOf"]


def test_a_stop_is_told_as_certain() -> None:
    stated = {**read_case(demo_cases()["untested_garage"], BASE, TODAY).stated, "active_leak": Statement("yes")}
    found = certainty_of(make_case(BASE, stated, TODAY))
    assert found.state == "certain"
    assert "proved" in found.says
