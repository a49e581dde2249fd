"""The kept rule base: the same as the one read, and never trusted when anything is off."""

from __future__ import annotations

import hashlib
import os
import pickle
import shutil
from pathlib import Path

import pytest

from advisor.model import grounding
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.years import THIS_YEAR
from advisor.validation import loading
from advisor.validation.cache import keep_rulebase, kept_rulebase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "slab-finish-advisor"


def test_what_is_kept_comes_back_the_same(cache: Path) -> None:
    base = read_rulebase(rules_folder())
    assert kept_rulebase([rules_folder()]) is None
    keep_rulebase([rules_folder()], base)
    kept = kept_rulebase([rules_folder()])
    assert kept == base
    assert ground(kept) == ground(base.model_copy())  # kept with it, and worked out anew
    assert [path.suffix for path in cache.iterdir()] == [".kept"]


def test_what_is_counted_to_another_year_is_ground_once_and_kept_too(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = load_rulebase()
    written, later = round(own.norms[THIS_YEAR].interval.low), 2041

    def cold(year: int | None) -> RuleBase:
        """As a new process finds it."""
        monkeypatch.setattr(loading, "_ready", {})
        return load_rulebase(year=year)

    keep_rulebase([rules_folder()], own)
    first = cold(later)
    assert {name for name, limit in own.limits.items() if limit != first.limits[name]} == {
        name for name, limit in own.limits.items() if limit.end_of
    }
    assert len(list(cache.iterdir())) == 2
    monkeypatch.setattr(grounding, "ground_one", None)  # whoever grounds a rule now, fails
    again = cold(later)
    assert again is load_rulebase(year=later)
    assert again == first
    assert ground(again) == ground(first)
    assert again.norms[THIS_YEAR].interval.low == later
    assert cold(written) == own == load_rulebase()
    assert load_rulebase(year=written) is load_rulebase()
    assert len(list(cache.iterdir())) == 2


class Calling:
    """Pickled, it asks for a function to be called."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return os.mkdir, (self.place,)

    def __init__(self, place: str) -> None:
        self.place = place


@pytest.mark.parametrize("harm", ["cut", "altered", "no text", "other data", "no program", "not a pickle"])
def test_a_harmed_file_counts_as_none(cache: Path, harm: str) -> None:
    base = read_rulebase(rules_folder())
    keep_rulebase([rules_folder()], base)
    (path,) = cache.iterdir()
    whole = path.read_bytes()
    harmed = {
        "cut": whole[: len(whole) // 2],
        "altered": whole.replace(b"75 percent", b"95 percent"),
        "no text": b"\xff\xfe\x00",
        "other data": signed(pickle.dumps([1])),
        "no program": signed(pickle.dumps((base, [1]))),
        "not a pickle": signed(b"nothing"),
    }[harm]
    assert harmed != whole
    path.write_bytes(harmed)
    assert kept_rulebase([rules_folder()]) is None


def test_a_file_that_asks_for_more_than_data_counts_as_none_and_nothing_of_it_is_done(
    cache: Path, tmp_path: Path
) -> None:
    keep_rulebase([rules_folder()], read_rulebase(rules_folder()))
    (path,) = cache.iterdir()
    for asks in (Calling(str(tmp_path / "made")), Pattern, Path("somewhere"), ground):
        path.write_bytes(signed(pickle.dumps((asks, asks))))
        assert kept_rulebase([rules_folder()]) is None
    assert not (tmp_path / "made").exists()


def signed(data: bytes) -> bytes:
    return hashlib.sha256(data).hexdigest().encode() + b"\n" + data


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


def keep_and_find(folders: list[Path], base: RuleBase, cache: Path) -> Path:
    before = set(cache.iterdir()) if cache.is_dir() else set()
    keep_rulebase(folders, base)
    (new,) = set(cache.iterdir()) - before
    return new


def test_only_a_few_are_kept_and_those_in_use_stay(cache: Path, tmp_path: Path) -> None:
    base = read_rulebase(rules_folder())
    for number in range(12):
        folder = tmp_path / f"rules{number}"
        folder.mkdir()
        (folder / "a.yaml").write_text(f"about: {{version: '{number}'}}")
        os.utime(keep_and_find([folder], base, cache), ns=(number, number))
        assert kept_rulebase([tmp_path / "rules0"]) == base
    assert len(list(cache.iterdir())) == 8


def test_a_missing_or_empty_overlay_is_never_taken_for_the_shipped_rules(cache: Path, tmp_path: Path) -> None:
    keep_rulebase([rules_folder()], read_rulebase(rules_folder()))
    (tmp_path / "empty").mkdir()
    for folder in (tmp_path / "none", tmp_path / "empty"):
        assert kept_rulebase([rules_folder(), folder]) is None
    assert kept_rulebase([rules_folder()]) is not None
