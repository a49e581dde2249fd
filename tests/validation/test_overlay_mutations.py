"""Overlays made by chance: whatever is taken loses nothing of safety on any floor drawn, and none ends in a traceback.

The long form is `python -m tests.benchmarks.overlays`.
"""

from __future__ import annotations

from collections import Counter
from itertools import count
from pathlib import Path
from random import Random

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRuleBase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.floors import random_case
from tests.overlay_mutations import Data, lost, random_overlay, safety
from tests.rule_folders import write

SEED, OVERLAYS, FLOORS = 13, 20, 6


def test_no_overlay_made_by_chance_takes_a_safeguard_away(tmp_path: Path) -> None:
    """Drawn by Hypothesis, which looks for the simplest overlay that loses something."""
    held, numbers, ended = Held(Random(SEED), FLOORS), count(), Counter[bool]()

    @settings(max_examples=OVERLAYS, derandomize=True, database=None, deadline=None, suppress_health_check=HealthCheck)
    @given(rng=st.randoms(use_true_random=False))
    def loses_nothing(rng: Random) -> None:
        ended[held.took(random_overlay(rng), tmp_path / f"shop{next(numbers)}")] += 1

    loses_nothing()
    assert ended[True] >= 3
    assert ended[False] >= 5


class Held:
    """What floors drawn by chance are owed, and whether an overlay keeps it."""

    def __init__(self, rng: Random, floors: int) -> None:
        below = Reasoner(load_rulebase())
        drawn = [random_case(below.base, rng) for _ in range(floors)]
        self.owed = [(facts, before) for facts in drawn if (before := safety(below, facts)) is not None]
        assert len(self.owed) == floors

    def took(self, overlay: Data, folder: Path) -> bool:
        """Whether an overlay is taken; fails where one that is loses something.

        Without the proof of the claims, which takes longer: the comparison with what lies below stands alone.
        """
        text = yaml.safe_dump(overlay, sort_keys=False)
        try:
            above = Reasoner(read_rulebase(rules_folder(), write(folder, {"own.yaml": text})))
        except BadRuleBase:
            return False
        for facts, before in self.owed:
            assert lost(before, safety(above, facts)) == [], text
        return True
