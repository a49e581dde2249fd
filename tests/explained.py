"""Answers to explain: the shipped demo cases and random floors, with their graphs. Made once for all tests of a run."""

from __future__ import annotations

from functools import cache
from random import Random

from advisor.case import Case, read_case
from advisor.demo import demo_cases
from advisor.explaining import Explained
from advisor.reasoning import Reasoner
from advisor.rulebase import load_rulebase
from tests.floors import limits_of, random_case


@cache
def the_reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@cache
def demos() -> dict[str, Explained]:
    base = the_reasoner().base
    return {name: Explained(the_reasoner(), read_case(path, base)) for name, path in demo_cases().items()}


@cache
def random_floors(number: int, seed: int = 6) -> tuple[Explained, ...]:
    reasoner, rng = the_reasoner(), Random(seed)
    limits = limits_of(reasoner.program)
    cases = [Case(f"floor {at}", "", random_case(reasoner.base, rng, bounds=limits)) for at in range(number)]
    return tuple(Explained(reasoner, case) for case in cases)


def some() -> list[Explained]:
    """The demo cases and forty random floors."""
    return [*demos().values(), *random_floors(40)]
