"""Lessons alone and with a class: the questions and marks are those of `advisor lesson`."""

from __future__ import annotations

import asyncio
import html
import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import httpx
import pytest

from advisor.errors import BadRequest
from advisor.teaching.lessons import Lesson
from advisor.web.app import make_app
from advisor.web.classes import HOURS, MOST_CLASSES, MOST_PUPILS, WITHIN, WRONG_WORDS, Classes
from advisor.web.visit import case_of, unpack
from advisor.web.work import Here
from explanations.wording import wording
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in, hidden
from tests.web.test_home import words
from tests.web.test_keeper import told

MARKUP = "<script>alert(1)</script>"
SECRET = "a word of some length"


@pytest.fixture
def case(visitor: Visitor) -> str:
    return case_in(visitor.get("/example?floor=old_tile_kitchen&way=lesson").headers["location"])


@pytest.fixture
def pupil(app: Any, runner: asyncio.Runner) -> Iterator[Visitor]:
    made = Visitor(app, runner)
    yield made
    made.close()


def played(visitor: Visitor, case: str) -> Iterator[tuple[httpx.Response, Lesson, Any]]:
    """A lesson answered rightly over the page, beside the same one without it."""
    lesson = Lesson(REASONER, case_of(BASE, unpack(case, BASE), date.today()))
    page = visitor.get("/lesson", params={"case": case})
    for exercise in lesson.exercises():
        question, model = exercise.question, exercise.model()
        yield page, lesson, question
        lesson.answer(exercise, model)
        said = re.findall(r'name="said" value="([^"]*)"', page.text)
        sent: dict[str, Any] = {"case": case, "answered": "yes", "said": [html.unescape(each) for each in said]}
        if question.several:
            sent |= {"several": "yes", "picked": [] if model == wording("lessons.none") else model.split(", ")}
        else:
            sent["answer"] = model
        on = visitor.get("/lesson", params=sent)
        assert on.status_code == 303
        page = visitor.get(on.headers["location"])
    yield page, lesson, None


def test_a_lesson_alone_is_the_one_of_the_command(visitor: Visitor, case: str) -> None:
    for page, lesson, question in played(visitor, case):
        assert page.status_code == 200
        if question is None:
            points = wording("lessons.points", reached=2 * len(lesson.marks), n=2 * len(lesson.marks))
            assert points in words(page)
            assert len(lesson.marks) > 3
            continue
        assert all(" ".join(each.split()) in words(page) for each in question.told)
        assert all(says in told(page) for _, says in question.options)
        if lesson.marks:
            assert " ".join(lesson.marks[-1].text.split()) in told(page)
            assert all(f"/rules/rule?name={rule}" in page.text for rule in lesson.marks[-1].rules)


def test_nothing_chosen_markup_and_too_many_answers_are_told(visitor: Visitor, case: str) -> None:
    empty = visitor.get("/lesson", params={"case": case, "answered": "yes", "answer": ""})
    assert empty.status_code == 422
    assert wording("web_lesson.nothing_said") in words(empty)
    wrong = visitor.get("/lesson", params={"case": case, "said": MARKUP})
    assert wrong.status_code == 200
    assert MARKUP not in wrong.text
    assert visitor.get("/lesson", params={"case": case, "said": ["x"] * 39}).status_code == 422
    assert visitor.get("/lesson", params={"case": case, "said": ["x"] * 41}).status_code == 422


def test_a_floor_that_is_typed_becomes_a_lesson(visitor: Visitor) -> None:
    assert visitor.post("/lesson", data={"said": "nothing of that kind"}).status_code == 422
    assert MARKUP not in visitor.post("/lesson", data={"said": MARKUP}).text
    begun = visitor.post(
        "/lesson", data={"said": "room: garage; vehicles: cars; slab hum 85 %; area 40 m2; slab age 9 years"}
    )
    page = visitor.get(begun.headers["location"])
    assert wording("lessons.ask.question") not in words(page)  # the command's words name the command
    assert "Which fact would you ask for next?" in words(page)


def begun(visitor: Visitor, case: str) -> tuple[str, str]:
    """A class on a floor: the teacher's address and the word."""
    offered = visitor.get("/class", params={"case": case})
    sent = visitor.post("/class", data={"case": case, "token": hidden(offered, "token")})
    board = visitor.get(sent.headers["location"])
    word = re.search(r'class="word">(\w+)<', board.text)
    assert word
    return sent.headers["location"], word[1]


def does(visitor: Visitor, at: str, what: str) -> httpx.Response:
    board = visitor.get(at)
    sent = {name: hidden(board, name) for name in ("key", "at", "token")}
    return visitor.get(visitor.post("/class/board", data={**sent, "does": what}).headers["location"])


def answered(pupil: Visitor, word: str, answer: str) -> httpx.Response:
    seat = pupil.get("/class/in", params={"word": word})
    sent = {name: hidden(seat, name) for name in ("word", "at", "token")}
    done = pupil.post("/class/in", data={**sent, "answer": answer})
    return pupil.get(done.headers["location"]) if done.status_code == 303 else done


