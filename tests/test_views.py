"""All views of one answer agree: what is said of a floor in one place is not said otherwise in another.

The long form, on 1,000 floors, is `python -m tests.benchmarks.views`.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import pytest

from advisor.asking.certainty import certainty
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case, read_case
from advisor.facts.statements import Statement
from advisor.rulebase.documents import read_document
from advisor.validation.loading import load_rulebase
from advisor.work.takeoff import begin
from tests.answer.test_judging import BASE, REASONER
from tests.draws import draws
from tests.random_shops import shops
from tests.views import Views
from tests.views_of_work import disagreements

TODAY = date(2026, 11, 27)
SHOP = """\
rules:
  - id: shop.likes_no_film
    judges: {film: none}
    when: {wanted_look: not natural, setting: own_home}
    then: {points: {look: 5}}
    because: "This shop shows {finish} in its own rooms."
    source: common_practice
  - id: shop.wants_to_see_it
    judges: every finish
    when: {hide_flaws: yes}
    then: {first: [shop_visit]}
    because: "Flaws must be seen before they are hidden."
    source: common_practice
needs:
  shop_visit: {kind: choose, decides: yes, says: Let the shop see the floor., source: common_practice}
"""


def agree(views: Views, seed: int, count: int) -> list[str]:
    """What differs on so many random floors, each in every view."""
    cases = list(views.floors(Random(seed), count))
    found = [f"{case.floor}, {each}" for case in cases for each in views.disagreements(case)]
    return [*found, *views.surveyed(cases)]


@pytest.mark.parametrize("seed", range(3))
def test_all_views_agree_on_random_floors(seed: int) -> None:
    assert agree(Views(REASONER, TODAY), seed, draws(1)) == []


def test_what_comes_first_has_one_order_where_dry_weather_is_waited_for() -> None:
    """A test and a wait whose end nobody knows: in the letter as in the advice and the plan."""
    document: Any = read_document(Path(__file__).parent / "scenarios" / "adviser.yaml").content
    outdoors = [each for each in document["scenarios"] if each["given"].get("exposure") == "open_air"][:3]
    waited = 0
    for each in outdoors:
        given = {name: Statement(text) for name, text in each["given"].items()}
        study = begin(REASONER, make_case(BASE, given, TODAY, each["name"]), TODAY)
        assert list(disagreements(REASONER, study)) == []
        kinds = [some.kind for some in study.advice.leading.first] if study.advice.leading else []
        waited += "wait" in kinds and "test" in kinds[: kinds.index("wait")]
    assert waited


def test_all_views_agree_where_what_is_said_hardly_goes_together() -> None:
    views, some = Views(REASONER, TODAY), Random(40)
    doubtful = (case for case in views.floors(some, 1000) if case.set_aside)
    cases = [next(doubtful) for _ in range(draws(2))]
    assert [each for case in cases for each in views.disagreements(case)] == []
    assert views.surveyed(cases) == []


def test_all_views_agree_under_the_rules_of_a_shop(tmp_path: Path) -> None:
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "own.yaml").write_text(SHOP)
    views = Views(Reasoner(load_rulebase(tmp_path / "shop", proved=False)), TODAY)
    assert agree(views, 50, draws(2)) == []


@pytest.mark.parametrize("seed", [60, 61])
def test_all_views_agree_under_rules_made_by_chance(tmp_path: Path, seed: int) -> None:
    views = Views(Reasoner(next(shops(tmp_path, Random(seed)))), TODAY)
    assert agree(views, seed, 2) == []


@pytest.mark.parametrize("name", demo_cases())
def test_all_views_agree_on_the_demo_cases(name: str) -> None:
    assert Views(REASONER, TODAY).disagreements(read_case(demo_cases()[name], BASE, TODAY)) == []


def test_a_view_that_says_otherwise_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The test itself is tried: a letter that waits for nothing, and an advice that calls all settled, are named."""
    case = read_case(demo_cases()["untested_garage"], BASE, TODAY)
    monkeypatch.setattr("advisor.pages.letter.please_wait", lambda _: "Buy it.")
    assert any("pages: the letter waits otherwise" in each for each in Views(REASONER, TODAY).disagreements(case))
    settled = {"state": "settled", "fact": "", "says": "Nothing more need be known."}
    monkeypatch.setattr(
        "advisor.asking.advice.certainty", lambda look, doubted: certainty(look, doubted).model_copy(update=settled)
    )
    assert any("next: how settled" in each for each in Views(REASONER, TODAY).disagreements(case))
