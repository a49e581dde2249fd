"""What a lesson is made of: questions, marks, the sheet to print, and the progress that the learner keeps.

Which answers are right is not decided here: whoever poses the questions asks the rule base.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from explanations.errors import CannotExplain
from explanations.files import check_place, write_whole
from explanations.words import counted, listing, sentence

QuestionKind = Literal["ask", "fall", "conclude", "answer"]
WIDTH = 79
TITLES: dict[QuestionKind, str] = {
    "ask": "which fact to ask for next",
    "fall": "which finishes fall",
    "conclude": "what follows, and by which rule",
    "answer": "what the answer is",
}


@dataclass(frozen=True)
class Question:
    """One question: what has just come to light, what is asked, and the options by what the learner may type."""

    kind: QuestionKind
    told: tuple[str, ...]
    prompt: str
    options: tuple[tuple[str, str], ...] = ()
    several: bool = False

    def text(self, number: int) -> str:
        """The question as it is printed."""
        lines = [*self.told, f"{number}. {self.prompt}"]
        lines += [f"   {key}  {words}" for key, words in self.options]
        return "\n".join(filled(line) for line in lines)


def filled(line: str) -> str:
    """One line filled to the page, its own indent kept and what follows hung beneath it."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return fill(line, WIDTH, subsequent_indent=indent, break_on_hyphens=False, drop_whitespace=True)


class Mark(BaseModel):
    """What became of one answer."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: QuestionKind
    said: str
    points: int  # 0 wrong, 1 in part, 2 right
    best: str
    because: str
    rules: tuple[str, ...] = ()  # to re-read, unless it was right

    @property
    def text(self) -> str:
        """What the learner is told."""
        lead = ("Not so.", "In part.", "Right.")[self.points]
        best = "" if self.points == 2 else f" {sentence(self.best)}"
        return "\n".join(filled(line) for line in f"{lead}{best} {self.because}".splitlines())


class Taken(BaseModel):
    """One lesson taken: the floor, the day, the rule base, and the marks."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    floor: str
    date: str
    rule_base: str
    marks: tuple[Mark, ...]


class Progress(BaseModel):
    """All lessons that a learner has taken; a file that is the learner's own."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: Literal["slab-finish-lessons/1"] = "slab-finish-lessons/1"
    lessons: tuple[Taken, ...] = ()

    def missed(self) -> list[str]:
        """The rules to re-read, those missed most and not yet got right since first."""
        missed: Counter[str] = Counter()
        for taken in self.lessons:
            for mark in taken.marks:
                for rule in mark.rules:
                    if mark.points == 2:
                        missed.pop(rule, None)
                    else:
                        missed[rule] += 1
        return [rule for rule, _ in sorted(missed.items(), key=lambda item: (-item[1], item[0]))]


def read_progress(path: Path) -> Progress:
    """The progress in a file; none yet where there is no file.

    Raises:
        CannotExplain: the file holds something else.
    """
    if not path.exists():
        return Progress()
    try:
        return Progress.model_validate_json(path.read_bytes())
    except (ValidationError, OSError) as error:
        first = str(error).splitlines()[0]
        raise CannotExplain(f"{path}: this is no file of lessons taken ({first}); name another file") from None


def check_progress(path: Path) -> None:
    """Refuse a place where no progress can be kept, before a lesson is taken.

    Raises:
        CannotWrite: saying why.
    """
    check_place(path)


def write_progress(path: Path, progress: Progress) -> None:
    """Write the progress.

    Raises:
        CannotWrite: no file can be put there.
    """
    check_progress(path)
    write_whole(path, (json.dumps(progress.model_dump(), indent=1, ensure_ascii=False) + "\n").encode())


def summary(marks: Sequence[Mark]) -> str:
    """How it went: points by kind of question, what was missed, and the rules to re-read."""
    if not marks:
        return "No question was answered."
    reached, most = sum(mark.points for mark in marks), 2 * len(marks)
    lines = [sentence(f"You have {reached} of {counted(most, 'point')}")]
    for kind, title in TITLES.items():
        some = [mark for mark in marks if mark.kind == kind]
        if some:
            right = sum(mark.points == 2 for mark in some)
            lines.append(f"  {title}: {right} of {len(some)} right")
    missed = [mark for mark in marks if mark.points < 2]
    if missed:
        lines += ["Missed:", *(f"  - {TITLES[mark.kind]}: {sentence(mark.best)}" for mark in missed)]
        rules = list(dict.fromkeys(rule for mark in missed for rule in mark.rules))
        if rules:
            lines += ["Rules to re-read (advisor rule NAME):", *(f"  - {rule}" for rule in rules)]
    return "\n".join(filled(line) for line in lines)


def sheet(title: str, intro: str, questions: Iterable[Question]) -> str:
    """The questions to print, with room to write."""
    return "\n".join([title, "", filled(intro), *_numbered(questions)]) + "\n"


def _numbered(questions: Iterable[Question]) -> Iterator[str]:
    for number, question in enumerate(questions, start=1):
        yield ""
        yield question.text(number)
        yield f"   Answer: {'_' * 60}"


def answers(title: str, marks: Iterable[Mark]) -> str:
    """The answers, on a sheet of their own."""
    lines = [f"{title}: answers"]
    for number, mark in enumerate(marks, start=1):
        rules = f" Rules: {listing(mark.rules)}." if mark.rules else ""
        lines += ["", filled(f"{number}. {sentence(mark.best)} {mark.because}{rules}".strip())]
    return "\n".join(lines) + "\n"
