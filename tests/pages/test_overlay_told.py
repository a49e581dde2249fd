"""What an overlay changes in matters of safety stands on every page that advises."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from typer.testing import CliRunner

from advisor.cli.verbs import app
from tests.rule_folders import kept_unproved, shipped_files, write

TOLD = "It adds words of its own, marked as such, to: silica_dust."
VERBS = {
    "advise": ["advise", "untested_garage"],
    "advise in full": ["advise", "untested_garage", "--full"],
    "letter": ["letter", "untested_garage"],
    "plan": ["plan", "untested_garage"],
    "materials": ["materials", "untested_garage"],
    "cost": ["cost", "untested_garage"],
    "compare": ["compare", "untested_garage"],
    "causes": ["causes", "untested_garage", "--say", "trouble=dusting"],
    "handover": ["causes", "untested_garage", "--say", "trouble=dusting", "--handover"],
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    for file in shipped_files():
        entry = file.get("cautions", {}).get("silica_dust")
        if entry:
            text = yaml.safe_dump({"cautions": {"silica_dust": {**entry, "adds": "Our branch lends masks."}}})
            return write(tmp_path_factory.mktemp("laid") / "shop", {"own.yaml": text})
    raise AssertionError


@pytest.fixture(scope="module", autouse=True)
def _kept(shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is told is the same without the proof."""
    with pytest.MonkeyPatch.context() as patch:
        kept_unproved(patch, tmp_path_factory.mktemp("store"), shop)
        yield


@pytest.mark.parametrize("arguments", VERBS.values(), ids=VERBS)
def test_a_page_tells_it(arguments: list[str], shop: Path) -> None:
    done = CliRunner().invoke(app, [*arguments, "--rules", str(shop)], catch_exceptions=False)
    assert done.exit_code == 0
    assert TOLD in " ".join(done.stdout.split())


@pytest.mark.parametrize("ending", ["html", "md"])
def test_a_page_of_a_survey_tells_it(ending: str, shop: Path, tmp_path: Path) -> None:
    table, page = tmp_path / "floors.csv", tmp_path / f"page.{ending}"
    table.write_text("floor,room,area [m2]\nA,garage,40\n")
    out = ["--out", str(tmp_path / "floors.parquet"), "--page", str(page), "--rules", str(shop)]
    done = CliRunner().invoke(app, ["survey", str(table), *out], catch_exceptions=False)
    assert done.exit_code == 0
    assert "marked as such, to: silica" in page.read_text().replace("\\", "")
