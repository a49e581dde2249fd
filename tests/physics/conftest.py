"""Runs a test once for every row of a table in tests/tables, and compares one floor with many."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings

# A slow machine is no failure.
settings.register_profile("physics", deadline=None)
settings.load_profile("physics")

TABLES = Path(__file__).parent.parent / "tables"


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "table(name): give the test each row of tests/tables/<name>.csv")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    for marker in metafunc.definition.iter_markers("table"):
        lines = (TABLES / f"{marker.args[0]}.csv").read_text(encoding="utf-8").splitlines()
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
        assert rows, "an empty table would check nothing"
        metafunc.parametrize("row", rows, ids=["-".join(list(row.values())[:3]) for row in rows])


@pytest.fixture(scope="session")
def agree() -> Callable[..., None]:
    """Assert that a function gives a float for floats, and the same in an array for arrays or a mixture."""

    def check(function: Callable[..., object], *args: float, rel: float = 1e-6, abs: float = 1e-12) -> None:
        one = function(*args)
        assert isinstance(one, float | bool)
        columns = [np.array([arg, arg]) for arg in args]
        mixtures = [[*args[:i], columns[i], *args[i + 1 :]] for i in range(len(args))]
        for mixture in [columns, *mixtures]:
            many = function(*mixture)
            assert isinstance(many, np.ndarray), function
            assert many == pytest.approx([one, one], rel=rel, abs=abs)

    return check
