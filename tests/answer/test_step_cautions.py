"""Which steps stand on a floor: alike for one floor and in columns."""

from __future__ import annotations

from itertools import product

import numpy as np

from advisor.answer.step_cautions import needed, standing, standing_steps
from advisor.model.procedures import Procedure, Step
from advisor.model.values import choice, unknown
from tests.answer.test_judging import BASE

CHOICES = ("yes", "no", "unknown")


def steps() -> Procedure:
    wanted = {
        "sand": Step(do="sand", where={"a": ("yes",)}),
        "dust": Step(do="dust", alongside="sand"),
        "wash": Step(do="wash", where={"a": ("no",), "b": ("yes", "no")}),
        "rinse": Step(do="rinse", alongside="dust"),
    }
    return Procedure.model_construct(steps=tuple(wanted.values()))


def test_a_step_stands_where_it_may_be_needed_and_falls_with_the_one_it_is_done_alongside() -> None:
    kind = BASE.facts["pets"]
    for a, b in product(CHOICES, CHOICES):
        facts = {name: unknown(kind) if it == "unknown" else choice(it) for name, it in (("a", a), ("b", b))}
        stand = [step.id for step in standing_steps(BASE, steps(), facts)]
        assert stand == [
            *(["sand", "dust"] if a != "no" else []),
            *(["wash"] if a != "yes" else []),
            *(["rinse"] if a != "no" else []),
        ]
        sand, dust, wash, _ = (needed(BASE, step, facts) for step in steps().steps)
        assert (sand, dust) == ({"yes": True, "no": None, "unknown": False}[a], True)
        assert wash == (None if a == "yes" else a == "no" and b != "unknown")


def test_many_floors_stand_as_each_alone() -> None:
    flags = {"sand": np.array([True, False, True]), "dust": np.array([True, True, False])}
    found = {step.id: here for step, here in standing(steps(), lambda step: flags.get(step.id, np.ones(3, np.bool)))}
    assert found["dust"].tolist() == [True, False, False]
    assert found["rinse"].tolist() == [True, False, False]
    assert found["wash"].tolist() == [True, True, True]
