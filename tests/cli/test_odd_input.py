"""Whatever is put in is answered or refused in words: no traceback, hang or lost row (`tests.benchmarks.faults`)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from random import Random

import pytest

from advisor.errors import MOST_TOLD, AdvisorError
from advisor.facts.case import read_case
from advisor.survey.tables import read_headings
from advisor.validation.loading import load_rulebase
from tests.fault_trials import by_hypothesis, odd_cases, odd_commands, odd_interviews, odd_tables


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "odd").mkdir()
    return tmp_path / "odd"


def test_odd_cases(folder: Path) -> None:
    base = load_rulebase()
    ended = by_hypothesis(lambda rng: odd_cases(base, folder, rng, 1), 300)
    assert ended["answered"] > 10, "hardly one was answered: the trials are odder than they should be"
    assert ended["refused"] > 10


def test_odd_tables_lose_no_row(tmp_path: Path) -> None:
    base, numbers = load_rulebase(), count()

    def odd(rng: Random) -> Iterator[tuple[str, Callable[[], str]]]:
        folder = tmp_path / str(next(numbers))
        folder.mkdir()
        return odd_tables(base, folder, rng, 1)

    assert by_hypothesis(odd, 20)["answered"]


def test_odd_interviews_lose_nothing_that_was_saved(tmp_path: Path) -> None:
    numbers = count()

    def odd(rng: Random) -> Iterator[tuple[str, Callable[[], str]]]:
        folder = tmp_path / str(next(numbers))
        folder.mkdir()
        return odd_interviews(folder, rng, 1)

    assert by_hypothesis(odd, 5)["answered"]


def test_odd_command_lines(folder: Path) -> None:
    assert by_hypothesis(lambda rng: odd_commands(folder, rng, 1), 30)["answered"]


@pytest.mark.parametrize("module", ["advisor.facts.case", "advisor.survey.tables"])
def test_no_hint_is_sought_that_nobody_would_see(module: str, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """Each costs a millisecond or two: for all of a large file that would be minutes."""
    names, sought = [f"slab_humidit{number}" for number in range(3 * MOST_TOLD)], []
    monkeypatch.setattr(f"{module}.nearest", lambda name, known: sought.append(name) or "")
    base, case = load_rulebase(), folder / "many.yaml"
    case.write_text("\n".join(("facts:", *(f"  {name}: 1" for name in names))), encoding="utf-8")
    with pytest.raises(AdvisorError, match=rf"and {2 * MOST_TOLD} more like these"):
        read_case(case, base) if module.endswith("case") else read_headings(base, names, "many.csv")
    assert MOST_TOLD <= len(sought) <= MOST_TOLD + 1
