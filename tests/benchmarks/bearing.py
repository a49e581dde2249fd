"""What is told is what the answer hangs on: measured over scenario floors and random ones, by the engine.

The shares that `tests/answer/test_bearing.py` holds on a few floors: gists whose every reason turns the answer, answers
whose first reason sets the first finish apart from the next, single facts that turn the answer and are not told.
"""

from __future__ import annotations

import sys
from collections import Counter
from random import Random

from advisor.asking.explaining import Explained
from tests.answer.test_bearing import BASE, REASONER, random_floors
from tests.scenario_files import shelf
from tests.turning_trials import idle, missed_facts, separates, untrue

FLOORS = 1_000


def main(count: int = FLOORS) -> None:
    """Half of the floors from the scenarios, half random; facts that turn are sought on every tenth."""
    rng, told = Random(17), Counter[str]()
    cases = list(shelf().cases(BASE).values())
    chosen = rng.sample(cases, min(len(cases), count // 2))
    for number, one in enumerate(
        (*(Explained(REASONER, case) for case in chosen), *random_floors(count // 2)), start=1
    ):
        apart = separates(one)
        told["floors"] += 1
        told["gists with a reason that turns nothing"] += bool(idle(one))
        told["answers with two finishes to set apart"] += apart is not None
        told["of them, first reasons that set them apart"] += bool(apart)
        told["reasons told otherwise than they turn"] += len(list(untrue(one)))
        if number % 10 == 0:
            told["floors searched for facts"] += 1
            told["facts that turn alone and are not told"] += len(list(missed_facts(one, rng)))
            print("; ".join(f"{what}: {many}" for what, many in told.items()), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else FLOORS)
