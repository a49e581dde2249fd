"""What a folder of rules may not hold, told with file and line: odd names, figures, files and characters."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.errors import BadFile, BadRuleBase, Fault
from advisor.rulebase.documents import read_document
from advisor.rulebase.folders import MOST_NAMES, rule_paths
from advisor.validation.cache import signature
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.rule_folders import faults_of, sound, write
from tests.validation.test_safeguards_kept import own_figure, shipped

QUESTION = {"type": "yes/no", "ask": "Is it so", "find_out": "Look", "why": "Own"}


def figure(name: str, value: str, **others: str) -> dict[str, Any]:
    """An own copy of a finish, with its work, and some values changed."""
    data = own_figure("epoxy_flake", name, value)
    for other, changed in others.items():
        data["properties"][other]["is"] = changed
    data["finish"]["id"] = "own_flake"
    work = {**shipped("procedures")["epoxy_flake"], "for": ["own_flake"]}
    return {**data, "procedures": {"own_flake": work}}


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "a weight that a rank has no room for": ({"importance": {"high": "999"}}, "from 1 to 20"),
    "a weight of nothing": ({"importance": {"high": "0"}}, "from 1 to 20"),
    "no solvent content": (figure("voc", "none"), 'voc cannot be "none"'),
    "no permeance": (figure("permeance", "none"), 'permeance cannot be "none"'),
    "a temperature at which water boils": (figure("lowest_temperature", "100 C"), '"100 C" for lowest_temperature'),
    "no temperature left": (figure("lowest_temperature", "30 C", highest_temperature="20 C"), "no temperature is left"),
    "a reserve of five times the whole": (
        {"norms": {"pot_life_reserve": {**shipped("norms")["pot_life_reserve"], "is": "500 %"}}},
        '"the entry" is wrong',
    ),
    "air more than full of water": (
        {"facts": {"air_humidity": {**shipped("facts")["air_humidity"], "range": "10 to 1000 percent"}}},
        "relative humidity is 1000 %",
    ),
    "a property in no unit that there is": (
        {"properties": {"self_cost": {**shipped("properties")["self_cost"], "unit": "usd_m1"}}},
        "usd_m1",
    ),
    "a range made wider": (
        {"norms": {"pot_life_reserve": {**shipped("norms")["pot_life_reserve"], "range": "0 to 500 %"}}},
        "pot_life_reserve must stay",
    ),
    "a limit beyond all humidity": (
        {"limits": {"saturated": {**shipped("limits")["saturated"], "is": "200 %"}}},
        "the limit saturated",
    ),
    "a fact named like a finding": ({"facts": {"drilled_or_cut": QUESTION}}, '"drilled_or_cut" stands among the'),
    "a need named like a caution": (
        {"needs": {"silica_dust": {"kind": "test", "decides": "no", "says": "Nothing.", "source": "from_memory"}}},
        '"silica_dust" stands among the',
    ),
    "an id with a sign of its own meaning": (
        {"facts": {"moisture_must_be_known@epoxy_flake": QUESTION}},
        "cannot be the id of an entry",
    ),
    "a question about each finish": (
        {"facts": {"own": {**QUESTION, "of": "finish"}}},
        "own is about each finish",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_ended_in_a_traceback_is_refused(tmp_path: Path, name: str) -> None:
    data, said = REFUSED[name]
    faults = faults_of(rules_folder(), write(tmp_path / "shop", {"own.yaml": yaml.safe_dump(data)}))
    assert any(said in fault.what for fault in faults), [str(fault) for fault in faults]
    told = " ".join(f"{fault.where} {fault.remedy}" for fault in faults)
    assert "shop" in told
    assert "line " in told


@pytest.mark.parametrize("ending", [".yml", ".YML", ".YAML"])
def test_files_of_every_ending_of_yaml_are_read(tmp_path: Path, ending: str) -> None:
    """C7: a hazard in a file `mine.yml` was lost without a word."""
    text = "limits: {own: {is: 5 mm, means: a gap that this shop fills, source: common_practice}}\n"
    shop = write(tmp_path / "shop", {f"mine{ending}": text, "other.yaml": text.replace("own", "other")})
    assert {"own", "other"} <= read_rulebase(rules_folder(), shop).limits.keys()
    before = signature([shop])
    write(shop, {f"mine{ending}": text.replace("5 mm", "6 mm")})
    assert signature([shop]) != before


def odd(folder: Path) -> list[Fault]:
    with pytest.raises(BadRuleBase) as caught:
        load_rulebase(folder)
    return list(caught.value.faults)


def test_what_is_no_file_is_told_and_never_waited_for(tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {"a.yaml": "limits: {}\n"})
    os.mkfifo(shop / "pipe.yaml")
    (shop / "zero.yaml").symlink_to("/dev/zero")
    (shop / "loop.yaml").symlink_to(shop / "loop.yaml")
    (shop / "folder.yml").mkdir()
    (shop / "elsewhere").symlink_to(tmp_path)
    faults = odd(shop)
    assert {fault.where for fault in faults} == {
        f"shop/{name}" for name in ("pipe.yaml", "zero.yaml", "loop.yaml", "folder.yml", "elsewhere")
    }
    assert all(fault.remedy for fault in faults)


def test_a_folder_that_is_a_loop_or_no_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (fault,) = odd(tmp_path / "loop")
    assert "no such folder" in fault.what
    (tmp_path / "file").write_text("hello")
    (fault,) = odd(tmp_path / "file")
    assert "no such folder" in fault.what


def test_a_folder_of_other_things_is_told_at_once(tmp_path: Path) -> None:
    many = tmp_path / "many"
    many.mkdir()
    for number in range(MOST_NAMES + 1):
        (many / str(number)).touch()
    (fault,) = odd(many)
    assert "no folder of rules" in fault.what
    hidden = write(tmp_path / "shop", {".git/x.yml": "no: rules\n"})
    assert rule_paths(hidden) == []


@pytest.mark.parametrize("name", ["caf\udce9.yaml", "red\x1b[31m.yaml", "\u202eback.yaml"])
def test_names_that_cannot_be_shown_are_refused(tmp_path: Path, name: str) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / name).write_text("limits: {}\n")
    (fault,) = odd(shop)
    assert fault.where.startswith("shop/")
    assert str(fault).isprintable() or "\n" in str(fault)
    str(fault).encode()


@pytest.mark.parametrize(
    ("ending", "text", "line"),
    [
        (".yaml", 'limits:\n  own: {is: 5 mm, means: "a \\e[8mgap", source: from_memory}\n', ", line 2"),
        (".yaml", 'limits:\n  "o\\u202ewn": {is: 5 mm, means: a gap, source: from_memory}\n', ", line 2"),
        (".yaml", "floor: |\n  two lines\n  a\u200fmark\n", ", line 1"),
        (".json", '{"floor": "\\u001b[31mX"}', ""),
        (".json", '{"by": "\\ud800"}', ""),
        (".toml", 'floor = "\\u0085"', ""),
    ],
)
def test_no_file_brings_characters_that_are_obeyed(tmp_path: Path, ending: str, text: str, line: str) -> None:
    path = tmp_path / f"x{ending}"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        read_document(path)
    (fault,) = caught.value.faults
    assert fault.where == f"x{ending}{line}"
    assert "obeyed instead of shown" in fault.what
    assert all(character.isprintable() or character == "\n" for character in str(fault))


def test_line_breaks_and_tabs_may_stand(tmp_path: Path) -> None:
    path = write(tmp_path, {"x.yaml": 'note: "a\\tb"\nfloor: |\n  two\n  lines\n'}) / "x.yaml"
    assert read_document(path).content == {"note": "a\tb", "floor": "two\nlines\n"}


def test_a_sound_folder_needs_no_shipped_ranges(tmp_path: Path) -> None:
    assert read_rulebase(sound(tmp_path / "rules")).properties["most_wetness"].unlimited
