"""An interview or a lesson that is cut off: no answer is lost, the exit code is never 0 for what was not saved."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO

import pexpect
import pytest

from advisor.demo import demo_cases
from advisor.facts.case import read_case
from advisor.validation.loading import load_rulebase

PROGRAM = str(Path(sys.executable).with_name("advisor"))


@pytest.mark.parametrize("stop", [signal.SIGHUP, signal.SIGTERM])
def test_a_hang_up_or_an_end_saves_what_was_answered(tmp_path: Path, stop: signal.Signals) -> None:
    child = pexpect.spawn(PROGRAM, ["interview", "floor.yaml"], cwd=str(tmp_path), encoding="utf-8", timeout=120)
    child.expect("> ")
    child.sendline("change pets yes")
    child.expect("still possible")
    child.expect("> ")
    child.kill(stop)
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 128 + stop
    assert read_case(tmp_path / "floor.yaml", load_rulebase()).stated["pets"].text == "yes"


@pytest.mark.parametrize("arguments", [["interview", "floor.yaml"], ["lesson", "untested_garage"]])
def test_a_closed_input_is_told_in_a_sentence(tmp_path: Path, arguments: list[str]) -> None:
    done = subprocess.run(
        ["sh", "-c", '"$0" "$@" <&-', PROGRAM, *arguments], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "it is closed" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("seconds", [2.0, 4.0, 6.0])
def test_an_interrupt_ends_an_audit_in_the_midst_of_a_proof(seconds: float) -> None:
    """z3 took it for itself: the claim counted as proved, or its giving up was a traceback."""
    with subprocess.Popen([PROGRAM, "audit", "--json"], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        time.sleep(seconds)
        running.send_signal(signal.SIGINT)
        told, errors = running.communicate(timeout=300)
    assert (running.returncode, told) == (130, b"")
    assert b"Traceback" not in errors


def test_odd_answers_are_bad_answers_and_no_end(tmp_path: Path) -> None:
    odd = ["area 1.2.3 m x 4 m", "area 4 m**9**9**9**9", "area " + "9" * 5000, "slab_humidity 70 %?", "pets \x1b[31m"]
    lines = "".join(f"change {each}\n" for each in odd)
    done = subprocess.run(
        [PROGRAM, "interview", "floor.yaml"],
        cwd=tmp_path,
        input=f"{lines}change pets yes\nlater\n",
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert "\x1b" not in done.stdout  # what was typed is told back as it can be shown
    assert list(read_case(tmp_path / "floor.yaml", load_rulebase()).stated) == ["pets"]


def begun(folder: Path, *said: str) -> tuple[subprocess.Popen[bytes], IO[bytes], Callable[..., None]]:
    """A verb under way there, what it tells, and a way to say something to it, perhaps as the last thing."""
    child = subprocess.Popen(
        [PROGRAM, *said], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    assert child.stdin is not None
    assert child.stdout is not None
    heard = child.stdin

    def say(text: bytes, last: bool = False) -> None:
        heard.write(text)
        heard.close() if last else heard.flush()

    return child, child.stdout, say


def test_a_reader_that_goes_loses_no_answer(tmp_path: Path) -> None:
    child, told, say = begun(tmp_path, "interview", "floor.yaml")
    say(b"change pets yes\n")
    while b"change pets yes" not in told.readline():
        pass
    told.readline()  # what was understood
    told.close()
    say(b"change animals yes\nlater\n", last=True)
    assert child.wait(timeout=120) == 141
    assert read_case(tmp_path / "floor.yaml", load_rulebase()).stated["pets"].text == "yes"


def test_an_interview_that_nobody_could_see_is_refused(tmp_path: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", f"echo later | '{PROGRAM}' interview floor.yaml >&-"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "output is closed" in done.stderr
    assert not (tmp_path / "floor.yaml").exists()


def test_what_cannot_be_saved_is_told_and_is_no_success(tmp_path: Path) -> None:
    """The place is lost while the questions go on, as on a full disk."""
    own = tmp_path / "own.yaml"
    own.write_text("facts: {}\n")
    (tmp_path / "sub").mkdir()
    child = pexpect.spawn(PROGRAM, ["interview", "sub/floor.yaml"], cwd=str(tmp_path), encoding="utf-8", timeout=120)
    child.expect("> ")
    child.sendline("save own.yaml")
    child.expect("of your own")
    child.expect("> ")
    child.sendline("change pets yes")
    child.expect("still possible")
    child.expect("> ")
    (tmp_path / "sub").rename(tmp_path / "gone")
    child.sendline("later")
    child.expect("Nothing is lost yet")
    child.expect("> ")
    child.sendeof()
    child.expect("copy it into a new file")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 2
    assert 'pets: "yes"' in child.before  # no answer is lost
    assert own.read_text() == "facts: {}\n"


def test_two_interviews_on_one_file_lose_no_answer(tmp_path: Path) -> None:
    """The one that saves later is told, and its answers are told in full."""
    one, told, say = begun(tmp_path, "interview", "floor.yaml")
    say(b"change pets yes\n")
    while b"still possible" not in told.readline():
        pass
    other = subprocess.run(
        [PROGRAM, "interview", "floor.yaml"],
        cwd=tmp_path,
        input="change floor_heating yes\nlater\n",
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert other.returncode == 0, other.stderr
    say(b"change room garage\nlater\n", last=True)
    with told:
        rest = told.read().decode()
    assert one.wait(timeout=120) == 2
    assert "has changed this file meanwhile" in " ".join(rest.split())
    assert 'room: "garage"' in rest
    assert list(read_case(tmp_path / "floor.yaml", load_rulebase()).stated) == ["pets", "floor_heating"]


def test_a_lesson_cut_off_keeps_its_marks(tmp_path: Path) -> None:
    child = pexpect.spawn(
        PROGRAM,
        ["lesson", str(demo_cases()["untested_garage"]), "--progress", "mine.json"],
        cwd=str(tmp_path),
        encoding="utf-8",
        timeout=120,
    )
    child.expect("> ")
    child.sendline("slab\x1b_humidity")
    child.expect("> ")
    child.kill(signal.SIGTERM)
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 128 + signal.SIGTERM
    assert (tmp_path / "mine.json").exists()


def test_a_lesson_whose_reader_goes_keeps_its_marks(tmp_path: Path) -> None:
    child, told, say = begun(tmp_path, "lesson", str(demo_cases()["untested_garage"]), "--progress", "mine.json")
    say(b"slab_humidity\n")
    while b"> " not in told.readline():
        pass
    told.close()
    say(b"slab_humidity\nslab_humidity\n", last=True)
    assert child.wait(timeout=120) == 141
    assert (tmp_path / "mine.json").exists()


def test_a_terminal_that_goes_without_a_signal_is_a_hang_up(tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    with (tmp_path / "told").open("wb") as told:
        child = subprocess.Popen(
            [PROGRAM, "interview", "floor.yaml"], cwd=tmp_path, stdin=theirs, stdout=told, start_new_session=True
        )
    os.close(theirs)
    os.write(ours, b"change pets yes\n")
    while b"still possible" not in (tmp_path / "told").read_bytes():
        assert child.poll() is None
    os.close(ours)
    assert child.wait(timeout=120) == 128 + signal.SIGHUP
    assert read_case(tmp_path / "floor.yaml", load_rulebase()).stated["pets"].text == "yes"
