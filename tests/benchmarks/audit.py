"""Proofs: the audit of all claims, a floor for each rule, and overlays proved with what stands beneath taken as proved.

python -m tests.benchmarks.audit [OVERLAYS]
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import yaml

from advisor.engines.smt import EveryCase
from advisor.errors import BadRuleBase
from advisor.model.knowledge import RuleBase
from advisor.validation.audit import audit, tally
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.overlay_mutations import random_overlay
from tests.rule_folders import write

OVERLAYS, SEED = 5, 29


def main(overlays: int = OVERLAYS) -> None:
    """Print seconds of CPU time."""
    base = load_rulebase()
    began = time.process_time()
    findings = list(audit(base))
    print(f"audit: {tally(findings)} {time.process_time() - began:.1f} s (asked: under 20 s)")
    for finding in sorted(findings, key=lambda each: -each.seconds)[:3]:
        print(f"  longest: {finding.claim} {finding.seconds:.2f} s wall, {finding.questions} questions")
    every = EveryCase(base)
    began = time.process_time()
    floors = [every.floor_where_fires(rule) for rule in base.rules]
    each = (time.process_time() - began) / len(floors)
    print(f"witnesses: {each * 1e3:.1f} ms a rule on average (asked: 20 ms), {floors.count(None)} rules without")
    _overlays(base, overlays)


def _overlays(below: RuleBase, wanted: int) -> None:
    """Overlays made by chance that are taken: the same claims are refuted with what lies beneath taken as proved."""
    rng, whole, short = Random(SEED), 0.0, 0.0
    with TemporaryDirectory() as folder:
        for number in range(wanted):
            above = _taken(rng, Path(folder) / str(number))
            began = time.process_time()
            by_all = {each.claim for each in audit(above) if each.outcome == "refuted"}
            between = time.process_time()
            by_new = {each.claim for each in audit(above, below=below) if each.outcome == "refuted"}
            whole, short = whole + between - began, short + time.process_time() - between
            assert by_all == by_new, (by_all, by_new)
    print(f"overlays: {whole / wanted:.1f} s each in full, {short / wanted:.1f} s beside what is proved beneath")


def _taken(rng: Random, folder: Path) -> RuleBase:
    for number in range(1000):
        text = yaml.safe_dump(random_overlay(rng), sort_keys=False)
        try:
            return read_rulebase(rules_folder(), write(folder / str(number), {"own.yaml": text}))
        except BadRuleBase:
            continue
    raise AssertionError("no overlay was taken")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else OVERLAYS)
