"""A lesson on any floor, step by step: predict, then see what fired. The same as `advisor lesson`.

All that was answered stands in the address, as everywhere. A lesson is played again from there; where it was left last
it is kept, so that going on takes one step.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.teaching.exercises import Exercise
from advisor.teaching.lessons import Lesson
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.counter import LONGEST_SAID, with_facts
from advisor.web.recent import Recent
from advisor.web.rendering import address, page, titled
from advisor.web.start import example_floors
from advisor.web.visit import Visit, case_of, pack, unpack
from explanations.lessons import Mark, Question
from explanations.wording import label, wording
from explanations.words import sentence, visible

MOST_LESSONS = 12  # kept where they were left, in each process
MOST_ANSWERS, LONGEST_ANSWER = 40, 600


class UnderWay:
    """A lesson, what came to light in it so far, and the exercise that it stands at; none at its end."""

    def __init__(self, lesson: Lesson) -> None:
        self.lesson = lesson
        self._exercises = lesson.exercises()
        self.told: list[str] = [lesson.opening]
        self.answered: list[Question] = []
        self.exercise: Exercise | None = None
        self._next()

    @property
    def question(self) -> Question | None:
        """What the exercise asks."""
        return self.exercise.question if self.exercise else None

    def go_on(self, said: str | None = None) -> None:
        """Answer, rightly where nothing is said, and take the next question."""
        if self.exercise is None:
            raise BadRequest([Fault("", wording("web_lesson.over"))])
        self.lesson.answer(self.exercise, self.exercise.model() if said is None else said)
        self.answered.append(self.exercise.question)
        self._next()

    def _next(self) -> None:
        self.exercise = next(self._exercises, None)
        if self.question:
            self.told += self.question.told


_left: Recent[UnderWay] = Recent(MOST_LESSONS)


def begun(desk: Desk, visit: Visit) -> UnderWay:
    """A lesson on a floor at its first question."""
    return UnderWay(Lesson(desk.reasoner, case_of(desk.base, visit, desk.today), today=desk.today))


def under_way(desk: Desk, visit: Visit, said: Sequence[str]) -> UnderWay:
    """The lesson on a floor after some answers.

    Raises:
        BadRequest: there are more answers than questions.
    """
    of = visit, desk.today, id(desk.base)
    done = next((n for n in range(len(said), -1, -1) if (*of, *said[:n]) in _left), 0)
    held = _left.take((*of, *said[:done])) or begun(desk, visit)
    for each in said[done:]:
        held.go_on(each)
    _left.keep((*of, *said), held)
    return held


def lesson(desk: Desk, asked: Asked) -> Reply:
    """What the last answer was worth and why, and the next question; at the end how it went."""
    visit, said = unpack(asked.one("case"), desk.base), asked.all("said")
    if not visit.begun:
        return _start(desk)
    if len(said) > MOST_ANSWERS or any(len(each) > LONGEST_ANSWER for each in said):
        raise BadRequest([Fault("", wording("web.question.too_long", most=LONGEST_ANSWER))])
    case = pack(visit, desk.base)
    faults: tuple[Fault, ...] = ()
    if asked.one("answered"):
        answer = answer_sent(asked)
        if answer:
            return on_to(_address(case, (*said, answer)))
        faults = (Fault("", wording("web_lesson.nothing_said")),)
    held = under_way(desk, visit, said)
    marks, ended = held.lesson.marks, held.question is None
    return page(
        "lesson/lesson.html",
        422 if faults else 200,
        way="lesson",
        case=case,
        title=titled("lessons.title", held.lesson.case.floor),
        said=said,
        before=_address(case, said[:-1]) if said else "",
        mark=shown(held.answered[-1], marks[-1]) if marks else None,
        told=held.told,
        question=held.question,
        number=len(said) + 1,
        facts=askable(desk),
        faults=faults,
        points=points_told(marks) if ended else "",
        marks=[shown(*each) for each in zip(held.answered, marks, strict=True)] if ended else [],
    )


def _address(case: str, said: Sequence[str]) -> str:
    return address("/lesson", case=case) + "".join(f"&{address('', said=each)[1:]}" for each in said)


def answer_sent(asked: Asked) -> str:
    """The answer that a form sent, as a learner would type it; empty if nothing was said."""
    if asked.one("several"):
        return ", ".join(asked.all("picked")) or wording("lessons.none")
    return visible(" ".join(asked.one("answer").split()))


def askable(desk: Desk) -> list[tuple[str, str]]:
    """The facts that can be asked for, and how each is called, in the order of what they are called."""
    return sorted(((n, label("fact", n)) for n, kind in desk.base.facts.items() if kind.ask), key=lambda each: each[1])


def shown(question: Question | None, mark: Mark | None) -> dict[str, object]:
    """A mark for a template: what was said, what the learner is told, what is best, and the rules that say so."""
    if mark is None or question is None:
        return {}
    text, best = " ".join(mark.text.split()), sentence(mark.best)
    said = in_words(question, mark.said)
    return {"said": said, "points": mark.points, "text": text, "best": best, "why": mark.because, "rules": mark.rules}


def in_words(question: Question, said: str) -> str:
    """An answer as its options call it."""
    words = dict(question.options)
    if question.kind == "ask":
        return label("fact", said)
    return ", ".join(words.get(each, each) for each in said.split(", ")) if question.several else words.get(said, said)


def points_told(marks: Sequence[Mark]) -> str:
    """How it went."""
    return wording("lessons.points", reached=sum(each.points for each in marks), n=2 * len(marks))


def _start(desk: Desk, faults: tuple[Fault, ...] = (), text: str = "") -> Reply:
    """Where no floor was named: an example, or one that is typed."""
    return page(
        "lesson/start.html",
        422 if faults else 200,
        way="lesson",
        case="",
        floors=example_floors(desk),
        faults=faults,
        text=text,
    )


def typed(desk: Desk, asked: Asked) -> Reply:
    """Begin with a floor that is typed as at the counter."""
    try:
        visit = with_facts(desk.base, Visit(), asked.one("said"))
        case_of(desk.base, visit, desk.today)
    except AdvisorError as error:
        return _start(desk, error.faults, asked.one("said")[:LONGEST_SAID])
    return on_to(address("/lesson", case=pack(visit, desk.base)))


ROUTES = (Route("/lesson", lesson), Route("/lesson", typed, "POST"))
