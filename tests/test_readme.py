"""The README's example is what the tool says today; `pytest --update-golden` writes it anew."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README, PICTURE = ROOT / "README.md", ROOT / "advisor" / "demo" / "untested_garage.svg"
BLOCK = re.compile(r"(<!-- example -->\n).*?(<!-- end of example -->)", re.DOTALL)


def said(*arguments: str) -> str:
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-golden"))


def undated(text: str) -> str:
    """Without the day of the advice and the mark of the rules, which change with every rule."""
    return re.sub(r"\b20\d\d-\d\d-\d\d\b|\([0-9a-f]{16}\)", "MARK", text)


def test_the_example_is_real(update: bool) -> None:
    shown = said("advise", "untested_garage").rstrip()
    example = f"```\n$ advisor advise untested_garage\n{shown}\n```\n"
    text = README.read_text(encoding="utf-8")
    renewed = BLOCK.sub(lambda match: f"{match[1]}{example}{match[2]}", text)
    if update:
        README.write_text(renewed, encoding="utf-8")
    assert BLOCK.search(text), "the README has no example"
    assert update or undated(text) == undated(renewed), (
        "the README's example is not what the tool says; pytest --update-golden"
    )


def test_the_picture_is_real(update: bool, tmp_path: Path) -> None:
    drawn = tmp_path / "why.svg"
    said("graph", "untested_garage", str(drawn))
    if update:
        PICTURE.write_bytes(drawn.read_bytes())
    assert PICTURE.read_bytes() == drawn.read_bytes()


def test_the_job_is_stated_first() -> None:
    first = README.read_text(encoding="utf-8").split("\n\n")[1]
    assert "which finish for my slab" in first
    assert "defers to local codes" in " ".join(first.split())


def test_every_command_that_the_readme_names_exists() -> None:
    from advisor.cli.verbs import app

    known = {command.name or command.callback.__name__ for command in app.registered_commands if command.callback}
    named = set(re.findall(r"`advisor ([a-z-]+)", README.read_text(encoding="utf-8")))
    assert len(named) > 15
    assert named <= known
