"""Revising an answer: the difference is the difference, told and drawn, and bad input changes nothing."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path
from random import Random

import pytest

from advisor.asking.advice import advise
from advisor.asking.revision import Revision, revise
from advisor.asking.revision_record import revision_record
from advisor.asking.revision_words import draw_revision, revision_told
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.statements import Statement
from tests.answer.test_judging import BASE, REASONER
from tests.draws import draws
from tests.floors import random_case

TODAY = date(2026, 11, 25)
GARAGE = {"slab_position": "on_ground", "on_floor": "bare", "slab_age": "over 20 years", "cracks": "hairline"}


def case_of(facts: dict[str, str]) -> Case:
    return make_case(BASE, {name: Statement(text) for name, text in facts.items()}, TODAY, "garage")


def out(revision: Revision, which: str) -> set[str]:
    advice = revision.before if which == "before" else revision.after
    return {standing.finish for standing in advice.standings if standing.verdict == "ruled out"}


def text_of(revision: Revision) -> str:
    return "\n".join(revision_told(revision))


def test_a_wet_test_result_fells_what_it_fells_and_a_dry_one_brings_it_back() -> None:
    wet = revise(REASONER, case_of(GARAGE), ["slab_humidity=97 % on 2026-11-20 by testing firm"], TODAY)
    fell = {each.finish for each in wet.which("fell")}
    assert fell == out(wet, "after") - out(wet, "before") != set()
    for each in wet.which("fell"):
        assert any("97 %" in reason.because for reason in each.why)
    assert "Falls" in text_of(wet)
    dry = revise(REASONER, wet.case, ["slab_humidity=60 % on 2026-11-24 by testing firm"], TODAY)
    assert {each.finish for each in dry.which("came back")} == fell
    assert "Comes back" in text_of(dry)
    assert "Falls" not in text_of(dry)
    assert [(each.fact, each.was, each.now) for each in dry.facts] == [("slab_humidity", "97 %", "60 %")]


@pytest.mark.parametrize("seed", range(draws(5)))
def test_every_finish_is_in_one_of_the_four_groups_and_both_answers_are_those_of_the_cases(seed: int) -> None:
    rng = Random(seed)
    before, after = (random_case(BASE, rng, known=0.5) for _ in range(2))
    words = {name: value.choice for name, value in before.items() if value.choice}
    said = [f"{name}={value.choice}" for name, value in after.items() if value.choice]
    for most in range(6, -1, -1):  # fewer where the two floors contradict each other; none surely do not
        try:
            revision = revise(REASONER, case_of(words), said[:most], TODAY)
            break
        except BadCase:
            continue
    was, now = out(revision, "before"), out(revision, "after")
    everything = set(BASE.finishes)
    expected = {"fell": now - was, "came back": was - now, "stands": everything - was - now, "stays out": was & now}
    for change, finishes in expected.items():
        assert {each.finish for each in revision.which(change)} == finishes  # type: ignore[arg-type]
    assert revision.after == advise(REASONER, revision.case, TODAY)
    rules = [{f.rule for f in advice.trace.firings if not f.finish} for advice in (revision.before, revision.after)]
    assert {f.rule for f in revision.no_longer} == rules[0] - rules[1]
    assert {f.rule for f in revision.new} == rules[1] - rules[0]


def test_unknown_withdraws_a_fact() -> None:
    case = case_of({**GARAGE, "active_leak": "yes"})
    revision = revise(REASONER, case, ["active_leak=unknown"], TODAY)
    assert revision.before.answer.kind == "professional"
    assert revision.after.answer.kind != "professional"
    assert revision.after.trace == advise(REASONER, case_of({**GARAGE, "active_leak": "unknown"}), TODAY).trace


def test_nothing_new_is_told_as_the_same() -> None:
    revision = revise(REASONER, case_of(GARAGE), ["on_floor=bare"], TODAY)
    assert not revision.facts
    assert "the same" in text_of(revision)
    for section in ("Falls", "Comes back", "Believed now", "No longer believed"):
        assert section not in text_of(revision)


def test_a_result_that_contradicts_another_rests_on_neither() -> None:
    case = case_of({**GARAGE, "plastic_sheet_test": "dry"})
    revision = revise(REASONER, case, ["slab_humidity=96 %"], TODAY)
    (aside,) = revision.set_aside
    assert set(aside.facts) == {"plastic_sheet_test", "slab_humidity"}
    assert "Taken as unknown" in text_of(revision)
    assert ("plastic_sheet_test", "dry", "dry, taken as unknown") in [(e.fact, e.was, e.now) for e in revision.facts]


def test_an_old_result_counts_as_unknown_and_says_so() -> None:
    revision = revise(REASONER, case_of(GARAGE), ["slab_humidity=97 % on 2024-01-01"], TODAY)
    assert not revision.which("fell")
    assert "2024-01-01" in text_of(revision)
    assert "slab_humidity: unknown -> 97 %, taken as unknown" in text_of(revision)


@pytest.mark.parametrize(
    "said", ["pets", "pets=", "slab_hum=3", "slab_humidity=wet", "slab_humidity=9 % on 2031-01-01"]
)
def test_bad_news_is_refused_by_name(said: str) -> None:
    with pytest.raises(BadCase) as caught:
        revise(REASONER, case_of(GARAGE), [said], TODAY)
    assert said.split("=")[0].split()[0] in str(caught.value)


def test_the_difference_as_data_and_picture(tmp_path: Path) -> None:
    revision = revise(REASONER, case_of(GARAGE), ["slab_humidity=97 %"], TODAY)
    data = revision_record(revision)
    assert {each.finish for each in data.finishes if each.change == "fell"} == {
        each.finish for each in revision.which("fell")
    }
    draw_revision(revision, BASE, tmp_path / "change.dot")
    dot = (tmp_path / "change.dot").read_text()
    assert "97 %" in dot


def test_the_command_tells_saves_and_refuses(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "advisor", "revise"]
    case = tmp_path / "floor.yaml"
    case.write_text("facts:\n  on_floor: bare\n  slab_position: on_ground\n")
    good = subprocess.run(
        [*command, "floor.yaml", "slab_humidity=97 %", "--save", "revised.yaml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert good.returncode == 0, good.stderr
    assert "Falls" in good.stdout
    assert read_case(tmp_path / "revised.yaml", BASE).stated["slab_humidity"].text == "97 %"
    bad = subprocess.run(
        [*command, "floor.yaml", "slab_humidity=damp", "--save", "other.yaml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert bad.returncode == 2
    assert "slab_humidity" in bad.stderr
    assert "Traceback" not in bad.stderr
    assert not bad.stdout
    assert not (tmp_path / "other.yaml").exists()
