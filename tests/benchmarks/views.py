"""Whether all views of one answer agree, on many random floors: python -m tests.benchmarks.views [FLOORS] [RULES].

Half of the floors are judged by the shipped rules (with the folders named laid over them), half by them with the rules
of shops made by chance, another shop each time. Its short form is `tests/test_views.py`.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from datetime import date
from itertools import cycle
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from advisor.engines.reasoning import Reasoner
from advisor.validation.loading import load_rulebase
from tests.random_shops import shops
from tests.views import Views

FLOORS, TOGETHER = 1000, 50  # floors in all, and in one survey
TOLD = 10  # floors from one line of progress to the next
THOROUGH = 100  # floors of which all that `turn` finds is borne out; of the others what it shows


def main() -> None:
    """Run it; every disagreement is printed, and any makes it fail."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FLOORS
    rng, today, begun, wrong, done, doubtful = Random(12), date.today(), time.process_time(), 0, 0, 0
    shipped = Views(Reasoner(load_rulebase(*map(Path, sys.argv[2:]), proved=False)), today)
    with TemporaryDirectory() as folder:
        laid_over = (Views(Reasoner(base), today) for base in shops(Path(folder), Random(12)))
        for by in cycle(("shipped", "shop")):
            if done >= count:
                break
            views = replace(shipped if by == "shipped" else next(laid_over), everything=done < THOROUGH)
            cases = list(views.floors(rng, min(TOGETHER, count - done)))
            found = []
            for at, case in enumerate(cases, start=1):
                found += [f"{case.floor}, {each}" for each in views.disagreements(case)]
                if at % TOLD == 0:
                    print(f"  {done + at} floors, {len(found)} new", flush=True)
            found += views.surveyed(cases)
            for each in found:
                print(f"{done // TOGETHER} ({by}) {each}", flush=True)
            wrong, done = wrong + len(found), done + len(cases)
            doubtful += sum(bool(case.set_aside) for case in cases)
            print(f"{done} floors, {doubtful} with doubts: {wrong} disagreements", flush=True)
    print(f"{(time.process_time() - begun) / max(done, 1):.2f} s of CPU a floor")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
