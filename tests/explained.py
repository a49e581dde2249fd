"""Answers to explain: the shipped demo cases and random floors, with their graphs. Made once for all tests of a run."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import count
from pathlib import Path
from random import Random

from advisor.asking.explaining import Explained
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_case, read_fact
from advisor.validation.loading import load_rulebase, read_rulebase
from tests.draws import draws
from tests.floors import limits_of, random_case

KEPT = draws(15)  # floors that stay explained, some 8 MB each


@cache
def the_reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@cache
def small_reasoner() -> Reasoner:
    """Over the rule base in `small_rules`, on which everything can be tried, and which no rule of the trade changes."""
    return Reasoner(read_rulebase(Path(__file__).parent / "small_rules"))


@cache
def small_floor() -> Explained:
    """A floor of the small rule base: one finish ruled out, one too dear, one left."""
    said = {"wetness": "90 %", "shine": "glossy", "budget": "500 usd", "area": "20 m2", "age": "100 day", "leak": "no"}
    base = small_reasoner().base
    facts = {name: read_fact(base, name, text, "test") for name, text in said.items()}
    return Explained(small_reasoner(), Case("A small floor (invented)", "", facts))


@cache
def demos() -> dict[str, Explained]:
    base = the_reasoner().base
    return {name: Explained(the_reasoner(), read_case(path, base)) for name, path in demo_cases().items()}


def random_floors(number: int, seed: int = 6) -> Iterator[Explained]:
    """The first so many of a row of floors, the same whoever asks; all but the first few are explained anew."""
    for at in range(number):
        yield _kept(seed, at) if at < KEPT else Explained(the_reasoner(), _case(seed, at))


@cache
def _kept(seed: int, at: int) -> Explained:
    return Explained(the_reasoner(), _case(seed, at))


def _case(seed: int, at: int) -> Case:
    drawn, others = _drawn(seed)
    while len(drawn) <= at:
        drawn.append(next(others))
    return drawn[at]


@cache
def _drawn(seed: int) -> tuple[list[Case], Iterator[Case]]:
    reasoner, rng = the_reasoner(), Random(seed)
    limits = limits_of(reasoner.program)
    return [], (Case(f"floor {at}", "", random_case(reasoner.base, rng, bounds=limits)) for at in count())


def some() -> list[Explained]:
    """The demo cases and some random floors."""
    return [*demos().values(), *random_floors(KEPT)]
