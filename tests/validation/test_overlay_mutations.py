"""Overlays made by chance: whatever is taken loses nothing of safety on any floor drawn, and none ends in a traceback.

The long form is `python -m tests.benchmarks.overlays`.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import yaml

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRuleBase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.floors import random_case
from tests.overlay_mutations import lost, random_overlay, safety
from tests.rule_folders import write

SEED, OVERLAYS, FLOORS = 13, 20, 6


def test_no_overlay_made_by_chance_takes_a_safeguard_away(tmp_path: Path) -> None:
    taken, refused = try_overlays(tmp_path, SEED, OVERLAYS, FLOORS)
    assert taken >= 3
    assert refused >= 10


def try_overlays(folder: Path, seed: int, overlays: int, floors: int) -> tuple[int, int]:
    """How many of so many overlays were taken, and refused; fails where one that was taken lost something.

    Without the proof of the claims, which takes half a minute each: the comparison with what lies below stands alone.
    """
    rng = Random(seed)
    below = Reasoner(load_rulebase())
    drawn = [random_case(below.base, rng) for _ in range(floors)]
    owed = [safety(below, facts) for facts in drawn]
    taken = refused = 0
    for number in range(overlays):
        text = yaml.safe_dump(random_overlay(rng), sort_keys=False)
        try:
            above = read_rulebase(rules_folder(), write(folder / f"shop{number}", {"own.yaml": text}))
        except BadRuleBase:
            refused += 1
            continue
        taken += 1
        reasoner = Reasoner(above)
        for facts, before in zip(drawn, owed, strict=True):
            assert before is not None
            assert lost(before, safety(reasoner, facts)) == [], text
    return taken, refused
