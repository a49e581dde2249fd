"""Overlays made by chance: whatever is taken loses nothing of safety on any floor drawn, and none ends in a traceback.

The long form is `python -m tests.benchmarks.overlays`.
"""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from itertools import count
from pathlib import Path
from random import Random

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRuleBase
from advisor.model.grounding import ground
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


def test_what_is_taken_over_from_beneath_is_what_would_be_ground_anew(tmp_path: Path) -> None:
    """Another finish, a finish more, another rule, limit or procedure: the same program as without anything beneath."""
    rng, taken = Random(SEED), Counter[str]()
    for number in range(16):
        overlay = random_overlay(rng)
        shop = write(tmp_path / f"shop{number}", {"own.yaml": yaml.safe_dump(overlay, sort_keys=False)})
        with suppress(BadRuleBase):
            base = read_rulebase(rules_folder(), shop)
            assert ground(base) == ground(base.model_copy())  # a copy knows of nothing beneath it
            taken.update(overlay.keys())
    assert {"finish", "procedures"} <= taken.keys()
