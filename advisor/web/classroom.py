"""A class: one lesson on the teacher's screen, everybody's answers to each question, then why, by the rules.

The lesson goes on as if each question had been answered rightly, so that all see the same. The class itself is held by
the serving process (`classes`); what is right, and why, is worked out here from the floor.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any

from advisor.teaching.exercises import Exercise
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.classes import Board, Seat
from advisor.web.guard import CLASS
from advisor.web.held import Held
from advisor.web.lesson import UnderWay, answer_sent, askable, begun, in_words, points_told, shown
from advisor.web.recent import Recent
from advisor.web.rendering import address, page, titled
from advisor.web.visit import pack, unpack
from explanations.lessons import Mark, Question
from explanations.wording import wording

MOST_SHOWN = 12  # different answers to one question
MOST_LESSONS = 4  # kept in each process, with all their steps


def offer(desk: Desk, asked: Asked) -> Reply:
    """Begin a class with the floor of this visit."""
    visit = unpack(asked.one("case"), desk.base)
    if not visit.begun:
        return on_to("/lesson")
    return page("class/offer.html", way="lesson", case=pack(visit, desk.base), token=asked.token)


def begin(held: Held, asked: Asked) -> Reply:
    """Begin it."""
    return on_to(address("/class/board", key=held.classes.begin(asked.one("case"))))


def steer(held: Held, asked: Asked) -> Reply:
    """What the teacher does: explain, go on, end."""
    key, does, at = asked.one("key"), asked.one("does"), _number(asked.one("at"))
    if does == "end":
        held.classes.end(key)
        return on_to("/lesson")
    (held.classes.explain if does == "explain" else held.classes.go_on)(key, at)
    return on_to(address("/class/board", key=key))


def board_of(held: Held, asked: Asked) -> Hashable:
    """The class of a teacher."""
    return held.classes.board(asked.one("key"))


def seat_of(held: Held, asked: Asked) -> Reply | Hashable:
    """The class of a pupil; who has no word yet is asked for it."""
    word = asked.one("word")
    return held.classes.seat(word, asked.token) if word.strip() else page("class/word.html", way="lesson", case="")


def take(held: Held, asked: Asked) -> Reply:
    """Take a pupil's answer."""
    word, said = asked.one("word"), answer_sent(asked)
    if said:
        held.classes.answer(word, asked.token, _number(asked.one("at")), said)
    return on_to(address(CLASS, word=word))


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else -1


@dataclass(frozen=True)
class Step:
    """An exercise of a class's lesson (none at the end), its floor's name, and what has come to light."""

    exercise: Exercise | None
    floor: str
    told: tuple[str, ...]

    @property
    def question(self) -> Question | None:
        """What the exercise asks."""
        return self.exercise.question if self.exercise else None

    def mark(self, said: str) -> Mark | None:
        """What an answer to the question is worth."""
        return self.exercise.mark(said) if self.exercise else None

    def right(self) -> Mark | None:
        """What the right answer is."""
        return self.mark(self.exercise.model()) if self.exercise else None


_lessons: Recent[tuple[UnderWay, list[Step]]] = Recent(MOST_LESSONS)


def steps_of(desk: Desk, case: str, at: int) -> list[Step]:
    """The steps of a class's lesson up to a question; fewer where the lesson ends before it."""
    visit = unpack(case, desk.base)
    of = visit, desk.today, id(desk.base)

    def first() -> tuple[UnderWay, list[Step]]:
        held = begun(desk, visit)
        return held, [_step(held)]

    held, steps = _lessons.of(of, first)
    while len(steps) <= at and held.question:
        held.go_on()
        steps.append(_step(held))
    return steps[: at + 1]


def _step(held: UnderWay) -> Step:
    return Step(held.exercise, held.lesson.case.floor, tuple(held.told))


def board(desk: Desk, asked: Asked) -> Reply:
    """The teacher's screen: the word, the question, how many answered; once explained, who said what and why."""
    board = asked.held
    assert isinstance(board, Board)
    steps = steps_of(desk, board.case, board.at)
    now, gave = steps[-1], board.answers[-1]
    explained = now.question is not None and not board.open
    return page(
        "class/board.html",
        **_screen(steps, explained),
        case=board.case,
        board=board,
        answered=sum(n for _, n in gave),
        said=[(n, shown(now.question, now.mark(each))) for each, n in gave[:MOST_SHOWN]] if explained else [],
        rest=max(0, len(gave) - MOST_SHOWN) if explained else 0,
        tally=[] if now.question else _tally(steps, board),
        token=asked.token,
    )


def _screen(steps: list[Step], explained: bool) -> dict[str, Any]:
    """What both screens show: the question, and once it is explained what is right."""
    now = steps[-1]
    return {
        "way": "lesson",
        "title": titled("lessons.title", now.floor),
        "step": now,
        "number": len(steps),
        "right": shown(now.question, now.right()) if explained else None,
    }


def _tally(steps: list[Step], board: Board) -> list[tuple[str, int, int]]:
    """To each question, how many answered it rightly, of how many."""
    told = []
    for step, gave in zip(steps, board.answers, strict=False):
        if step.question:
            right = sum(n for said, n in gave if (mark := step.mark(said)) and mark.points == 2)
            told.append((wording(f"lessons.{step.question.kind}.title"), right, sum(n for _, n in gave)))
    return told


def seat(desk: Desk, asked: Asked) -> Reply:
    """A pupil's screen: the question and the own answer; once explained, what it was worth and why."""
    seat = asked.held
    assert isinstance(seat, Seat)
    steps = steps_of(desk, seat.case, seat.at)
    now, mine = steps[-1], seat.mine[-1]
    explained = now.question is not None and not seat.open
    marks = [mark for step, said in zip(steps, seat.mine, strict=False) if said and (mark := step.mark(said))]
    return page(
        "class/seat.html",
        **_screen(steps, explained),
        case="",
        seat=seat,
        mine=in_words(now.question, mine) if now.question and mine else "",
        mark=shown(now.question, now.mark(mine)) if explained and mine else None,
        facts=askable(desk),
        points="" if now.question else points_told(marks),
        token=asked.token,
    )


ROUTES = (
    Route("/class", offer, changes=True),
    Route("/class", None, "POST", at_hand=begin, changes=True),
    Route("/class/board", board, at_hand=board_of, changes=True),
    Route("/class/board", None, "POST", at_hand=steer, changes=True),
    Route(CLASS, seat, at_hand=seat_of, changes=True),
    Route(CLASS, None, "POST", at_hand=take, changes=True),
)
