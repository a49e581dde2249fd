"""How many questions it takes: `python -m tests.benchmarks.interview [FLOORS] [CASES...]`.

Floors are drawn by the likelihoods, complete, and asked about with nothing known; cases are asked as their files say.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from random import Random
from statistics import median

import advisor
from advisor.answer.judging import judge_of
from advisor.demo import demo_cases
from advisor.facts.case import Case
from tests.asking_trials import trials
from tests.interviewed import Held, hold

TODAY = date(2026, 11, 27)


def drawn(adviser: advisor.Adviser, count: int, seed: int = 16) -> Iterator[tuple[str, Mapping[str, str]]]:
    """Complete floors as they are met."""
    for place, trial in enumerate(trials(judge_of(adviser.reasoner), Random(seed), count, usual=True, hidden=0.0)):
        yield f"drawn {place}", {name: value.choice or value.shown for name, value in trial.floor.items()}


def told(name: str, held: list[Held]) -> str:
    """The count of questions in the middle and at nine in ten, and how interviews ended."""
    counts = sorted(len(each.asked) for each in held)
    ends = Counter(each.ends for each in held)
    ninth = counts[min(len(counts) - 1, -(-9 * len(counts) // 10) - 1)]
    return (
        f"{name}: {len(counts)} floors, median {median(counts):g}, nine in ten {ninth}, most {counts[-1]}; {dict(ends)}"
    )


def main() -> None:
    adviser = advisor.load()
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    files = [*demo_cases().values(), *map(Path, sys.argv[2:])]
    cases = [
        (path.stem, {name: each.text for name, each in adviser.read(path, TODAY).stated.items()}) for path in files
    ]
    for name, floors in (("cases", cases), ("drawn", list(drawn(adviser, count)))):
        held, right = list[Held](), 0
        for floor, facts in floors:
            held.append(hold(adviser.reasoner, facts, TODAY))
            right += _leads(adviser, held[-1].case) == _leads(adviser, adviser.case(facts, today=TODAY))
            print(f"  {floor}: {len(held[-1].asked)} {held[-1].ends} {held[-1].helps}", flush=True)
        print(f"{told(name, held)}; the finish of the floor with everything known: {right}", flush=True)


def _leads(adviser: advisor.Adviser, case: Case) -> str | None:
    """What stops, or else the finish that leads."""
    answer = adviser.advise(case, TODAY, certainty=False).answer
    return answer.kind if answer.kind == "professional" else answer.leading


if __name__ == "__main__":
    main()
