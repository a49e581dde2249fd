"""What all tests share: golden files, and `--update-golden` to write them anew."""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parent / "golden"


gc.set_threshold(50_000, 10, 10)  # a tenth of the suite's time went into looking for cycles, of which there are few


def pytest_collection_finish() -> None:
    """What was collected stays until the end: no use in looking through it again and again."""
    gc.collect()
    gc.freeze()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="write the golden files anew, then look at the diff")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with the golden file of a name, byte for byte; with --update-golden write it."""

    def compare(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(text.encode())
            return
        assert path.is_file(), f"there is no golden file {name}; write it with: pytest --update-golden"
        assert text == path.read_bytes().decode(), f"{name} differs; if that is meant: pytest --update-golden"

    return compare
