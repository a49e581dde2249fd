"""Variants of one case, judged at once, against each stated and answered alone."""

from __future__ import annotations

from datetime import date
from itertools import combinations
from random import Random

import numpy as np

from advisor.answer.advising import conclude
from advisor.answer.many_answers import NOBODY
from advisor.answer.ranking import KINDS
from advisor.answer.variants import Changed, Variants
from advisor.demo import demo_cases
from advisor.engines.columns import floor_at
from advisor.errors import BadCase
from advisor.facts.case import Case, read_case, read_fact, say
from advisor.facts.statements import Statement
from tests.answer.test_judging import BASE, REASONER
from tests.draws import draws
from tests.views import Views

TODAY = date(2026, 11, 27)
# Of each kind: a choice and numbers that computed facts are worked out from, one that none is, a fact taken back.
TOLD = [("slab_humidity", "70 %"), ("vehicles", "none"), ("vapour_retarder", "present"), ("country", "unknown")]
TOLD += [("wanted_look", "solid_colour"), ("slab_temperature", "12 C"), ("ceiling_height", "3 m")]
TOLD += [
    ("slab_humidity", "95 %"),
    ("wanted_look", "natural"),
    ("slab_humidity", "unknown"),
]  # one of each in a variant


def test_each_variant_is_answered_as_if_it_had_been_said() -> None:
    given = read_case(demo_cases()["untested_garage"], BASE, TODAY)
    variants = Variants(BASE, REASONER.program)
    changes = [Changed(name, read_fact(BASE, name, text, name)) for name, text in TOLD]
    pairs = (pair for pair in combinations(range(len(changes)), 2) if len({changes[place].fact for place in pair}) == 2)
    sets = [(), *((place,) for place in range(len(changes))), *pairs]
    rows = np.array([[*each, *[-1] * (2 - len(each))] for each in sets])
    answers = variants.judge(variants.memory(given.facts, changes, rows))
    for at, each in enumerate(sets):
        facts = {**given.facts, **{changes[place].fact: changes[place].value for place in each}}
        advice = conclude(REASONER, Case("", "", facts), TODAY)
        said = [changes[place].fact for place in each]
        assert KINDS[answers.kind[at]] == advice.answer.kind, said
        leading = answers.finishes[answers.leading[at]] if answers.leading[at] != NOBODY else None
        assert leading == advice.answer.leading, said
        totals = {standing.finish: standing.total for standing in advice.standings}
        assert dict(zip(answers.finishes, answers.total[:, at].tolist(), strict=True)) == totals, said


def test_what_follows_from_a_change_is_changed_with_it() -> None:
    """A joint of isolation moves, a patio lies on the ground: as if it had been said."""
    variants, followed = Variants(BASE, REASONER.program), 0
    implying = [
        Changed(other, read_fact(BASE, other, value, other))
        for other in {name: None for kind in BASE.facts.values() for name in kind.implied_by}
        for value in BASE.facts[other].choices
    ]
    for given in Views(REASONER, TODAY).floors(Random(4), draws(8)):
        columns = variants.stated(given.as_read, implying, np.arange(len(implying))[:, None])
        for at, change in enumerate(implying):
            try:
                said = say(BASE, given, {change.fact: Statement(change.value.typed)}, TODAY)
            except BadCase:
                continue
            known = {name: value.typed for name, value in said.as_read.items() if value.known}
            assert {name: value.typed for name, value in floor_at(BASE, columns, at).items()} == known, change
            followed += known.keys() != {name for name, value in given.as_read.items() if value.known}
    assert followed
