"""The command line as its user runs it: a process of its own, pipes, exit codes, no colour."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import networkx as nx
import pytest

from advisor.demo import demo_cases
from tests.draws import draws


def advisor(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "advisor", *arguments],
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "COLUMNS": "80", **environment},
    )


@pytest.mark.parametrize("name", demo_cases())
def test_advice_for_every_demo_case_fits_a_narrow_page_without_colour(name: str) -> None:
    done = advisor("advise", name)
    assert done.returncode == 0, done.stderr
    assert "\x1b" not in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    assert all(line == line.rstrip() for line in done.stdout.splitlines())
    assert "Local codes" in done.stdout
    assert "rule base" in done.stdout


def test_one_demo_case_ends_in_test_first() -> None:
    answers = {json.loads(advisor("advise", name, "--json").stdout)["answer"]["kind"] for name in demo_cases()}
    assert "test first" in answers
    assert len(answers) >= 3


@pytest.mark.parametrize("ending", ["svg", "png", "dot"])
def test_the_graph_is_written_by_its_ending(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"why.{ending}"
    done = advisor("advise", "shop_over_ground", "--graph", str(path))
    assert done.returncode == 0, done.stderr
    content = path.read_bytes()
    begins = {"svg": b"<?xml", "png": b"\x89PNG", "dot": b"digraph"}
    assert content.startswith(begins[ending])
    assert len(content) > 2000


def test_the_svg_tells_a_screen_reader_what_it_is(tmp_path: Path) -> None:
    path = tmp_path / "why.svg"
    advisor("advise", "shop_over_ground", "--graph", str(path))
    root = ElementTree.parse(path).getroot()
    names = {child.tag.split("}")[1] for child in root}
    assert root.get("role") == "img"
    assert {"title", "desc"} <= names


def test_a_graph_that_cannot_be_drawn_is_refused_before_any_work(tmp_path: Path) -> None:
    done = advisor("advise", "shop_over_ground", "--graph", str(tmp_path / "why.gif"))
    assert done.returncode == 2
    assert ".svg" in done.stderr
    assert done.stdout == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["advise", "no_such_case"], "no such file"),
        (["advise", "untested_garag"], "untested_garage"),
        (["advise", "none.yaml"], "cannot be read"),
        (["facts", "slab_humidty"], "slab_humidity"),
        (["new", "case.txt"], ".yaml"),
    ],
)
def test_bad_requests_exit_with_2_and_no_traceback(arguments: list[str], said: str) -> None:
    done = advisor(*arguments)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_bad_case_exits_with_2_and_writes_nothing(tmp_path: Path) -> None:
    case = tmp_path / "floor.yaml"
    case.write_text("facts: {slab_humidity: 120 %}")
    done = advisor("advise", str(case), "--graph", str(tmp_path / "why.svg"))
    assert done.returncode == 2
    assert "slab_humidity" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["floor.yaml"]


def test_a_blank_case_is_written_once_and_gives_advice(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    assert advisor("new", str(path)).returncode == 0
    before = path.read_text()
    again = advisor("new", str(path))
    assert again.returncode == 2
    assert "exists already" in again.stderr
    assert path.read_text() == before
    done = advisor("advise", str(path))
    assert done.returncode == 0, done.stderr


def test_colour_is_left_out_on_request(tmp_path: Path) -> None:
    import pexpect

    def seen(**environment: str) -> str:
        text = pexpect.run(
            f"{sys.executable} -m advisor advise old_tile_kitchen",
            env={**os.environ, "TERM": "xterm-256color", **environment},
            timeout=60,
        )
        return str(text.decode())

    assert "\x1b[" in seen()
    plain = seen(NO_COLOR="1")
    assert not any(f"\x1b[{code}m" in plain for code in ("31", "33", "1;31", "1;33"))


def test_a_reader_that_stops_early_is_no_error() -> None:
    done = subprocess.run(
        f"{sys.executable} -m advisor facts | head -1", shell=True, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0
    assert "Traceback" not in done.stderr


def test_the_dot_graph_is_read_by_an_outside_library(tmp_path: Path) -> None:
    """The SVG's edges, read as a graph by networkx, run from facts to the answer without a cycle."""
    path = tmp_path / "why.svg"
    advisor("advise", "shop_over_ground", "--graph", str(path))
    space = "{http://www.w3.org/2000/svg}"
    titles = [
        t.text
        for g in ElementTree.parse(path).iter(f"{space}g")
        if g.get("class") == "edge"
        for t in g.iter(f"{space}title")
    ]
    graph = nx.DiGraph([tuple(title.split("->")) for title in titles if title and "->" in title])
    assert len(graph) > 20
    assert nx.is_directed_acyclic_graph(graph)


def test_a_reader_that_has_seen_enough_of_proofs_ends_them() -> None:
    """As in `advisor audit | head -1`, which would else go on for minutes; others: `test_bad_input`."""
    command = [sys.executable, "-u", "-m", "advisor", "audit"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.wait(timeout=120) == 141
        assert process.stderr.read() == ""


def test_output_that_cannot_hold_a_character_falls_back() -> None:
    done = advisor("advise", "untested_garage", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert "440 ft2" in done.stdout
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("columns", ["0", "1", "3", "12", "20"])
def test_a_terminal_of_any_width_shows_every_hazard(columns: str) -> None:
    """Compared with what a wide page says, word for word but for the breaks of lines."""
    narrow, wide = advisor("advise", "untested_garage", COLUMNS=columns), advisor("advise", "untested_garage")
    assert narrow.returncode == 0

    def words(text: str) -> list[str]:
        return re.findall(r"[A-Za-z]{4,}", text.partition("Dangers")[2].partition("Leading so far")[0])

    assert words(narrow.stdout) == words(wide.stdout)


@pytest.mark.parametrize("columns", ["0", "20", "60"])
def test_no_width_cuts_a_title_short(columns: str, tmp_path: Path) -> None:
    case = tmp_path / "long.yaml"
    case.write_text("floor: A garage with a very long name of its own that goes on and on to its END\nfacts: {}\n")
    told = advisor("causes", str(case), COLUMNS=columns).stdout
    title, _, others = told.partition("-\n")
    assert title.rstrip("-").split()[-1] == "END"
    assert "…" not in told
    assert others


def test_an_interrupt_is_no_traceback() -> None:
    """In the midst of the proofs: the first is told, and they take a while."""
    command = [sys.executable, "-u", "-m", "advisor", "audit"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout
        assert process.stdout.readline()
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=120)
    assert process.returncode == 130
    assert "Traceback" not in said


def test_an_interrupt_while_modules_are_still_read_is_no_traceback() -> None:
    """Python names each module on stderr once it is read; after one or another of those read after our first line."""
    command = [sys.executable, "-X", "importtime", "-m", "advisor", "facts"]
    timed = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    read = [line.rsplit("|", 1)[-1].strip() for line in timed.splitlines()]
    ours = read[read.index("advisor") + 1 :]
    assert {"yaml", "typer", "advisor.errors"} <= set(ours)
    for module in (ours[0], *Random(13).sample(ours, draws(10))):
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
            assert process.stderr
            assert any(line.rsplit("|", 1)[-1].strip() == module for line in process.stderr)
            process.send_signal(signal.SIGINT)
            _, said = process.communicate(timeout=120)
        assert process.returncode in (-signal.SIGINT, 130, 0), module
        assert "Traceback" not in said, module
