"""Whatever is put in is answered or refused in words: no traceback, hang or lost row (`tests.benchmarks.faults`)."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from advisor.validation.loading import load_rulebase
from tests.fault_trials import Tally, odd_cases, odd_commands, odd_interviews, odd_tables, tried


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "odd").mkdir()
    return tmp_path / "odd"


def without_faults(tally: Tally) -> None:
    assert not tally.faults, "\n".join(f"{each.tried}: {each.how}" for each in tally.faults[:3])
    assert tally.ended["answered"], "nothing was answered: the trials are odder than they should be"


def test_odd_cases(folder: Path) -> None:
    without_faults(tried(odd_cases(load_rulebase(), folder, Random(1), 400)))


def test_odd_tables_lose_no_row(folder: Path) -> None:
    without_faults(tried(odd_tables(load_rulebase(), folder, Random(2), 12)))


def test_odd_interviews_lose_nothing_that_was_saved(folder: Path) -> None:
    without_faults(tried(odd_interviews(folder, Random(3), 3)))


def test_odd_command_lines(folder: Path) -> None:
    without_faults(tried(odd_commands(folder, Random(4), 30)))
