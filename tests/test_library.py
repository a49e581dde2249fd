"""The library: three lines to an answer, and the same answers as the command line gives."""

from __future__ import annotations

import doctest
import json
import math
import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest

import advisor
from advisor.asking.revision_words import revision_told
from advisor.demo import demo_cases
from advisor.engines.rete import EngineFault
from advisor.errors import BadCase
from advisor.facts.case import Case
from advisor.library import Adviser
from advisor.validation.loading import load_rulebase
from explanations.reading import System

ROOT = Path(__file__).parent.parent
TODAY = date(2026, 11, 27)
SYSTEMS: tuple[System, System] = ("us", "si")


@pytest.fixture(scope="module")
def adviser() -> advisor.Adviser:
    return advisor.load()


def test_the_readme_s_example_runs() -> None:
    """What README shows of the library is what it does."""
    found = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert found.failed == 0
    assert found.attempted >= 3


def test_what_is_public_is_there_and_nothing_else() -> None:
    assert dir(advisor) == advisor.__all__
    assert all(getattr(advisor, name) for name in advisor.__all__)
    with pytest.raises(AttributeError, match="no attribute 'rule_book'"):
        advisor.rule_book  # noqa: B018


def test_importing_it_imports_nothing_more() -> None:
    """So that every verb starts quickly."""
    code = "import sys, advisor; print([name for name in sys.modules if name.startswith('advisor.')])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


@pytest.mark.parametrize("name", demo_cases())
def test_it_says_what_the_command_line_says(adviser: advisor.Adviser, name: str) -> None:
    command = [sys.executable, "-m", "advisor", "advise", name, "--json"]
    told = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    case = adviser.read(demo_cases()[name])
    assert json.loads(adviser.advise(case, date.fromisoformat(told["date"])).model_dump_json()) == told


def test_everything_can_be_asked_of_one_floor(adviser: advisor.Adviser) -> None:
    case = adviser.case({"room": "garage", "vehicles": "cars", "area": "440 ft2", "on_floor": "bare"}, today=TODAY)
    advice = adviser.advise(case, TODAY)
    question = adviser.next_question(case, TODAY)
    assert question is not None
    assert question.fact in {each.fact for each in advice.ask_next}
    revision = adviser.revise(case, {"slab_humidity": "99 % on 2026-11-02"}, TODAY)
    assert revision.before.answer == advice.answer
    assert {each.fact for each in revision.facts} == {"slab_humidity"}
    assert advice.standings[0].name in adviser.why(case)
    assert all(each.answer != advice.answer for each in adviser.turn(case).turns)
    take_off = adviser.take_off(case, today=TODAY)
    assert take_off.extent.area.low == pytest.approx(440 * 0.09290304)


def test_a_bad_fact_is_told_as_on_the_command_line(adviser: advisor.Adviser) -> None:
    with pytest.raises(BadCase, match="slab_humidity"):
        adviser.case({"slab_humidity": "180 %"})


def test_threads_get_the_same_answers(adviser: advisor.Adviser) -> None:
    cases = [adviser.read(path) for path in demo_cases().values()]
    alone = [adviser.advise(case, TODAY).model_dump_json() for case in cases]
    with ThreadPoolExecutor(6) as pool:
        together = list(pool.map(lambda case: adviser.advise(case, TODAY).model_dump_json(), cases * 4))
    assert together == alone * 4


SHOP = """\
rules:
  - id: shop.likes_no_film
    judges: {film: none}
    when: {room: garage}
    then: {points: {look: 5}}
    because: "This shop shows {finish} in its own rooms."
    source: common_practice
"""


def test_threads_feel_neither_another_shop_s_rules_nor_another_reader_s_units(
    adviser: advisor.Adviser, tmp_path: Path
) -> None:
    """Two rule bases and two readers, in threads that change places as often as they can: each reads their own."""
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "own.yaml").write_text(SHOP)
    shop = Adviser(load_rulebase(tmp_path / "shop", proved=False))
    facts = {"room": "garage", "vehicles": "cars", "area": "440 ft2", "slab_humidity": "80 to 85 %"}
    facts |= {"slab_temperature": "8 C", "slab_thickness": "100 mm", "emission_rate": "6 lb"}
    asked = [(which, which.case(facts, today=TODAY), system) for which in (adviser, shop) for system in SYSTEMS]
    alone = [told(*each) for each in asked]
    assert len(set(alone)) == len(asked)
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    try:
        with ThreadPoolExecutor(8) as pool:
            together = list(pool.map(lambda each: told(*each), asked * 2))
    finally:
        sys.setswitchinterval(before)
    assert together == alone * 2


