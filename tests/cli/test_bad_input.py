"""Whatever a person gets wrong: exit code 2, one message that says what to do, no traceback, nothing written.

Run in this process, and some by the installed program, as its user runs it.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.cli.running import run_command
from advisor.validation.loading import rules_folder

PROGRAM = Path(sys.executable).with_name("advisor")
CASE = "untested_garage"

UNWRITABLE = {
    "graph": ["graph", CASE, "folder.svg"],
    "graph, no folder": ["graph", CASE, "none/why.svg"],
    "graph, no place for files": ["graph", CASE, "/proc/why.svg"],
    "graph, a device": ["graph", CASE, "device.svg"],
    "graph, an open format": ["graph", CASE, "folder.json"],
    "graph, the case itself": ["graph", "case.json", "case.json"],
    "advise": ["advise", CASE, "--graph", "folder.svg"],
    "map": ["map", "--graph", "folder.svg"],
    "lesson, questions": ["lesson", CASE, "--sheet", "folder.md"],
    "lesson, answers": ["lesson", CASE, "--sheet", "sheet.md", "--answers", "folder.md"],
    "lesson, progress": ["lesson", CASE, "--progress", "folder.json"],
    "lessons, a file": ["lessons", "--topic", "stop", "--out", "file.svg"],
    "lessons, a folder in use": ["lessons", "--topic", "stop", "--out", "."],
    "survey": ["survey", "table.csv", "--out", "/proc/out.csv"],
    "survey, a folder": ["survey", "table.csv", "--out", "folder.csv"],
    "survey, rows set aside": ["survey", "table.csv", "--out", "rows.csv"],
    "survey, page": ["survey", "table.csv", "--page", "folder.html"],
    "cost, picture": ["cost", CASE, "--picture", "folder.svg"],
    "cost, page over picture": ["cost", CASE, "--picture", "both.pdf", "--out", "both.pdf"],
    "plan": ["plan", CASE, "--picture", "none/days.svg"],
    "compare": ["compare", CASE, "--out", "folder.html"],
    "letter": ["letter", CASE, "--out", "/proc/letter.pdf"],
    "materials": ["materials", CASE, "--out", "folder.md"],
    "revise, graph": ["revise", CASE, "country=elsewhere", "--graph", "folder.svg"],
    "revise, case": ["revise", CASE, "country=elsewhere", "--save", "folder.yaml"],
    "work": ["work", "drying", "slab_thickness=100 mm", "--picture", "folder.svg"],
    "new": ["new", "folder.yaml"],
    "new, a data sheet": ["new", "--product", "folder.yaml"],
    "interview": ["interview", "mine.yaml", "--save", "folder.yaml"],
}

BAD = {
    "a folder that is no rule base": (["diff", str(rules_folder()), "others", CASE], "no vocabulary in it"),
    "a folder without rule files": (["diff", str(rules_folder()), "folder.md", CASE], "no rule files are here"),
    "a word in many finishes": (["why", CASE, "primer"], '"epoxy_over_mitigation", "flake_over_mitigation"'),
    "no such finish": (["why", CASE, "marble"], "Allowed: "),
    "no such fact": (["facts", "zzz"], "All facts: advisor facts"),
    "no such source": (["sources", "zzz"], "All sources: advisor sources"),
    "no such rule": (["rule", "zzz"], "advisor rules"),
    "no such worksheet": (["work", "zzz"], "dew-point"),
    "a case without lines of facts": (["advise", "three.yaml"], "`name: value` lines"),
    "a decimal comma": (["advise", "comma.yaml"], "decimal point"),
    "a date in place of an age": (["advise", "date.yaml"], "the time since then"),
    "a temperature without unit": (["advise", "bare.yaml"], "`68 C` or `68 F`"),
    "a table without floors": (["survey", "headings.csv"], "it holds no floors"),
    "no table": (["survey", "none.csv"], "no such file"),
    "a folder in place of a table": (["survey", "folder.csv"], "it is a folder"),
    "no address of a cluster": (["survey", "table.csv", "--cluster", "zzz"], "HOST:PORT"),
    "another file than a table": (["survey", "file.svg"], "cannot read a table"),
    "a folder in place of a case": (["advise", "folder.yaml"], "cannot be read"),
    "a pipe in place of a case": (["advise", "pipe.yaml"], "is a pipe or a device"),
    "a device in place of a case": (["causes", "zero.yaml"], "is a pipe or a device"),
    "a link in a circle in place of a case": (["letter", "circle.yaml"], "symbolic links"),
    "a complaint nobody knows": (["causes", CASE, "--say", "trouble=wobbly"], "Allowed: none, peels"),
    "a complaint at no place of a floor": (["causes", CASE, "--say", "trouble_where=on_ceiling"], "under_tyres"),
    "a complaint that contradicts": (["causes", "came_off.yaml"], "One of them must be wrong"),
    "standard input in place of a case": (["causes", "-"], "a case file"),
    "no such level": (["why", CASE, "--level", "zzz"], "sentence"),
    "no such depth": (["graph", CASE, "why.svg", "--depth", "zzz"], "gist"),
    "no such claim": (["audit", "zzz"], "zzz"),
    "no such topic": (["map", "--topic", "zzz"], "zzz"),
    "an old way to state a fact": (["graph", CASE, "why.svg", "--say", "slab_humidity: 70 %"], "slab_humidity='70 %'"),
    "what cannot be, for a graph": (
        ["graph", CASE, "why.svg", "--say", "time_in_use=80 years", "--say", "slab_age=20 years"],
        "longer than the slab exists",
    ),
    "a data sheet with a wrong unit": (["advise", CASE, "--product", "sheet.yaml"], "Allowed: 65 to 100 %"),
    "no data sheet": (["why", CASE, "--product", "none.yaml"], "cannot be read"),
    "a number of 5,000 digits": (["advise", "long.toml"], "too long"),
    "no such verb": (["zzz"], "zzz"),
}


@pytest.fixture
def place(tmp_path: Path) -> Path:
    for name in ("folder.svg", "folder.md", "folder.json", "folder.csv", "folder.html", "folder.yaml", "rows.bad.csv"):
        (tmp_path / name).mkdir()
    (tmp_path / "file.svg").write_text("mine")
    (tmp_path / "device.svg").symlink_to("/dev/full")
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "zero.yaml").symlink_to("/dev/zero")
    (tmp_path / "circle.yaml").symlink_to("circle.yaml")
    (tmp_path / "came_off.yaml").write_text("facts: {trouble: blisters, coating_peeled: no}\n")
    (tmp_path / "table.csv").write_text("floor,country\nA,elsewhere\n")
    (tmp_path / "headings.csv").write_text("floor,country\n")
    (tmp_path / "others").mkdir()
    (tmp_path / "others" / "notes.yaml").write_text("colour: {grey: 1}\nwidth: 4\n")
    (tmp_path / "case.json").write_text('{"facts": {"pets": "yes"}}')
    (tmp_path / "three.yaml").write_text("facts: 3\n")
    (tmp_path / "comma.yaml").write_text("facts: {slab_humidity: '75,5 %'}\n")
    (tmp_path / "sheet.yaml").write_text("product: Invented\nlike: floor_paint\nhumidity: 85 lb\n")
    (tmp_path / "date.yaml").write_text("facts: {slab_age: 2026-10-01}\n")
    (tmp_path / "long.toml").write_text(f"[facts]\narea = {'9' * 5000}\n")
    (tmp_path / "bare.yaml").write_text("facts: {air_temperature: 68}\n")
    return tmp_path


def names(folder: Path) -> list[str]:
    return sorted(each.relative_to(folder).as_posix() for each in folder.rglob("*"))


def by_the_program(place: Path, arguments: list[str]) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of the installed program."""
    done = subprocess.run(
        [PROGRAM, *arguments], cwd=place, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=120
    )
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def refused(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[[list[str]], str]:
    """What is told on stderr, once it is seen that nothing else comes of the command; run in this process."""

    def run(arguments: list[str]) -> str:
        monkeypatch.chdir(place)
        monkeypatch.setattr(sys, "argv", ["advisor", *arguments])
        before = names(place)
        monkeypatch.setattr(sys, "stdin", io.StringIO())
        with pytest.raises(SystemExit) as ended:
            run_command()
        out, told = capsys.readouterr()
        assert (ended.value.code, out) == (2, ""), told
        assert "Traceback" not in told
        assert 1 <= len(told.splitlines()) <= 4
        assert names(place) == before
        return told

    return run


@pytest.mark.parametrize("arguments", UNWRITABLE.values(), ids=UNWRITABLE)
def test_a_file_that_cannot_be_written_is_refused_before_any_work(
    place: Path, refused: Callable[[list[str]], str], arguments: list[str]
) -> None:
    told = refused(arguments)
    where = "rows.bad.csv" if "rows.csv" in arguments else arguments[-1]
    assert told.startswith(f"{where}: ")
    assert "name " in told  # what to do: name a file, name another, name a folder ...
    assert (place / "file.svg").read_text() == "mine"


@pytest.mark.parametrize(("arguments", "said"), BAD.values(), ids=BAD)
def test_what_cannot_be_done_is_told_with_what_can(
    refused: Callable[[list[str]], str], arguments: list[str], said: str
) -> None:
    assert said in refused(arguments)


SOME = [*list(UNWRITABLE.values())[::9], *(arguments for arguments, _ in list(BAD.values())[::9])]


@pytest.mark.parametrize("arguments", SOME, ids=" ".join)
def test_the_installed_program_ends_with_2_and_says_the_same(
    place: Path, refused: Callable[[list[str]], str], arguments: list[str]
) -> None:
    assert by_the_program(place, arguments) == (2, "", refused(arguments))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no device that is always full")
@pytest.mark.parametrize("arguments", [["advise", CASE], ["facts"], ["schema"]], ids=lambda each: each[0])
def test_an_output_that_takes_no_more_is_told(arguments: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([PROGRAM, *arguments], stdout=full, stderr=subprocess.PIPE, text=True, timeout=120)
    assert done.returncode == 2
    assert done.stderr == "The output cannot be read or written (No space left on device).\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no device that is always full")
def test_a_refusal_that_cannot_be_told_keeps_its_exit_code() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([PROGRAM, "advise", "none.yaml"], stdout=subprocess.PIPE, stderr=full, timeout=120)
    assert done.returncode == 2


@pytest.mark.parametrize("verb", ["facts", f"advise {CASE}", f"cost {CASE} --json", "--help"])
def test_an_output_that_is_closed_is_told(verb: str) -> None:
    done = subprocess.run(["sh", "-c", f'"{PROGRAM}" {verb} >&-'], stderr=subprocess.PIPE, text=True, timeout=120)
    assert done.returncode == 2
    assert done.stderr.startswith("The output is closed")


@pytest.mark.parametrize("closed", ["2>&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_with_no_stream_left_the_exit_code_says_it(closed: str) -> None:
    done = subprocess.run(["sh", "-c", f'"{PROGRAM}" advise none.yaml {closed}'], timeout=120)
    assert done.returncode == 2


@pytest.mark.parametrize("verb", ["facts", "facts 2>&1", "facts 2>&-", f"advise {CASE}", f"next {CASE}", "--help"])
def test_a_pipe_that_nobody_reads_ends_quietly_with_one_code(verb: str) -> None:
    script = f'"{PROGRAM}" {verb} | true; echo ${{PIPESTATUS[0]}}'
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, timeout=120, check=False)
    assert (done.stdout, done.stderr) == ("141\n", "")
