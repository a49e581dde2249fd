"""The kept rule base: the same as the one read, and never trusted when anything is off."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from advisor.validation.cache import keep_rulebase, kept_rulebase
from advisor.validation.loading import read_rulebase, rules_folder


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "slab-finish-advisor"


def test_what_is_kept_comes_back_the_same(cache: Path) -> None:
    base = read_rulebase(rules_folder())
    assert kept_rulebase([rules_folder()]) is None
    keep_rulebase([rules_folder()], base)
    assert kept_rulebase([rules_folder()]) == base
    assert [path.suffix for path in cache.iterdir()] == [".json"]


@pytest.mark.parametrize("harm", ["cut", "altered", "no text", "other data"])
def test_a_harmed_file_counts_as_none(cache: Path, harm: str) -> None:
    import hashlib

    keep_rulebase([rules_folder()], read_rulebase(rules_folder()))
    (path,) = cache.iterdir()
    whole = path.read_text()
    harmed = {
        "cut": whole[: len(whole) // 2].encode(),
        "altered": whole.replace("75 percent", "95 percent").encode(),
        "no text": b"\xff\xfe\x00",
        "other data": f"{hashlib.sha256(b'[1]').hexdigest()}\n[1]".encode(),
    }[harm]
    assert harmed != whole.encode()
    path.write_bytes(harmed)
    assert kept_rulebase([rules_folder()]) is None


def test_a_changed_rule_file_finds_nothing_kept(cache: Path, tmp_path: Path) -> None:
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    base = read_rulebase(folder)
    keep_rulebase([folder], base)
    assert kept_rulebase([folder]) == base
    about = folder / "about.yaml"
    about.write_text(about.read_text().replace("version", "version", 1) + "\n# another comment\n")
    assert kept_rulebase([folder]) is None


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    keep_rulebase([rules_folder()], read_rulebase(rules_folder()))
    assert kept_rulebase([rules_folder()]) is None


def test_only_a_few_are_kept(cache: Path, tmp_path: Path) -> None:
    base = read_rulebase(rules_folder())
    for number in range(12):
        folder = tmp_path / f"rules{number}"
        folder.mkdir()
        (folder / "a.yaml").write_text(f"about: {{version: '{number}'}}")
        keep_rulebase([folder], base)
    assert len(list(cache.iterdir())) == 8


def test_a_missing_or_empty_overlay_is_never_taken_for_the_shipped_rules(cache: Path, tmp_path: Path) -> None:
    keep_rulebase([rules_folder()], read_rulebase(rules_folder()))
    (tmp_path / "empty").mkdir()
    for folder in (tmp_path / "none", tmp_path / "empty"):
        assert kept_rulebase([rules_folder(), folder]) is None
    assert kept_rulebase([rules_folder()]) is not None
