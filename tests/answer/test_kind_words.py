"""The kind of an answer is said alike in every view: what is to be settled is not called a test."""

from __future__ import annotations

import re
from datetime import date, datetime
from io import StringIO
from typing import Any

import pytest
from rich.console import Console

from advisor.answer.advising import conclude
from advisor.answer.kind_words import heading, in_short, sheet_words
from advisor.answer.picturing import advice_graph
from advisor.answer.ranking import KINDS
from advisor.asking.interview import Interview
from advisor.asking.next_words import outlook_told
from advisor.demo import demo_cases
from advisor.facts.case import Case, read_case, read_fact
from advisor.model.advice import Answer
from advisor.model.standing import BySheet, SheetNumber
from advisor.pages.advice_report import print_advice
from advisor.pages.letter import letter_page
from advisor.pages.lists import cost_page, materials_page
from advisor.pages.plan_page import plan_page
from advisor.pages.text import print_page
from advisor.work.takeoff import begin
from explanations.telling import Level, tell
from tests.answer.test_judging import BASE, JUDGE, REASONER
from tests.scenario_files import shelf

TODAY = date(2026, 11, 25)
CALLED_A_TEST = re.compile(r"test first|test before|result allows|test allows|a test first", re.I)
LEVELS: tuple[Level, ...] = ("sentence", "paragraph", "full")


def views(case: Case, finish: str) -> dict[str, str]:
    """What each view says of a floor, as plain text."""
    study = begin(REASONER, case, TODAY)
    graph = advice_graph(study.advice, BASE)
    interview = Interview(REASONER, JUDGE, TODAY, case)
    found = {f"why, {level}": tell(graph, level) for level in LEVELS}
    found["next"] = "\n".join(outlook_told(interview, 2))
    interview.close()
    pages = {
        "materials": materials_page(study, finish),
        "cost": cost_page(study, finish, 0.03),
        "plan": plan_page(study, finish, datetime(2026, 12, 1)),
        "letter": letter_page(study, 0.03),
    }
    for name, page in pages.items():
        file = StringIO()
        print_page(page, Console(file=file, width=80))
        found[name] = file.getvalue()
    file = StringIO()
    print_advice(study.advice, Console(file=file, width=80))
    return {
        **{name: " ".join(text.split()) for name, text in found.items()},
        "advise": " ".join(file.getvalue().split()),
    }


def flat(**facts: str) -> Case:
    """A rented flat; what is not said of it is as on the shelf of sound, dry floors."""
    on = ("united_states", "sound_slab", "no_water", "dry_slab", "no_hazards", "quiet_use", "handy_owner", "fine_day")
    given = {"setting": "rented_home", "room": "living_area", "wanted_look": "solid_colour", "area": "40 m2"}
    return shelf().case(BASE, on, {**given, **facts}, "rented flat (invented)")


def test_a_landlords_consent_is_settled_not_tested() -> None:
    case = flat()
    answer = begin(REASONER, case, TODAY).advice.answer
    assert (answer.kind, answer.waits_for) == ("test first", ("choose",))
    assert answer.leading is not None
    told = views(case, answer.leading)
    assert {name for name, text in told.items() if CALLED_A_TEST.search(text)} == set()
    assert "No recommendation yet: one thing must be settled first" in told["advise"]
    assert answer.sentence.startswith("Something must be settled first. If that allows it, ")
    assert told["why, sentence"].startswith("Settle the open point before you choose ")
    assert "Settle the open points before you buy anything" in told["materials"]
    assert "Please settle the open points before you buy." in told["letter"]


def test_a_test_is_called_a_test() -> None:
    case = Case("kitchen", "", {n: read_fact(BASE, n, t, "") for n, t in {"room": "kitchen", "area": "40 m2"}.items()})
    answer = begin(REASONER, case, TODAY).advice.answer
    assert (answer.kind, "test" in answer.waits_for) == ("test first", True)
    assert answer.leading is not None
    told = views(case, answer.leading)
    assert "No recommendation yet: test first" in told["advise"]
    assert answer.sentence.startswith("Test first. If the result allows, ")
    assert told["why, sentence"].startswith("Test before you choose ")
    assert "Test before you buy anything" in told["materials"]
    assert "Please test before you buy." in told["letter"]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_its_words(kind: str) -> None:
    none: dict[str, Any] = dict.fromkeys(("finish", "runner_up", "fallback"))
    said = {"kind": kind, "sentence": "So it is.", "waits_for": ("choose", "wait"), "leading": "x", "tied": ()}
    answer = Answer(**{**said, **none})
    assert heading(answer)
    assert in_short(answer, "epoxy")
    assert heading(answer, poor=True).startswith("The least bad") == (kind == "finish")
    assert ("2 things must be settled" in heading(answer)) == (kind == "test first")


def test_a_makers_number_is_told_beside_the_default_and_once_where_it_is_the_same() -> None:
    numbers = [SheetNumber(means="the wait", given=given, default="12 h") for given in ("10 h", "12 h", "14 h")]
    less, same, more = sheet_words(BySheet(product="Film", like="film", numbers=tuple(numbers)))
    assert "10 h" in less
    assert "12 h" in less
    assert "14 h" in more
    assert "12 h" in more
    assert same.count("12 h") == 1


def test_what_is_fallen_back_on_waits_for_no_test_itself() -> None:
    """Where the test may rule the leading finish out, the best of those that wait for nothing is named, be it third."""
    advice = conclude(REASONER, read_case(demo_cases()["untested_garage"], BASE, TODAY), TODAY)
    waits = {each.finish: any(need.decides for need in each.first) for each in advice.standings}
    left = [each.finish for each in advice.standings if each.verdict != "ruled out"]
    assert advice.answer.kind == "test first"
    assert waits[left[1]]  # so that the second is none to fall back on
    assert advice.answer.fallback == next(finish for finish in left if not waits[finish])
