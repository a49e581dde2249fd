"""Measures the estimates; prints times and ratios, asserts nothing.

Pack choice beside brute force over the same choices, the take-off of one floor, all finishes side by side, a letter as
PDF.  Run behind ``make bench``.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date, datetime
from itertools import product
from pathlib import Path

from advisor.demo import find_case
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import read_case
from advisor.pages.compare import compared
from advisor.pages.letter import letter_page
from advisor.pages.pdf import fitted_pdf
from advisor.pages.records import cost_record, plan_record
from advisor.validation.loading import load_rulebase
from advisor.work.cost import cost_range
from advisor.work.packs import Pack, choose_packs
from advisor.work.takeoff import TakeOff, begin

TODAY, RATE, RUNS = date(2026, 11, 25), 0.03, 9
PACKS = [Pack("1", 3.785, 7400), Pack("3", 11.356, 18_900), Pack("15", 56.78, 93_000)]


def timed(run: Callable[[], object]) -> float:
    """One run [s of CPU]: what else the machine does is not counted."""
    start = time.process_time()
    run()
    return time.process_time() - start


def by_brute_force(need: float) -> tuple[int, float]:
    """Every choice of enough packs, the cheapest and then the smallest."""
    most = [range(int(need / pack.holds) + 2) for pack in PACKS]
    choices = []
    for counts in product(*most):
        holds = sum(n * pack.holds for n, pack in zip(counts, PACKS, strict=True))
        if holds >= need:
            choices.append((sum(n * pack.price for n, pack in zip(counts, PACKS, strict=True)), holds))
    return min(choices)


def pack_choice() -> None:
    """Two hundred needs from 10 to 400 L of an article in three packs."""
    needs = [10.0 + 1.95 * step for step in range(200)]
    choose_packs(9.0, PACKS)  # loads the solver
    exact = timed(lambda: [choose_packs(need, PACKS) for need in needs])
    brute = timed(lambda: [by_brute_force(need) for need in needs])
    print(f"pack choice: {exact / len(needs) * 1e3:.2f} ms, brute force {brute / len(needs) * 1e3:.2f} ms")
    print(f"  ratio {exact / brute:.2f}")


def study() -> TakeOff:
    """The garage of the demo cases."""
    base = load_rulebase()
    return begin(Reasoner(base), read_case(find_case(Path("untested_garage")), base), TODAY)


def one_floor() -> None:
    """What `cost`, `materials` and `plan` tell of one floor, from its facts on, in a process that is warm."""
    reasoner = Reasoner(load_rulebase())
    case = read_case(find_case(Path("untested_garage")), reasoner.base)
    monday = datetime(2026, 11, 30, 8)

    def taken_off() -> None:
        looked = begin(reasoner, case, TODAY)
        finish = looked.chosen(None)
        cost_record(looked, finish, RATE)
        plan_record(looked, finish, monday)

    def from_the_advice() -> None:
        looked = begin(reasoner, case, TODAY, advice=advised.advice)
        looked.job(looked.chosen(None))
        cost_range(looked.job(looked.chosen(None)), looked.book)

    taken_off()
    advised = begin(reasoner, case, TODAY)
    whole = sorted(timed(taken_off) for _ in range(RUNS))[RUNS // 2]
    alone = sorted(timed(from_the_advice) for _ in range(RUNS))[RUNS // 2]
    print(f"take-off of one floor, warm, with advice, money over the years and days: {whole * 1e3:.0f} ms (asked: 150)")
    print(f"  its job and cost alone: {alone * 1e3:.0f} ms")


def pages() -> None:
    """All finishes side by side, first and again, and the letter as PDF."""
    looked = study()
    every = list(looked.base.finishes)
    first = timed(lambda: compared(looked, every, RATE))
    again = timed(lambda: compared(looked, every, RATE))
    letter = timed(lambda: fitted_pdf(letter_page(looked, RATE), "letter", 2))
    print(f"{len(every)} finishes side by side: {first * 1e3:.0f} ms, again {again * 1e3:.0f} ms")
    print(f"letter as PDF: {letter * 1e3:.0f} ms")


def main() -> None:
    """Print every measurement."""
    pack_choice()
    one_floor()
    pages()


if __name__ == "__main__":
    main()
