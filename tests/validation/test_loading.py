"""Loading: what is laid over is proved unless one asks otherwise, little is held in memory, years are counted anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.model.knowledge import RuleBase
from advisor.model.years import THIS_YEAR
from advisor.validation import audit, loading
from advisor.validation.loading import MOST_LAID_OVER, load_rulebase
from tests.test_views import SHOP


class Proofs:
    """Takes the place of the proof, and counts what was asked of it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        self.folder, self.asked, self.told = folder, 0, 0
        monkeypatch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
        monkeypatch.setattr(audit, "refuse_broken", self._asked)
        monkeypatch.setattr(loading, "_ready_laid_over", {})

    def _asked(self, base: RuleBase, below: RuleBase) -> None:
        assert base.rules.keys() > below.rules.keys()
        self.asked += 1

    def tell(self) -> None:
        """What is called before a proof."""
        self.told += 1

    def shop(self, name: str) -> Path:
        """A folder to be laid over, unlike the others."""
        made = self.folder / name
        made.mkdir()
        (made / "own.yaml").write_text(f"{SHOP}# {name}\n", encoding="utf-8")
        return made


@pytest.fixture
def proofs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Proofs:
    return Proofs(monkeypatch, tmp_path)


def test_what_is_laid_over_is_proved_once_and_the_shipped_rules_are_not(proofs: Proofs) -> None:
    load_rulebase(proving=proofs.tell)
    assert (proofs.asked, proofs.told) == (0, 0)
    shop = proofs.shop("shop")
    loaded = load_rulebase(shop, proving=proofs.tell)
    assert (proofs.asked, proofs.told) == (1, 1)
    assert load_rulebase(shop, proving=proofs.tell) is loaded
    assert (proofs.asked, proofs.told) == (1, 1)
    load_rulebase(proofs.shop("shown"), proved=False, proving=proofs.tell)
    assert (proofs.asked, proofs.told) == (1, 1)


def test_only_the_last_few_that_were_laid_over_stay_in_memory(proofs: Proofs) -> None:
    shipped = load_rulebase()
    some = [load_rulebase(proofs.shop(f"shop {number}")) for number in range(MOST_LAID_OVER + 2)]
    assert [id(each) for each in loading._ready_laid_over.values()] == [id(each) for each in some[2:]]
    assert load_rulebase() is shipped


def test_ages_are_counted_to_the_year_asked_for_whatever_was_loaded_before() -> None:
    own = load_rulebase()
    later = load_rulebase(year=2043)
    assert later.norms[THIS_YEAR].interval.low == 2043 != own.norms[THIS_YEAR].interval.low
    assert load_rulebase() is own
