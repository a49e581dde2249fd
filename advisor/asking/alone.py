"""Every fact that turns the answer alone, with the values that do: all values that some rule tells apart are tried.

What `turn` shows first; here all of it, without ways and costs, and of numbers to the edge. A customer's stated
importance is a fact like any other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from advisor.answer.ranking import KINDS, NAMING
from advisor.answer.variants import Variants, variants_of
from advisor.asking.changes import Change, Marks, Points, patterns_on, points_of, refine, stretch
from advisor.asking.outlook_words import in_years
from advisor.asking.searching import Search
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.advice import TurnsAlone
from advisor.model.values import Value
from explanations.wording import listed

ROUNDS = 3  # in which the stretch that holds an edge is cut
NOW = ""
IMPOSSIBLE = b"contradicts what else is said"


def turning_alone(reasoner: Reasoner, case: Case) -> tuple[TurnsAlone, ...]:
    """The facts that turn the answer alone, those that the case states first, in the order of the vocabulary.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
    """
    base, variants = reasoner.base, variants_of(reasoner)
    memory = working_memory(base, case.facts)
    hanging = patterns_on(variants, case.as_read)
    points: Points = {name: points_of(variants, name, memory[name], some) for name, some in hanging.items()}
    marks = _marks(variants, case, points)
    same = {marks.pop(NOW)[0], IMPOSSIBLE}
    refine(base, hanging, points, marks, lambda some: _marks(variants, case, some), ROUNDS)
    found = []
    for name, some in marks.items():
        turning = [value for value, mark in zip(points[name], some, strict=True) if mark not in same]
        if turning:
            found.append(
                TurnsAlone(
                    fact=name,
                    values=_words(points[name], turning),
                    stated=name in case.facts and case.facts[name].known,
                    to=tuple(dict.fromkeys(mark.decode() for mark in some if mark not in same)),
                )
            )
    return tuple(sorted(found, key=lambda each: not each.stated))


def _marks(variants: Variants, case: Case, points: Points) -> Marks:
    """What the case comes to with each value: the finish, or the kind of answer; under `NOW` as it is."""
    changes = [Change(name, value) for name, some in points.items() for value in some]
    sets = np.append(np.arange(len(changes)), -1)[:, None]
    judged, possible = Search(variants, case.as_read, changes).answers(sets)
    marks = []
    for kind, leading, can_be in zip(judged.kind, judged.leading, possible, strict=True):
        name = KINDS[kind]
        told = f"{name}: {judged.finishes[leading]}" if name in NAMING else name
        marks.append(told.encode() if can_be else IMPOSSIBLE)
    by_change = iter(marks)
    return {**{name: [next(by_change) for _ in some] for name, some in points.items()}, NOW: [marks[-1]]}


def _words(points: Sequence[Value], turning: Sequence[Value]) -> str:
    """The values in words: of a number the stretches between their edges."""
    if turning[0].interval is None:
        return listed([value.shown for value in turning], "or")
    return listed(_stretches(points, set(turning)), "or")


def _stretches(points: Sequence[Value], turning: set[Value]) -> Iterator[str]:
    for turns, some in groupby(points, key=lambda value: value in turning):
        if turns:
            values = list(some)
            yield in_years((stretch(points, values) or (values[0].shown,))[0])
