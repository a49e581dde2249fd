"""Rules that a shop lays over are held against the claims about every floor; what breaks one is refused."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.errors import BadRuleBase
from advisor.validation.loading import load_rulebase
from tests.rule_folders import kept_unproved

BREAKS = """
limits:
  shop_dry: {is: 40 percent, means: "below it this shop sells no paint", source: common_practice}
rules:
  - id: shop.no_paint_on_a_dry_slab
    judges: {id: floor_paint}
    when: {slab_humidity: below limit.shop_dry}
    then: {rule_out: yes}
    because: "At {slab_humidity} this shop sells no {finish}."
    source: common_practice
"""
KEEPS = """
rules:
  - id: shop.likes_polish
    judges: {film: none}
    when: {wanted_look: natural}
    then: {points: {look: 1}}
    because: "This shop shows {finish} in its own rooms."
    source: common_practice
"""


def advise(tmp_path: Path, rules: str) -> subprocess.CompletedProcess[str]:
    shop = tmp_path / "shop"
    shop.mkdir(exist_ok=True)
    (shop / "own.yaml").write_text(rules)
    command = [sys.executable, "-m", "advisor", "advise", "shop_over_ground", "--rules", str(shop)]
    environment = {**os.environ, "XDG_CACHE_HOME": str(tmp_path / "cache")}
    return subprocess.run(command, capture_output=True, text=True, timeout=300, env=environment, check=False)


def test_an_overlay_that_breaks_a_claim_is_refused_with_the_floor(tmp_path: Path) -> None:
    """Paint ruled out on a dry slab comes back on a wetter one: common practice, no source, wants it the other way."""
    done = advise(tmp_path, BREAKS)
    assert done.returncode == 2
    assert "slab_humidity: " in done.stderr
    assert "humidity measured in the slab never brings a finish back" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_an_overlay_that_keeps_them_is_proved_once(tmp_path: Path) -> None:
    first, second = advise(tmp_path, KEEPS), advise(tmp_path, KEEPS)
    assert first.returncode == second.returncode == 0, first.stderr
    assert "Proving" in first.stderr
    assert "Proving" not in second.stderr
    assert first.stdout == second.stdout
    assert ", with shop" in " ".join(first.stdout.split())


def test_a_caller_of_the_library_gets_the_same_proof(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "own.yaml").write_text(BREAKS)
    with pytest.raises(BadRuleBase, match="never brings a finish back"):
        load_rulebase(shop)


def test_an_edited_folder_is_read_anew_and_what_did_not_change_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    own = shop / "own.yaml"
    text = "limits: {shop_own: {is: 5 mm, means: a gap that this shop fills, source: common_practice}}\n"
    own.write_text(text)
    kept_unproved(monkeypatch, tmp_path / "store", shop)
    first = load_rulebase(shop)
    assert load_rulebase(shop) is first
    own.write_text(text.replace("5 mm", "6 mm"))
    kept_unproved(monkeypatch, tmp_path / "store", shop)
    assert load_rulebase(shop).limits["shop_own"].given == "6 mm"