def test_a_class_answers_and_all_see_why(visitor: Visitor, pupil: Visitor, case: str) -> None:
    at, word = begun(visitor, case)
    lesson = Lesson(REASONER, case_of(BASE, unpack(case, BASE), date.today()))
    exercise = next(lesson.exercises())
    wrong, right = exercise.mark(MARKUP), exercise.mark(exercise.model())
    assert wrong.points == 0
    seat = answered(pupil, word.upper(), exercise.model())
    assert wording("web_class.wait") in words(seat)
    assert right.because not in words(seat)
    seat = answered(pupil, word, MARKUP)
    assert MARKUP not in seat.text
    token = hidden(seat, "token")
    board = visitor.get(at)
    assert wording("web_class.answered", n=1, of=1) in words(board)
    assert right.because not in words(board)
    board = does(visitor, at, "explain")
    assert MARKUP not in board.text
    for page in (board, pupil.get("/class/in", params={"word": word})):
        assert " ".join(wrong.because.split()) in told(page)
        assert all(f"/rules/rule?name={rule}" in page.text for rule in wrong.rules)
    late = pupil.post("/class/in", data={"word": word, "at": "0", "token": token, "answer": "late"})
    assert late.status_code == 422
    for _ in range(30):
        board = does(visitor, at, "go_on" if 'value="go_on"' in board.text else "explain")
        if wording("web_class.over") in words(board):
            break
    assert wording("web_class.over") in words(board)
    seat = pupil.get("/class/in", params={"word": word})
    assert wording("lessons.points", reached=0, n=2) in words(seat)
    does(visitor, at, "end")
    assert visitor.get(at).status_code == 422
    assert pupil.get("/class/in", params={"word": word}).status_code == 422


def test_only_the_teacher_steers_and_only_with_the_visits_token(visitor: Visitor, pupil: Visitor, case: str) -> None:
    at, word = begun(visitor, case)
    key = at.partition("key=")[2]
    for sent in ({"token": ""}, {"token": "other"}):
        assert pupil.post("/class/board", data={"key": key, "at": "0", "does": "end", **sent}).status_code == 403
    seat = pupil.get("/class/in", params={"word": word})
    assert key not in seat.text
    stolen = {"key": word, "at": "0", "does": "explain", "token": hidden(seat, "token")}
    assert pupil.post("/class/board", data=stolen).status_code == 422
    assert visitor.get(at).status_code == 200


def test_behind_the_secret_a_pupil_needs_the_word_alone(runner: asyncio.Runner) -> None:
    outside = Visitor(make_app(Here(REASONER), secret=SECRET), runner)
    assert outside.get("/class/board?key=x").status_code == 303
    assert wording("web_class.word") in words(outside.get("/class/in"))
    assert outside.get("/class/in", params={"word": "bababa"}).status_code == 422
    outside.close()


def test_classes_are_bounded_in_number_size_and_time() -> None:
    now = [0.0]
    held = Classes(lambda: now[0])
    keys = [held.begin("case") for _ in range(MOST_CLASSES)]
    with pytest.raises(BadRequest, match="classes are under way"):
        held.begin("case")
    board = held.board(keys[0])
    for n in range(MOST_PUPILS):
        held.answer(board.word, f"pupil {n}", 0, "yes")
    with pytest.raises(BadRequest, match="as many as it holds"):
        held.answer(board.word, "one more", 0, "yes")
    with pytest.raises(BadRequest, match="too long"):
        held.answer(board.word, "pupil 0", 0, "x" * 601)
    held.answer(board.word, "pupil 0", 0, "no")
    assert held.board(keys[0]).answers == ((("yes", MOST_PUPILS - 1), ("no", 1)),)
    held.go_on(keys[0], 0)
    held.go_on(keys[0], 0)
    assert held.board(keys[0]).at == 1
    with pytest.raises(BadRequest, match="no more"):
        held.answer(board.word, "pupil 0", 0, "late")
    now[0] = HOURS * 3600 - 1
    held.board(keys[0])
    now[0] += 2
    assert held.board(keys[0]).pupils == MOST_PUPILS
    with pytest.raises(BadRequest, match="has ended"):
        held.board(keys[1])


def test_words_are_not_found_by_trying() -> None:
    now = [0.0]
    held = Classes(lambda: now[0])
    word = held.board(held.begin("case")).word
    held.answer(word, "in already", 0, "yes")
    for _ in range(WRONG_WORDS):
        with pytest.raises(BadRequest, match="no class has that word"):
            held.seat("wrong", "somebody")
    with pytest.raises(BadRequest, match="wrong words"):
        held.seat(word, "somebody")
    assert held.seat(word, "in already").mine == ("yes",)
    now[0] = WITHIN + 1
    assert held.seat(word, "somebody").mine == ("",)
