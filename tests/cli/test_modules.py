"""Which module of the command line holds which verbs; and how a run ends."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import IO

import pytest

from advisor.cli import modules
from advisor.cli.verbs import app

DEMO = "untested_garage"


def test_each_verb_stands_in_the_table_beside_the_module_that_has_it() -> None:
    registered: dict[str, list[str]] = {}
    for each in app.registered_commands:
        assert each.callback is not None
        at = each.callback.__module__.removeprefix("advisor.cli.")
        registered.setdefault(at, []).append(each.name or each.callback.__name__)
    assert {module: tuple(verbs) for module, verbs in registered.items()} == modules.VERBS


def imported_by(*arguments: str) -> set[str]:
    """The modules of verbs that a run imports."""
    code = (
        "import sys; from advisor.cli.modules import VERBS, application; application(*sys.argv[1:2]);"
        "print(*(each for each in VERBS if f'advisor.cli.{each}' in sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True)
    return set(run.stdout.split())


@pytest.mark.parametrize(("verb", "module"), [("rule", "rules"), ("advise", "advice"), ("serve", "serve")])
def test_a_run_imports_the_module_of_its_verb_alone(verb: str, module: str) -> None:
    assert imported_by(verb) == {module}


@pytest.mark.parametrize("arguments", [(), ("--help",), ("no_such_verb",)])
def test_a_run_that_names_no_verb_imports_all(arguments: tuple[str, ...]) -> None:
    assert imported_by(*arguments) == set(modules.VERBS)


def ended(*arguments: str, out: IO[str] | int = subprocess.PIPE) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, stdout=out, stderr=subprocess.PIPE, text=True, check=False)


def test_a_run_ends_with_all_that_it_said_and_with_the_code_that_it_promises() -> None:
    said = ended("advise", DEMO, "--json")  # more than a pipe holds at once
    assert (said.returncode, said.stdout[-2:], said.stderr) == (0, "}\n", "")
    assert ended("serve", "--no-such-option").returncode == 2
    assert ended("no_such_verb").returncode == 2
    with Path("/dev/full").open("w") as full:
        assert ended("schema", out=full).returncode == 2