def told(adviser: advisor.Adviser, case: Case, system: System) -> str:
    """What one reader reads of one floor."""
    return f"{adviser.tell(case, TODAY, full=True, system=system)} {adviser.why(case, today=TODAY, system=system)}"


def test_the_same_seed_draws_the_same_floors_and_another_others(adviser: advisor.Adviser) -> None:
    """Only how settled the answer is hangs on the draw, and by little."""
    case = adviser.case({"room": "garage", "vehicles": "cars"}, today=TODAY)
    again, other = Adviser(adviser.base), Adviser(adviser.base, seed=5)
    first = adviser.advise(case, TODAY)
    assert again.advise(case, TODAY) == first
    drawn = other.advise(case, TODAY)
    assert drawn.answer == first.answer
    assert drawn.standings == first.standings
    assert first.certainty is not None
    assert drawn.certainty is not None
    assert drawn.certainty.share != first.certainty.share
    assert drawn.certainty.share == pytest.approx(first.certainty.share, abs=0.06)


def test_an_adviser_in_another_process_says_the_same_and_outlives_an_abort(adviser: advisor.Adviser) -> None:
    case = adviser.case({"active_leak": "yes"}, today=TODAY)
    with adviser.contained() as process:
        with pytest.raises(EngineFault, match="process died"):
            process.ask(abort)
        assert process.ask(Adviser.advise, case, TODAY) == adviser.advise(case, TODAY)
        revision = process.ask(Adviser.revise, case, {"active_leak": "no"}, TODAY)
        assert revision.after.answer == adviser.revise(case, {"active_leak": "no"}, TODAY).after.answer
        with pytest.raises(BadCase, match="no_such_fact"):
            process.ask(Adviser.case, {"no_such_fact": "yes"})


def abort(_: advisor.Adviser) -> None:
    """What the engine does to its process at its worst."""
    os.abort()


def test_why_says_in_its_first_sentence_what_does_not_fit_as_the_advice_does() -> None:
    adviser = advisor.load()
    known = adviser.read(demo_cases()["untested_garage"], TODAY).stated
    case = adviser.case({**{name: each.text for name, each in known.items()}, "budget": "1000 USD"}, today=TODAY)
    advice = adviser.advise(case, TODAY)
    assert advice.fit
    assert "more than the USD 1,000 you named" in advice.opening
    assert " ".join(adviser.why(case, today=TODAY).split()).startswith(advice.opening.rstrip("."))
    revision = adviser.revise(case, {"budget": "90000 USD"}, TODAY)
    assert revision.before.opening == advice.opening
    assert "you named" not in revision.after.opening
    told = list(revision_told(revision))
    assert advice.opening in told[0]
    assert told[1] == f"Now:    {revision.after.opening}"  # the same finish, and it can be paid for now


def test_money_is_told_as_it_was_named_with_what_it_comes_to() -> None:
    """Named in dollars by a reader of euros: never as if euros had been said."""
    adviser = advisor.load()
    known = {name: each.text for name, each in adviser.read(demo_cases()["untested_garage"], TODAY).stated.items()}
    for country, said, told in (
        ("european_union", "2600 USD", r"your 2600 USD \(about EUR \d,\d{3}\) "),
        ("european_union", "2600 EUR", r"your EUR 2,600 "),
        ("united_states", "2600 USD", r"your USD 2,600 "),
        ("united_states", "2600 GBP", r"your 2600 GBP \(about USD \d,\d{3} to \d,\d{3}\) "),
    ):
        case = adviser.case({**known, "country": country, "state": "unknown", "budget": said}, today=TODAY)
        fit = adviser.advise(case, TODAY).fit
        assert fit
        assert re.search(told, fit.says[0]), fit.says


def test_what_costs_as_much_as_was_named_does_not_cost_more() -> None:
    adviser = advisor.load()
    known = {name: each.text for name, each in adviser.read(demo_cases()["untested_garage"], TODAY).stated.items()}
    fit = adviser.advise(adviser.case(known, today=TODAY), TODAY).fit
    assert fit
    least, most = math.floor(fit.cost[0]), math.ceil(fit.cost[1])
    assert least < fit.cost[0]  # told as the same, though it is some cents more
    for named, money in ((least - 1, "short"), (least, "open"), (most - 1, "open"), (most, "enough")):
        found = adviser.advise(adviser.case({**known, "budget": f"{named} USD"}, today=TODAY), TODAY)
        if found.answer.leading == fit.finish:
            assert found.fit
            assert found.fit.money == money
            assert ("you named" in found.opening) == (money == "short")
