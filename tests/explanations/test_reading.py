"""Figures in the reader's units and money, everywhere: in the sentences of the rule base, and in all that is printed.

Every sentence that gives a figure in the units of one system gives it in the other's too, in brackets behind it, so
that each reader can be shown their own. What is typed is excused, and quantities that a standard defines in one unit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from typer.testing import CliRunner

from advisor.cli.verbs import app
from advisor.demo import demo_cases
from advisor.model.entry import Entry
from advisor.validation.loading import read_rulebase
from explanations.reading import Reading, System, in_other_units, measuring, theirs
from explanations.wording import FOLDER, group_of_texts
from tests.explanations.test_pseudo_language import SAID

ROOT = Path(__file__).parents[2]
OTHER: dict[System, str] = {  # what a reader of one system must not meet
    "us": r"\d ?(mm|cm|m|m²|m2|m³|kg|°C|C|MPa|µm|microns?)(?![\w²³/.])|/m²",
    "si": r"\d[- ]?(ft|in|ft2|ft²|lb|gal|°F|F|psi|mil)(?![\w²³.])|/ft²",
}
# What one types, and what a standard defines in one system: sd values (EN 1931), thermal resistance (EN 1264), and
# the definition of a mil's spread; and a year, followed by `in`.
TYPED = {"reference.blank_case", "reference.short_case", "worksheets.such_as", "facts.one_text", "facts.one_a_line"}
TYPED |= {
    "facts.form",
    "facts.rooms",
    "claims.old_paint_in_europe_is_shown",
    "job.state_size",
    "job.room",
    "web_own.example.sheet",
    "worksheets_film.film.source",
}
BY_STANDARD = {"needs.cover_kept_dry", "needs.cover_for_heated_floor"}


def said(value: Any, name: str = "", path: str = "") -> Iterator[tuple[str, str]]:
    """Every sentence for people within a part of the rule base, with where it stands."""
    if isinstance(value, Entry):
        for each, inner in value.__dict__.items():
            yield from said(inner, each, path)
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from said(inner, name, f"{path}.{key}".strip("."))
    elif isinstance(value, tuple):
        for inner in value:
            yield from said(inner, name, path)
    elif isinstance(value, str) and name in SAID:
        yield path, value


def _sentences() -> dict[str, list[str]]:
    base = read_rulebase(ROOT / "rules")
    found: dict[str, list[str]] = {}
    for section, entries in base.__dict__.items():
        if section != "sources":
            for path, text in said(entries, path=section):
                found.setdefault(path, []).append(text)
    for path in (FOLDER / "en").glob("*.yaml"):
        for key, text in group_of_texts("en", path.stem).items():
            found.setdefault(f"{path.stem}.{key}", []).append(text)
    return {path: texts for path, texts in found.items() if path not in TYPED | BY_STANDARD}


@pytest.mark.parametrize("system", ["us", "si"])
def test_every_sentence_can_be_told_in_either_system(system: System) -> None:
    sentences = _sentences()
    assert len(sentences) > 1000
    with measuring(Reading(system)):
        odd = [f"{path}: {text}" for path, texts in sentences.items() for text in texts if in_other_units(theirs(text))]
    assert not odd


def test_a_sentence_with_one_unit_is_seen() -> None:
    with measuring(Reading("us")):
        assert in_other_units(theirs("Leave a gap of 10 mm."))
        assert not in_other_units(theirs("Leave a gap of 3/8 in (10 mm)."))


def _told(verb: str, case: Path, *more: str) -> str:
    result = CliRunner().invoke(app, [verb, str(case), *more])
    assert result.exit_code == 0, result.output
    return " ".join(result.stdout.split())


@pytest.mark.parametrize("verb", ["advise", "next", "why", "turn", "cost", "plan", "compare", "letter"])
@pytest.mark.parametrize(
    ("country", "system", "money"), [("united_states", "us", "USD"), ("united_kingdom", "si", "GBP")]
)
def test_a_country_reads_its_own_units_and_money(
    verb: str, country: str, system: System, money: str, tmp_path: Path
) -> None:
    given = yaml.safe_load(demo_cases()["untested_garage"].read_text(encoding="utf-8"))
    given["facts"]["country"] = country
    case = tmp_path / "floor.yaml"
    case.write_text(yaml.safe_dump(given), encoding="utf-8")
    told = _told(verb, case)
    assert not (match := re.search(OTHER[system], told)), told[match.start() - 60 : match.end() + 20]
    told = told.replace(given["facts"]["budget"], "")  # as it was stated, beside what it comes to
    assert not ({"USD", "GBP", "EUR"} - {money}).intersection(re.findall(r"[A-Z]{3}", told))
    other: System = "si" if system == "us" else "us"
    asked = _told(verb, case, "--units", other)
    assert not (match := re.search(OTHER[other], asked)), asked[match.start() - 60 : match.end() + 20]


def test_a_worksheet_answers_in_the_units_asked_in() -> None:
    american = _told("work", Path("film"), "dry_thickness=3 mil", "solids=50 %", "area=440 sq ft")
    assert "6 mil" in american
    assert "267.4 ft²/gal" in american  # half of 1604.17 ft2/gal at 1 mil (NIST Handbook 44: 231 in3), over 3
    assert "µm" not in american.split("Result")[0]
    metric = _told("work", Path("film"), "dry_thickness=100 um", "solids=50 %", "area=40 m2")
    assert "200 µm" in metric
    assert "mil" not in metric.split("Source")[0].replace("similar", "")
    dew = _told("work", Path("dew-point"), "air_temperature=68F", "air_humidity=50% rh")
    assert "48.69 °F" in dew  # ASHRAE's tables by PsychroLib: 9.27 °C
