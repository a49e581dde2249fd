"""Proofs: the audit of all claims, and a floor for each rule."""

from __future__ import annotations

import time

from advisor.engines.smt import EveryCase
from advisor.validation.audit import audit, tally
from advisor.validation.loading import load_rulebase


def main() -> None:
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


if __name__ == "__main__":
    main()
