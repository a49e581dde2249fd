"""Hazards are told gravest first, and what the floor itself threatens, or a doubt leaves open, stands on top."""

from __future__ import annotations

from datetime import date
from io import StringIO

import pytest
from rich.console import Console

from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case
from advisor.facts.statements import Statement
from advisor.model.advice import Advice
from advisor.model.rules import SEVERITIES
from advisor.pages.advice_report import print_advice
from advisor.validation.loading import read_rulebase
from tests.rule_folders import BASE, sound, write

TODAY = date(2026, 1, 2)
MORE = """\
cautions:
  slip: {severity: caution, step: use, says: It is slippery., source: law}
  fire: {severity: danger, step: any, says: It burns., source: law}
  edge: {severity: danger, step: any, says: It is sharp., source: law}
rules:
  - {id: more.slip, when: {room: garage}, then: {caution: slip}, because: "It is wet.", source: law}
  - {id: more.fumes, judges: every finish, when: {room: garage}, then: {caution: fumes}, because: Reek., source: law}
  - {id: more.fire, judges: every finish, when: {room: garage}, then: {caution: fire}, because: Sparks., source: law}
  - {id: more.edge, judges: {film: open}, then: {caution: edge}, because: "Blades.", source: law}
"""


@pytest.fixture(scope="module")
def reasoner(tmp_path_factory: pytest.TempPathFactory) -> Reasoner:
    text = BASE.replace("[low, high]", "[low, normal, high]").replace(
        "{low: 1, high: 2}", "{low: 1, normal: 2, high: 3}"
    )
    text = text.replace("fumes: {severity: warning,", "fumes: {severity: warning, usual: yes,")
    return Reasoner(
        read_rulebase(write(sound(tmp_path_factory.mktemp("rules")), {"base.yaml": text, "more.yaml": MORE}))
    )


def said(reasoner: Reasoner, **facts: str) -> Advice:
    case = make_case(reasoner.base, {name: Statement(text) for name, text in facts.items()}, TODAY)
    return advise(reasoner, case, TODAY)


def top(advice: Advice) -> str:
    """The printed advice down to where the work and its hazards begin."""
    file = StringIO()
    print_advice(advice, Console(file=file, width=80))
    return file.getvalue().partition("\nWhere the work")[0].partition("\nBefore the work")[0]


def test_the_gravest_comes_first(reasoner: Reasoner) -> None:
    assert SEVERITIES == ("danger", "warning", "caution")
    advice = said(reasoner, room="garage")
    assert {each.caution for each in advice.hazards} == {"slip", "fumes", "fire", "edge"}
    assert [each.severity for each in advice.hazards] == ["danger", "danger", "warning", "caution"]


def test_hazards_of_the_floor_stand_on_top_of_those_of_the_work(reasoner: Reasoner) -> None:
    advice = said(reasoner, room="garage")
    assert {each.caution: each.floor for each in advice.hazards} == {
        "slip": True, "fumes": False, "fire": False, "edge": False
    }  # fmt: skip
    assert "It is slippery." in top(advice)
    assert "It burns." in top(advice)  # a danger that facts of this floor raise
    assert "The fumes are harmful." not in top(advice)


def test_the_hazard_of_a_doubt_counts_as_one_of_the_floor(reasoner: Reasoner) -> None:
    """So thick a floor in a hall is doubted, and set aside; its hazard is named meanwhile, as one that is usual."""
    advice = said(reasoner, room="hall", thickness="300 mm")
    assert advice.set_aside
    (fumes,) = (each for each in advice.hazards if each.caution == "fumes")
    assert (fumes.floor, fumes.reasons) == (True, ())
    assert "fumes" in top(advice)
