"""Measures the estimates; prints times and ratios, asserts nothing.

Pack choice beside brute force over the same choices, all finishes side by side, a letter as PDF.  Run behind
``make bench``.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date
from itertools import product
from pathlib import Path

from advisor.demo import find_case
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import read_case
from advisor.pages.compare import compared
from advisor.pages.letter import letter_page
from advisor.pages.pdf import fitted_pdf
from advisor.validation.loading import load_rulebase
from advisor.work.packs import Pack, choose_packs
from advisor.work.takeoff import TakeOff, begin

TODAY, RATE = date(2026, 11, 25), 0.03
PACKS = [Pack("1", 3.785, 7400), Pack("3", 11.356, 18_900), Pack("15", 56.78, 93_000)]


def timed(run: Callable[[], object]) -> float:
    """One run [s]."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


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
    pages()


if __name__ == "__main__":
    main()
