"""The verbs why, turn, graph, lesson and lessons on the command line: answers, data, and refusals with exit code 2."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import networkx as nx
import pytest
from typer.testing import CliRunner

from advisor.cli.verbs import app
from advisor.demo import demo_cases
from tests.explained import demos

NAME = "untested_garage"


def run(*arguments: str) -> str:
    result = CliRunner().invoke(app, list(arguments))
    assert result.exit_code == 0, (result.output, result.exception)
    return result.stdout


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_why_answers_for_every_shipped_case_and_every_finish_of_it(name: str) -> None:
    told = demos()[name]
    assert run("why", name).strip()
    fallen = next(each for each in told.advice.standings if each.verdict == "ruled out")
    text = " ".join(run("why", name, fallen.finish).split())
    assert f"{fallen.name[0].upper()}{fallen.name[1:]} is ruled out, because" in text
    assert "by these facts alone" in text or "whatever else you say" in text


def test_lines_fit_eighty_columns() -> None:
    rule = ["why", NAME, "--rule", "use.too_weak_for_cars"]
    for arguments in (["why", NAME, "--level", "full"], ["turn", NAME], rule):
        assert all(len(line) <= 80 for line in run(*arguments).splitlines())


def test_a_finish_may_be_given_by_its_name() -> None:
    first = demos()[NAME].base.finishes["floor_paint"]
    assert run("why", NAME, first.name) == run("why", NAME, "floor_paint")


def test_why_as_data_holds_the_comparison_and_the_facts() -> None:
    told = demos()[NAME]
    fallen = next(each for each in told.advice.standings if each.verdict == "ruled out")
    data = json.loads(run("why", NAME, fallen.finish, "--json"))
    assert data["verdict"] == "ruled out"
    assert [each["rule"] for each in data["ruled_out_by"]]
    assert set(data["rests_on"]) <= set(told.case.facts)
    behind = [each for each in told.advice.standings if each.rank][1]
    data = json.loads(run("why", NAME, behind.finish, "--json"))
    leading = data["against"]
    gap = sum(aspect["leading"] - aspect["this"] for aspect in data["aspects"])
    totals = {each.finish: each.total for each in told.advice.standings}
    assert gap == totals[leading] - totals[behind.finish]


def test_turn_as_text_and_as_data() -> None:
    assert "What would change the answer?" in run("turn", NAME)
    data = json.loads(run("turn", NAME, "--most", "1", "--json"))
    assert all(len(turn["changes"]) == 1 for turn in data["turns"])


def test_graph_writes_what_is_asked_for(tmp_path: Path) -> None:
    run("graph", NAME, str(tmp_path / "gist.graphml"))
    run("graph", NAME, str(tmp_path / "all.graphml"), "--depth", "everything")
    run("graph", NAME, str(tmp_path / "one.graphml"), "--finish", "floor_paint", "--depth", "everything")
    run("graph", NAME, str(tmp_path / "few.graphml"), "--finish", "floor_paint")
    run("graph", NAME, str(tmp_path / "least.graphml"), "--finish", "floor_paint", "--least")
    run("graph", NAME, str(tmp_path / "new.graphml"), "--say", "slab_humidity=70 %")
    sizes = {path.stem: len(nx.read_graphml(path)) for path in tmp_path.iterdir()}
    assert max(sizes["gist"], sizes["few"], sizes["new"]) <= 15
    assert sizes["least"] < sizes["one"] < sizes["all"]
    assert 1 < sizes["new"] < sizes["all"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["why", NAME, "marble"], "there is no finish"),
        (["why", NAME, "--level", "loud"], "sentence, paragraph, full"),
        (["why", NAME, "--rule", "use.too_weak_for_car"], "use.too_weak_for_cars"),
        (["why", "no_such_case"], "no_such_case"),
        (["turn", NAME, "marble"], "there is no finish"),
        (["graph", NAME, "why.gif"], ".svg"),
        (["graph", NAME, "why.svg", "--depth", "deep"], "gist, besides, answer, everything"),
        (["graph", NAME, "why.svg", "--say", "slab_humidity: 700 %"], "slab_humidity"),
        (["lesson", NAME, "--sheet", "sheet.exe"], ".txt"),
        (["lessons", "--topic", "vapor"], "vapour"),
    ],
)
def test_bad_requests_are_refused_by_name_with_exit_code_two(arguments: list[str], says: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *arguments], capture_output=True, text=True, cwd=tmp_path, timeout=120
    )
    assert done.returncode == 2, done.stderr
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert not done.stdout
    assert not list(tmp_path.iterdir()), "nothing half-written"
