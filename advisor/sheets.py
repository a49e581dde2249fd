"""Rows of a table as text, from CSV or a workbook: the one reader for price books, weather and surveys.

A cell that a spreadsheet would run (it begins with one of = + - @, wide ones too, a tab or a line's end) is written
with an apostrophe before it and read without (OWASP, "CSV Injection"; the wide signs from memory).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from io import TextIOWrapper
from pathlib import Path

from advisor.errors import AdvisorError, Fault
from advisor.sent import File, Sent, opened
from explanations.wording import wording
from explanations.words import obeyed, visible

LARGEST = 5_000_000  # bytes of a file that is read as a whole
LARGEST_UNPACKED = 50_000_000  # of a workbook, which is packed
MOST_ROWS, MOST_COLUMNS = 20_000, 200
LONGEST_CELL = 10_000  # characters
REMARK = re.compile(r"#(?!:)")
RUN = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # the wide signs too: some run these


class BadSheet(AdvisorError):
    """A table cannot be read."""


@dataclass(frozen=True)
class Sheet:
    """A small table: headings in lower case, rows by heading with their line, remarks (lines of #, but not of #:)."""

    head_line: int
    headings: tuple[str, ...]
    rows: tuple[tuple[int, dict[str, str]], ...]
    remarks: str


def neutral(text: str) -> str:
    """A text as a cell that no spreadsheet runs.

    >>> neutral("=1+1"), neutral("-5"), neutral("our garage")
    ("'=1+1", "'-5", 'our garage')
    """
    return f"'{text}" if text.startswith(RUN) or (text.startswith("'") and text[1:].startswith(RUN)) else text


def as_it_was(cell: str) -> str:
    """The inverse of `neutral`.

    >>> as_it_was("'=1+1"), as_it_was("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell.startswith("'") and neutral(cell[1:]) == cell else cell


def csv_records(path: File) -> Iterator[tuple[int, list[str]]]:
    """The records of a CSV file in UTF-8, each with the line that it begins on; empty lines are passed over.

    Raises:
        BadSheet: it is no CSV, or a quotation mark is opened and never closed; saying in which line.
    """
    line, columns = 1, 0
    try:
        with opened(path) as held, TextIOWrapper(held, encoding="utf-8-sig", newline="") as text:
            reader = csv.reader(text, strict=True)
            for record in reader:
                if max(map(len, record), default=0) > LONGEST_CELL:
                    raise BadSheet([Fault(_line(path, line), wording("sheets.long_cell", most=f"{LONGEST_CELL:,}"))])
                columns = columns or len(record)
                if reader.line_num > line and _swallows(record, columns):
                    what = wording("sheets.swallows", last=reader.line_num)
                    raise BadSheet([Fault(_line(path, line), what, remedy=wording("sheets.one_line"))])
                if record:
                    yield line, record
                line = reader.line_num + 1
    except csv.Error as error:
        what, remedy = wording("sheets.no_csv", why=error), wording("sheets.quotes")
        raise BadSheet([Fault(_line(path, line), what, remedy=remedy)]) from None
    except UnicodeDecodeError as error:
        raise BadSheet([Fault(path.name, wording("sheets.no_text", byte=error.start), wording("sheets.csv"))]) from None
    except OSError as error:
        raise BadSheet([Fault(str(path), wording("sheets.unreadable", why=error.strerror or error))]) from None


def _swallows(record: list[str], columns: int) -> bool:
    """Whether a cell over several lines holds a whole row of so many columns: a quotation mark too many began it."""
    for place, cell in enumerate(record):
        if "," in cell and ("\n" in cell or "\r" in cell):
            first, *others, _ = re.split(r"\r\n|\r|\n", cell)
            if place + first.count(",") == columns - 1 > place or any(o.count(",") == columns - 1 for o in others):
                return True
    return False


def no_table(path: Path) -> str:
    """Why there is no table to read at a place: nothing, a folder, or a pipe or device, which may never end."""
    if path.is_dir():
        return wording("sheets.folder")
    return wording("sheets.no_plain_file" if path.exists() else "sheets.no_file")


def read_sheet(path: File) -> Sheet:
    """A small table as a whole, from .csv or the first sheet of .xlsx.

    Raises:
        BadSheet: with every fault, each with its row.
    """
    if isinstance(path, Path) and not path.is_file():
        raise BadSheet([Fault(str(path), no_table(path), wording("sheets.kinds"))])
    size = len(path.content) if isinstance(path, Sent) else path.stat().st_size
    if size > LARGEST:
        raise BadSheet([_too_large(path, LARGEST)])
    match path.suffix.lower():
        case ".csv":
            found = list(csv_records(path))
        case ".xlsx":
            found = list(_workbook(path))
        case other:
            raise BadSheet([Fault(path.name, wording("sheets.ending", ending=other), ".csv, .xlsx")])
    lines = [(number, [as_it_was(_plain(cell)) for cell in row]) for number, row in found]
    if faults := [_obeyed(path, number, cell) for number, row in lines for cell in row if obeyed(cell)]:
        raise BadSheet(faults)
    remarks = [", ".join(filter(None, row)).lstrip("# ") for _, row in lines if row and REMARK.match(row[0])]
    lines = [(number, row) for number, row in lines if any(row) and not row[0].startswith("#")]
    if not lines:
        raise BadSheet([Fault(path.name, wording("sheets.empty"))])
    if len(lines) > MOST_ROWS:
        raise BadSheet([Fault(path.name, wording("sheets.many", n=len(lines)), wording("sheets.most", n=MOST_ROWS))])
    (head_line, head), *below = lines
    faults = [
        Fault(_line(path, number), wording("sheets.more_cells")) for number, row in below if any(row[len(head) :])
    ]
    if faults:
        raise BadSheet(faults)
    names, blanks = [name.lower() for name in head], [""] * len(head)
    rows = tuple((number, dict(zip(names, [*row, *blanks], strict=False))) for number, row in below)
    return Sheet(head_line, tuple(names), rows, " ".join(remarks))


def _too_large(path: File, most: int) -> Fault:
    return Fault(path.name, wording("sheets.large"), wording("sheets.bytes", most=f"{most:,}"))


def _plain(cell: str) -> str:
    return cell.replace("\r\n", "\n").strip()


def _obeyed(path: File, number: int, cell: str) -> Fault:
    """What is wrong with a cell that a terminal or a page would obey instead of showing it."""
    what = wording("documents.obeyed", number=obeyed(cell), text=visible(cell[:60]))
    return Fault(_line(path, number), what, remedy=wording("documents.take_it_out"))


def _line(path: File, number: int) -> str:
    return wording("sheets.row", file=path.name, number=number)


def _workbook(path: File) -> Iterator[tuple[int, list[str]]]:
    from zipfile import ZipFile

    from openpyxl import load_workbook

    try:
        with opened(path) as held:
            if sum(each.file_size for each in ZipFile(held).infolist()) > LARGEST_UNPACKED:
                raise BadSheet([_too_large(path, LARGEST_UNPACKED)])
            book = load_workbook(held, read_only=True, data_only=True)
            rows = book.worksheets[0].iter_rows(max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS, values_only=True)
            for number, row in enumerate(rows, start=1):
                yield number, [_text(value) for value in row]
    except BadSheet:
        raise
    except Exception:  # of a broken one the library tells by errors of any kind
        raise BadSheet([Fault(path.name, wording("sheets.no_workbook"), ".xlsx")]) from None


def _text(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return "" if value is None else str(value)[: LONGEST_CELL + 1]
