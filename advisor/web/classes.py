"""The classes under way, and what their pupils answered: in the memory of the serving process alone.

A teacher has an address that nobody guesses, pupils a short word. Nobody gives a name: a pupil is the cookie of a
browser. A class ends some hours after its teacher looked last, and nothing of it is written down.
"""

from __future__ import annotations

import time
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from secrets import choice, token_urlsafe

from advisor.errors import BadRequest, Fault
from explanations.wording import wording

MOST_CLASSES, MOST_PUPILS, MOST_QUESTIONS = 20, 60, 40
LONGEST_CASE, LONGEST_ANSWER = 6000, 600
HOURS = 3.0
WRONG_WORDS, WITHIN = 60, 60.0  # of all who are not in yet, in so many seconds
WORD = 4  # syllables: 24 million words, of which some ten thousand can be tried while a class lasts
SYLLABLES = tuple(f"{one}{other}" for one in "bdfgklmnprstvz" for other in "aeiou")


@dataclass(frozen=True)
class Board:
    """A class as its teacher sees it.

    Attributes:
        key: the part of the teacher's address that nobody guesses.
        word: what the pupils type.
        case: the floor, packed.
        at: the question, counted from none.
        open: whether answers to it are taken; else it has been explained.
        pupils: who answered anything.
        answers: to each question so far, how many gave which.
    """

    key: str
    word: str
    case: str
    at: int
    open: bool
    pupils: int
    answers: tuple[tuple[tuple[str, int], ...], ...]


@dataclass(frozen=True)
class Seat:
    """A class as one of its pupils sees it; `mine` are the answers so far by question, empty where none was given."""

    word: str
    case: str
    at: int
    open: bool
    mine: tuple[str, ...]


@dataclass
class _Class:
    key: str
    word: str
    case: str
    seen: float
    at: int = 0
    open: bool = True
    answers: dict[str, dict[int, str]] = field(default_factory=dict)


class Classes:
    """All classes of one server."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._all: dict[str, _Class] = {}
        self._wrong: deque[float] = deque(maxlen=WRONG_WORDS)

    def begin(self, case: str) -> str:
        """Begin a class on a floor; gives the key of its teacher.

        Raises:
            BadRequest: there are too many, or that is no floor.
        """
        self._forget()
        if len(self._all) >= MOST_CLASSES:
            raise BadRequest([Fault("", wording("web_class.too_many", most=MOST_CLASSES))])
        if not case or len(case) > LONGEST_CASE:
            raise BadRequest([Fault("", wording("web_class.no_floor"))])
        words = {each.word for each in self._all.values()}
        while (word := "".join(choice(SYLLABLES) for _ in range(WORD))) in words:
            pass
        key = token_urlsafe(16)
        self._all[key] = _Class(key, word, case, self._clock())
        return key

    def board(self, key: str) -> Board:
        """A class for its teacher.

        Raises:
            BadRequest: there is none of that key, or it has ended.
        """
        held = self._of(key)
        gave: list[Counter[str]] = [Counter() for _ in range(held.at + 1)]
        for answers in held.answers.values():
            for at, said in answers.items():
                gave[at][said] += 1
        ordered = tuple(tuple(sorted(each.items(), key=lambda pair: (-pair[1], pair[0]))) for each in gave)
        return Board(key, held.word, held.case, held.at, held.open, len(held.answers), ordered)

    def explain(self, key: str, at: int) -> None:
        """Take no more answers to a question; pressed twice it is as pressed once."""
        held = self._of(key)
        if held.at == at:
            held.open = False

    def go_on(self, key: str, at: int) -> None:
        """Go on from a question to the next; pressed twice it is as pressed once."""
        held = self._of(key)
        if held.at == at < MOST_QUESTIONS:
            held.at, held.open = at + 1, True

    def end(self, key: str) -> None:
        """Forget a class."""
        self._all.pop(key, None)

    def seat(self, word: str, pupil: str) -> Seat:
        """A class for one of its pupils.

        Raises:
            BadRequest: no class has that word, or too many wrong ones were tried.
        """
        held = self._called(word, pupil)
        mine = held.answers.get(pupil, {})
        return Seat(held.word, held.case, held.at, held.open, tuple(mine.get(at, "") for at in range(held.at + 1)))

    def answer(self, word: str, pupil: str, at: int, said: str) -> None:
        """Take a pupil's answer to the question that is open; the last one counts.

        Raises:
            BadRequest: no class has that word, it is full, the answer is too long or comes too late.
        """
        held = self._called(word, pupil)
        if at != held.at or not held.open:
            raise BadRequest([Fault("", wording("web_class.too_late"))])
        if len(said) > LONGEST_ANSWER:
            raise BadRequest([Fault("", wording("web.question.too_long", most=LONGEST_ANSWER))])
        if pupil not in held.answers and len(held.answers) >= MOST_PUPILS:
            raise BadRequest([Fault("", wording("web_class.full", most=MOST_PUPILS))])
        held.answers.setdefault(pupil, {})[at] = said

    def _of(self, key: str) -> _Class:
        self._forget()
        if key not in self._all:
            raise BadRequest([Fault("", wording("web_class.gone"))])
        self._all[key].seen = self._clock()
        return self._all[key]

    def _called(self, word: str, pupil: str) -> _Class:
        self._forget()
        spelled = "".join(word.split()).lower()
        held = next((each for each in self._all.values() if each.word == spelled), None)
        if held and pupil in held.answers:
            return held
        now = self._clock()
        if len(self._wrong) == WRONG_WORDS and now - self._wrong[0] < WITHIN:
            raise BadRequest([Fault("", wording("web_class.wrong_words"))])
        if held is None:
            self._wrong.append(now)
            raise BadRequest([Fault("", wording("web_class.no_word"))])
        return held

    def _forget(self) -> None:
        """Let go of the classes whose teacher has not looked for long."""
        now = self._clock()
        self._all = {key: each for key, each in self._all.items() if now - each.seen < HOURS * 3600}
