"""The verbs as their user runs them: results, files, exit codes."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from advisor.cli.running import run_command

CASE = "untested_garage"


class Done(NamedTuple):
    returncode: int
    stdout: str
    stderr: str


Advisor = Callable[..., Done]


@pytest.fixture
def advisor(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Advisor:
    """Run the command line in this process, as its entry point does."""
    monkeypatch.setenv("COLUMNS", "80")

    def run(*arguments: str) -> Done:
        monkeypatch.setattr(sys, "argv", ["advisor", *arguments])
        with pytest.raises(SystemExit) as ended:
            run_command()
        out, err = capsys.readouterr()
        return Done(int(ended.value.code or 0), out, err)

    return run


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("materials", CASE), "What to buy"),
        (("cost", CASE, "epoxy_solid", "--against", "polished_natural"), "What drives the range"),
        (("plan", CASE, "--start", "2026-12-01"), "The crux"),
        (("compare", CASE), "Ruled out"),
        (("letter", CASE, "--units", "si"), "What we advise"),
        (("price-names",), "epoxy_body"),
    ],
)
def test_each_verb_prints_its_page(advisor: Advisor, arguments: tuple[str, ...], words: str) -> None:
    done = advisor(*arguments)
    assert done.returncode == 0, done.stderr
    assert words in done.stdout
    assert not done.stderr
    assert "\x1b" not in done.stdout


@pytest.mark.parametrize("verb", ["materials", "cost", "plan", "compare"])
def test_json_carries_hazards_and_deference(advisor: Advisor, verb: str) -> None:
    record = json.loads(advisor(verb, CASE, "--json").stdout)
    assert record["format"] == f"slab-finish-{verb}/1"
    for each in record["finishes"] if verb == "compare" else [record]:
        assert {"silica_dust"} <= {hazard["name"] for hazard in each["hazards"]}
        assert "Local codes" in each["deference"]
        assert each["rule_base"]["fingerprint"]


@pytest.mark.parametrize("ending", [".md", ".html", ".pdf"])
def test_letter_and_comparison_are_written_to_files(advisor: Advisor, tmp_path: Path, ending: str) -> None:
    for verb in ("letter", "compare", "advise"):
        path = tmp_path / f"{verb}{ending}"
        done = advisor(verb, CASE, "--out", str(path), "--paper", "a4")
        assert done.returncode == 0, done.stderr
        assert path.stat().st_size > 2000
        assert not done.stdout
    assert {each.suffix for each in tmp_path.iterdir()} == {ending}


def test_pictures_are_drawn(advisor: Advisor, tmp_path: Path) -> None:
    for verb in ("cost", "plan", "compare"):
        path = tmp_path / f"{verb}.png"
        assert advisor(verb, CASE, "--picture", str(path)).returncode == 0
        assert path.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("materials", CASE, "epoxy_sollid"), "epoxy_solid"),
        (("materials", CASE, "--people", "0"), "0 people"),
        (("materials", CASE, "--room", "0 ft x 9 ft"), "no room"),
        (("materials", CASE, "--room", "9 ft x 9 ft"), "the rooms come to"),
        (("materials", CASE, "--prices", "nowhere.csv"), "nowhere.csv"),
        (("cost", CASE, "--rate", "a lot"), "--rate"),
        (("cost", CASE, "--against", "lawn"), "lawn"),
        (("cost", CASE, "epoxy_solid", "--against", "epoxy_solid"), "the finish itself"),
        (("advise", CASE, "--out", "answer.doc"), ".md, .html, .pdf"),
        (("plan", CASE, "--start", "tomorrow"), "--start"),
        (("plan", CASE, "--weather", "nowhere.csv"), "nowhere.csv"),
        (("letter", CASE, "--out", "letter.doc"), ".md, .html, .pdf"),
        (("compare", CASE, "--picture", "ranges.gif"), ".svg, .png, .pdf"),
        (("compare", CASE, "lawn"), "lawn"),
        (("letter", "nowhere"), "nowhere"),
    ],
)
def test_bad_input_is_refused_without_a_traceback(advisor: Advisor, arguments: tuple[str, ...], words: str) -> None:
    done = advisor(*arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert not done.stdout
