"""The set-up names a missing system part in one sentence, with the command that installs it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

SETUP = Path(__file__).parent.parent / ".ci" / "setup"


def setup_without(tmp_path: Path, failing: str = "", programs: tuple[str, ...] = ("gcc", "cc")) -> str:
    """Run the set-up where an interpreter fails any check that mentions `failing`, with only these programs."""
    folder = tmp_path / "bin"
    folder.mkdir()
    for name in ("bash", "rm", "touch", "env", *programs):
        if found := shutil.which(name):
            (folder / name).symlink_to(found)
    python = folder / "python3"
    fails = f'case "$*" in *"{failing}"*) exit 1;; esac\n' if failing else ""
    python.write_text(f'#!/bin/bash\n{fails}case "$1" in -m) exit 9;; esac\nexec "{sys.executable}" "$@"\n')
    python.chmod(0o755)
    done = subprocess.run(
        ["bash", str(SETUP), str(tmp_path / "venv")],
        capture_output=True,
        text=True,
        env={**os.environ, "PATH": str(folder)},
        check=False,
    )
    assert done.returncode != 0
    assert not (tmp_path / "venv").exists()
    return done.stderr.strip()


@pytest.mark.parametrize(
    ("failing", "said"),
    [
        ("ensurepip", "pip's venv module is missing; install it, for example with: sudo apt-get install python3-venv"),
        ("Python.h", "Python's headers are missing"),
        ("version_info", "Python 3.11 or later is needed"),
    ],
)
def test_what_the_interpreter_lacks_is_named(tmp_path: Path, failing: str, said: str) -> None:
    message = setup_without(tmp_path, failing)
    assert said in message
    assert len(message.splitlines()) == 1


def test_a_missing_compiler_is_named(tmp_path: Path) -> None:
    message = setup_without(tmp_path, programs=())
    assert "A C compiler is missing" in message
    assert "apt-get install gcc" in message
    assert len(message.splitlines()) == 1


def test_with_all_there_it_goes_on_to_make_the_environment(tmp_path: Path) -> None:
    assert "Setting up" in setup_without(tmp_path)
