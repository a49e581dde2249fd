"""A lesson to print: the questions with room to write, and the answers as a page of their own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph
from explanations.lessons import LINE, Mark, Question, answers, sheet
from explanations.wording import listed, wording

if TYPE_CHECKING:
    from advisor.pages.pdf import Paper

ENDINGS = (".txt", ".md", ".html", ".pdf")


def sheet_page(title: str, opening: str, questions: Iterable[Question]) -> Page:
    """The questions, each with a line to write on."""
    blocks: list[Block] = [Heading(title, 1), Paragraph(opening)]
    for number, question in enumerate(questions, start=1):
        blocks += _question(number, question)
    return Page(title, tuple(blocks))


def _question(number: int, question: Question) -> Iterator[Block]:
    yield Heading(wording("lessons.question", number=number))
    yield from (Paragraph(told) for told in question.told)
    yield Paragraph(question.prompt, strong=True)
    if question.several:
        yield Paragraph(wording("lessons.left", names=listed(words for _, words in question.options)))
    elif question.options:
        yield Listing(tuple(f"{key}: {words}" for key, words in question.options))
    yield Paragraph(wording("lessons.line", line=LINE))


def answers_page(title: str, marks: Iterable[Mark]) -> Page:
    """The answers by the numbers of their questions, with the rules to re-read."""
    heading, items = wording("lessons.answers", title=title), tuple(mark.told for mark in marks)
    return Page(heading, (Heading(heading, 1), Listing(items, numbered=True)))


def write_sheet(path: Path, title: str, opening: str, questions: list[Question], paper: Paper = "letter") -> None:
    """Write the questions, in the format of the file's ending.

    Raises:
        CannotWrite: the ending is none of txt, md, html, pdf, or no file can be put there.
    """
    _write(path, sheet(title, opening, questions), sheet_page(title, opening, questions), paper)


def write_answers(path: Path, title: str, marks: list[Mark], paper: Paper = "letter") -> None:
    """Write the answers, in the format of the file's ending.

    Raises:
        CannotWrite: the ending is none of txt, md, html, pdf, or no file can be put there.
    """
    _write(path, answers(title, marks), answers_page(title, marks), paper)


def _write(path: Path, text: str, page: Page, paper: Paper) -> None:
    from advisor.pages.files import write_page
    from explanations.files import check_place, write_whole

    if check_place(path, ENDINGS) == ".txt":
        write_whole(path, text.encode())
    else:
        write_page(page, path, paper)
