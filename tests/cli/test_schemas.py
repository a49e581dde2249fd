"""The published forms: what every verb prints with --json, and what is read, against its JSON Schema.

The check is jsonschema's, by the dialect of 2020-12 (JSON Schema Core and Validation, drafts of 16 June 2022).
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import typer

from advisor.cli.running import run_command
from advisor.cli.verbs import app
from advisor.demo import demo_cases
from advisor.facts.case import read_case, read_fact
from advisor.facts.case_file import case_text
from advisor.facts.case_schema import case_schema
from advisor.reference.glossary import blank_case
from advisor.reference.schemas import VERBS, json_schema
from advisor.rulebase.documents import read_document
from advisor.validation.loading import load_rulebase

CASE, ROOT = "untested_garage", Path(__file__).parent.parent.parent

# What is printed, by the name of its schema: each shape that the verb has.
PRINTED: dict[str, list[list[str]]] = {
    "advice": [["advise", name] for name in demo_cases()],
    "causes": [["causes", CASE], ["causes", CASE, "--say", "trouble=damp_spots", "--say", "second_trouble=cracks"]],
    "next": [["next", CASE], ["next", "shop_over_ground"]],
    "revise": [["revise", CASE, "slab_humidity=97 %"]],
    "why": [
        ["why", CASE],
        ["why", CASE, "floor_paint"],
        ["why", CASE, "left_as_it_is"],
        ["why", CASE, "epoxy_flake", "polished_natural"],
        ["why", CASE, "--rule", "vapour.over_humidity_limit"],
    ],
    "turn": [["turn", CASE, "--most", "1"]],
    "materials": [["materials", CASE]],
    "cost": [["cost", CASE], ["cost", CASE, "epoxy_solid", "--against", "polished_natural"]],
    "plan": [["plan", CASE, "--start", "2026-12-01"], ["plan", "old_tile_kitchen", "polished_natural"]],
    "compare": [["compare", CASE]],
    "care": [["care", CASE], ["care", CASE, "polished_natural"]],
    "quote": [["quote", CASE, str(Path(__file__).with_name("quote.yaml"))]],
    "facts": [["facts"], ["facts", "slab_humidity", "room"]],
    "work": [["work", "dew-point", "air_temperature=20 C", "air_humidity=60 %"]],
    "rule": [["rule", "vapour.over_humidity_limit"]],
    "rules": [["rules", "--topic", "vapour"], ["rules", "no_rule_holds_this_word"]],
    "sources": [["sources", "astm_f2170"], ["sources", "--case", CASE]],
    "survey": [["survey", str(Path(__file__).with_name("floors.csv"))]],
    "lessons": [["lessons", "--topic", "peeling"]],
    "audit": [["audit", "leak_stops"]],
    "diff": [["diff", str(ROOT / "rules"), str(ROOT / "rules"), str(demo_cases()[CASE])]],
}


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """What the command line prints, run in this process."""

    def run(*arguments: str) -> str:
        monkeypatch.setattr(sys, "argv", ["advisor", *arguments])
        with pytest.raises(SystemExit) as ended:
            run_command()
        assert not ended.value.code
        return capsys.readouterr().out

    return run


def objects(schema: object) -> Iterator[dict[str, Any]]:
    """Every object with named fields in a schema."""
    if isinstance(schema, dict):
        if "properties" in schema and schema.get("type") == "object":
            yield schema
        for each in schema.values():
            yield from objects(each)
    elif isinstance(schema, list):
        for each in schema:
            yield from objects(each)


def formats(schema: dict[str, Any]) -> set[str]:
    """The names of the forms that a schema describes."""
    marks = [each["properties"]["format"] for each in objects(schema) if "format" in each["properties"]]
    return {each["const"] if "const" in each else each["anyOf"][0]["const"] for each in marks}


def test_every_verb_that_gives_data_has_a_schema() -> None:
    verbs = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    giving = {name for name, verb in verbs.items() if any("--json" in each.opts for each in verb.params)}
    assert set(VERBS.values()) == giving
    assert PRINTED.keys() == VERBS.keys()


def test_the_list_names_them_all(printed: Callable[..., str]) -> None:
    assert [line.split()[0] for line in printed("schema").splitlines()] == [*VERBS, "case", "progress"]


@pytest.mark.parametrize("name", PRINTED)
def test_what_is_printed_keeps_to_its_schema_and_one_more_key_does_not(printed: Callable[..., str], name: str) -> None:
    schema = json.loads(printed("schema", name))
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    assert all(each["additionalProperties"] is False for each in objects(schema))
    seen = set()
    for arguments in PRINTED[name]:
        data = json.loads(printed(*arguments, "--json"))
        check.validate(data)
        assert next(iter(data)) == "format"
        seen.add(data["format"])
        assert not check.is_valid({**data, "more": 1})
        assert not check.is_valid({key: value for key, value in data.items() if key != "format"})
        assert not check.is_valid({**data, "format": f"{data['format']}0"})
    assert seen == formats(schema)  # every shape was printed


def test_no_two_forms_have_the_same_name() -> None:
    """A reader tells by `format` alone what it has before it."""
    found = [format_ for name in (*VERBS, "case", "progress") for format_ in formats(json_schema(name, load_rulebase))]
    assert len(found) == len(set(found)) == len(VERBS) + 6  # why has four, sources two, and two are read
    assert all(re.fullmatch(r"slab-finish-[a-z-]+/[1-9]", each) for each in found)


def test_a_schema_that_is_not_there_is_refused_with_the_nearest(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["advisor", "schema", "advic"])
    with pytest.raises(SystemExit) as ended:
        run_command()
    assert ended.value.code == 2
    assert 'Did you mean "advice"?' in capsys.readouterr().err


# ---- the case file -------------------------------------------------------------------------------------------

BASE = load_rulebase()
SCHEMA = case_schema(BASE)
CHECK = jsonschema.Draft202012Validator(SCHEMA)


@pytest.mark.parametrize("path", demo_cases().values(), ids=lambda path: path.stem)
def test_each_demo_case_and_what_is_saved_of_it_keep_to_the_case_s_schema(path: Path, tmp_path: Path) -> None:
    CHECK.validate(read_document(path).content)
    case = read_case(path, BASE, date(2026, 11, 27))
    saved = tmp_path / "saved.yaml"
    saved.write_text(case_text(case), encoding="utf-8")
    content = read_document(saved).content
    CHECK.validate(content)
    assert content["format"] == "slab-finish-case/1"
    assert read_case(saved, BASE, date(2026, 11, 27)).facts == case.facts


def test_a_blank_case_keeps_to_it(tmp_path: Path) -> None:
    path = tmp_path / "blank.yaml"
    path.write_text(blank_case(BASE), encoding="utf-8")
    CHECK.validate(read_document(path).content)


def test_every_value_that_the_schema_offers_is_read() -> None:
    """And every fact that may be asked for is among those it names."""
    facts = SCHEMA["properties"]["facts"]["properties"]
    assert facts.keys() == {name for name, kind in BASE.facts.items() if kind.ask}
    for name, fact in facts.items():
        kind = BASE.facts[name]
        if kind.type != "number":
            offered = offered_by(fact)
            assert {*kind.choices, "unknown"} <= offered
            assert {read_fact(BASE, name, each, name).choice or "unknown" for each in offered} <= offered


def offered_by(fact: dict[str, Any]) -> set[Any]:
    """The texts that may stand for a choice."""
    shared = SCHEMA["$defs"].get(fact.get("$ref", "").rpartition("/")[2], fact)
    return {each for each in shared["anyOf"][0]["enum"] if isinstance(each, str)}


@pytest.mark.parametrize(
    "content",
    [
        {"facts": {"slab_humidty": "80 %"}},
        {"facts": {"vapour_retarder": "perhaps"}},
        {"facts": {"slab_humidity": ["80 %"]}},
        {"facts": {"slab_humidity": {"is": "80 %", "when": "2026-11-02"}}},
        {"facts": {"slab_humidity": {"on": "2026-11-02"}}},
        {"facts": {}, "more": 1},
        {"facts": {}, "format": "slab-finish-case/2"},
        {"floor": "A floor"},
    ],
    ids=str,
)
def test_what_the_reader_refuses_an_editor_sees(content: dict[str, Any]) -> None:
    assert not CHECK.is_valid(content)
