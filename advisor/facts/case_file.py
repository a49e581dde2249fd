"""Writing a case file: whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

from advisor.errors import BadFile, Fault
from advisor.facts.case import Case
from advisor.facts.case_form import FORMAT
from advisor.facts.statements import Statement
from explanations.errors import CannotWrite
from explanations.files import check_place as check_file
from explanations.files import write_whole
from explanations.wording import wording
from explanations.words import visible

YAML = (".yaml", ".yml")
MARK = "# Written by advisor; what was answered `unknown` is not asked again.\n"


def save_case(case: Case, path: Path, like: Path | None = None) -> None:
    """Write what a case states as YAML; with the mode of the file that it was read from, where none is there.

    Raises:
        BadFile: the ending is not YAML's, or it cannot be written; the old file is as it was then.
    """
    check_place(path)
    try:
        write_whole(path, case_text(case).encode(), like)
    except CannotWrite as error:
        raise _bad(error) from None


def check_place(path: Path, new: bool = False) -> None:
    """Whether a case could be saved there, before anybody types it in.

    Raises:
        BadFile: the ending is not YAML's, or no file can be put there (no new one, where the old must stay), or one is
            there that was not saved here.
    """
    try:
        check_file(path, YAML, new)
    except CannotWrite as error:
        raise _bad(error) from None
    if path.exists() and not was_written_here(path):
        remedy = wording("facts.name_another")
        raise BadFile([Fault(str(path), wording("facts.own_file"), remedy=remedy)])


def _bad(error: CannotWrite) -> BadFile:
    return BadFile([Fault(str(error.path), error.why)])


def case_text(case: Case) -> str:
    """A case file's text."""
    floor, note = _quoted(case.floor), _quoted(case.note)
    head = f"{MARK}format: {FORMAT}\nfloor: {floor}\nnote: {note}\n"
    if case.rooms:
        head += "rooms:\n" + "".join(f"  - {_quoted(room)}\n" for room in case.rooms)
    lines = [f"  {name}: {_entry(statement)}\n" for name, statement in case.stated.items()]
    return head + ("facts:\n" + "".join(lines) if lines else "facts: {}\n")


def _entry(statement: Statement) -> str:
    text = _quoted(statement.text)
    if not statement.source:
        return text
    on = f", on: {statement.on}" if statement.on else ""
    by = f", by: {_quoted(statement.by)}" if statement.by else ""
    return f"{{is: {text}{on}{by}}}"


def _quoted(text: str) -> str:
    """A text that YAML reads back as it is, whatever stands in it."""
    return visible(json.dumps(text, ensure_ascii=False))


def was_written_here(path: Path) -> bool:
    """Whether a file is one of `save_case`, and so may be written over."""
    if not path.is_file():
        return False
    try:
        with path.open(encoding="utf-8") as file:
            return file.readline() == MARK
    except (OSError, UnicodeDecodeError):
        return False
