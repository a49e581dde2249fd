"""Whether all views of one answer agree, on many random floors: python -m tests.benchmarks.views [FLOORS] [RULES]."""

from __future__ import annotations

import sys
import time
from datetime import date
from pathlib import Path
from random import Random

from advisor.engines.reasoning import Reasoner
from advisor.validation.loading import load_rulebase
from tests.views import Views

FLOORS, TOGETHER = 1000, 50  # floors in all, and in one survey


def main() -> None:
    """Run it; every disagreement is printed, and any makes it fail."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FLOORS
    views = Views(Reasoner(load_rulebase(*map(Path, sys.argv[2:]), proved=False)), date.today())
    rng, begun, wrong, done, doubtful = Random(12), time.process_time(), 0, 0, 0
    while done < count:
        cases = list(views.floors(rng, min(TOGETHER, count - done)))
        found = [f"{case.floor}, {each}" for case in cases for each in views.disagreements(case)]
        found += views.surveyed(cases)
        for each in found:
            print(each, flush=True)
        wrong, done = wrong + len(found), done + len(cases)
        doubtful += sum(bool(case.set_aside) for case in cases)
        print(f"{done} floors, {doubtful} with doubts: {wrong} disagreements", flush=True)
    print(f"{(time.process_time() - begun) / max(done, 1):.2f} s of CPU a floor")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
