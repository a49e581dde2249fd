"""What a lesson is made of: questions, marks, the sheet to print, and the progress that the learner keeps.

Which answers are right is not decided here: whoever poses the questions asks the rule base.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, ValidationError

from explanations.errors import CannotExplain
from explanations.files import check_place, write_whole
from explanations.wording import listed, wording
from explanations.words import sentence, wrapped

QuestionKind = Literal["ask", "fall", "conclude", "answer", "turn", "hazard"]
KINDS: tuple[QuestionKind, ...] = get_args(QuestionKind)
LINE = "_" * 60


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
    return wrapped(line, hang=" " * (len(line) - len(line.lstrip()) + 2))


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
        lead = wording(("lessons.mark.wrong", "lessons.mark.part", "lessons.mark.right")[self.points])
        best = "" if self.points == 2 else f" {sentence(self.best)}"
        return "\n".join(filled(line) for line in f"{lead}{best} {self.because}".splitlines())

    @property
    def told(self) -> str:
        """What the sheet of answers says: the best answer, why, and the rules to re-read."""
        rules = wording("lessons.rules", rules=listed(self.rules)) if self.rules else ""
        return " ".join(filter(None, (sentence(self.best), self.because, rules)))


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
        raise CannotExplain(wording("lessons.no_progress", file=path, why=first)) from None


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
        return wording("lessons.no_answers")
    reached, most = sum(mark.points for mark in marks), 2 * len(marks)
    lines = [wording("lessons.points", reached=reached, n=most)]
    titles = {kind: wording(f"lessons.{kind}.title") for kind in KINDS}
    for kind, title in titles.items():
        some = [mark for mark in marks if mark.kind == kind]
        if some:
            right = sum(mark.points == 2 for mark in some)
            lines.append(f"  {wording('lessons.right_of', title=title, right=right, all=len(some))}")
    missed = [mark for mark in marks if mark.points < 2]
    if missed:
        told = (wording("lessons.missed_one", title=titles[mark.kind], best=sentence(mark.best)) for mark in missed)
        lines += [wording("lessons.missed"), *(f"  - {each}" for each in told)]
        rules = list(dict.fromkeys(rule for mark in missed for rule in mark.rules))
        if rules:
            lines += [wording("lessons.reread"), *(f"  - {rule}" for rule in rules)]
    return "\n".join(filled(line) for line in lines)


def by_topic(marks: Iterable[Mark], called: Callable[[str], str]) -> list[str]:
    """A mark for each topic: of the questions whose rules are of it, the share of the points reached.

    Args:
        marks: of an exam.
        called: what a rule's topic is called.
    """
    reached, most = Counter[str](), Counter[str]()
    for mark in marks:
        for topic in dict.fromkeys(called(rule) for rule in mark.rules):
            reached[topic] += mark.points
            most[topic] += 2
    share = {topic: round(100 * reached[topic] / n) for topic, n in most.items()}
    return [
        wording("lessons.topic_mark", topic=topic, reached=reached[topic], n=most[topic], share=share[topic])
        for topic in sorted(most, key=lambda each: (share[each], each))
    ]


def sheet(title: str, intro: str, questions: Iterable[Question]) -> str:
    """The questions to print, with room to write."""
    return "\n".join([title, "", filled(intro), *_numbered(questions)]) + "\n"


def _numbered(questions: Iterable[Question]) -> Iterator[str]:
    for number, question in enumerate(questions, start=1):
        yield ""
        yield question.text(number)
        yield f"   {wording('lessons.line', line=LINE)}"


def answers(title: str, marks: Iterable[Mark]) -> str:
    """The answers, on a sheet of their own."""
    lines = [wording("lessons.answers", title=title)]
    for number, mark in enumerate(marks, start=1):
        lines += ["", filled(f"{number}. {mark.told}")]
    return "\n".join(lines) + "\n"
