"""A lesson from any case: its facts come to light a few at a time, and each answer is checked against the rule base.

Nothing of a lesson is written down beforehand. What is right follows from reasoning about the floor as far as it is
known at that moment, so a lesson is as right as the rules, and changes with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from random import Random

from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.teaching.closing import mind_changes
from advisor.teaching.exercises import (
    Exercise,
    WhatFalls,
    WhatFollows,
    WhatIsAdvised,
    WhatToAsk,
    WhatTurns,
    WhichHazards,
)
from advisor.teaching.known_so_far import KnownSoFar
from explanations.lessons import Mark, Question

ROUNDS = 6


class Lesson:
    """One lesson under way. Take an exercise with `exercises`, answer it with `answer` before the next."""

    def __init__(self, reasoner: Reasoner, case: Case, rounds: int = ROUNDS, today: date | None = None) -> None:
        self.case = case
        self.marks: list[Mark] = []
        self.stopped = False  # by the learner, before its end
        self._rounds, self._said = rounds, ""
        self._random = Random(case.floor)  # the same case gives the same lesson
        self._floor = KnownSoFar.begun(reasoner, case, today or date.today())
        (self.opening,) = self._floor.told

    def exercises(self) -> Iterator[Exercise]:
        """The exercises in turn; each must be answered before the next is taken."""
        before = floor = self._floor
        for _ in range(self._rounds):
            if not floor.hidden or not floor.asked:
                break
            ask = WhatToAsk(floor)
            yield ask
            before, floor = floor, floor.after_asking(ask.wanted(self._said))
            yield WhatFalls(before, floor)
            if fresh := floor.new_firings(before):
                yield WhatFollows(floor, fresh, self._random)
        floor = floor.whole_floor()
        yield WhatIsAdvised(before, floor, self._random)
        if changes := mind_changes(floor.reasoner, floor.case, self._random):
            yield WhatTurns(floor, changes)
        last = WhichHazards(floor, self._random)
        if last.hazards:
            yield last

    def answer(self, exercise: Exercise, said: str) -> Mark:
        """Check an answer, and go on with it; the mark is kept."""
        mark = exercise.mark(said)
        self._said = mark.said
        self.marks.append(mark)
        return mark


def played(lesson: Lesson) -> tuple[list[Question], list[Mark]]:
    """A lesson answered rightly throughout, for the printed sheet: its questions and the answers."""
    questions = []
    for exercise in lesson.exercises():
        questions.append(exercise.question)
        lesson.answer(exercise, exercise.model())
    return questions, lesson.marks
