"""The rows of a price book as text, from CSV or XLSX, with their numbers; columns checked, cells not yet."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path

from advisor.errors import AdvisorError, Fault, nearest

COLUMNS = ("kind", "item", "for", "description", "pack", "unit", "parts", "price", "price_high", "currency", "date")
OPTIONAL = {"parts", "price_high"}
LARGEST = 5_000_000  # bytes
MOST_ROWS = 20_000


class BadPriceBook(AdvisorError):
    """A price book cannot be used; every fault is named with row and column."""


def read_rows(path: Path) -> tuple[list[tuple[int, dict[str, str]]], str]:
    """Rows by their number in the file, and the remarks that lines beginning with # make.

    Raises:
        BadPriceBook: not a readable .csv or .xlsx file, or its columns are not those of a price book.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise BadPriceBook([Fault(path.name, "the file is too large", f"up to {LARGEST:,} bytes")])
        cells = _cells(path)
    except OSError as error:
        what = f"cannot be read ({error.strerror or 'not a workbook'})"
        raise BadPriceBook([Fault(path.name, what, "a .csv or .xlsx file")]) from None
    remarks = [
        ", ".join(cell for cell in row if cell).lstrip("# ") for _, row in cells if row and row[0].startswith("#")
    ]
    lines = [(number, row) for number, row in cells if any(row) and not row[0].startswith("#")]
    if not lines:
        raise BadPriceBook([Fault(path.name, "there is no row in it", ", ".join(COLUMNS))])
    names = [name.lower() for name in lines[0][1]]
    faults = _head_faults(names, f"{path.name}, row {lines[0][0]}")
    if len(lines) > MOST_ROWS:
        faults.append(Fault(path.name, f"{len(lines)} rows are too many", f"up to {MOST_ROWS}"))
    for number, row in lines[1:]:
        if any(row[len(names) :]):
            faults.append(Fault(f"{path.name}, row {number}", "there are more cells than columns"))
    if faults:
        raise BadPriceBook(faults)
    blanks = [""] * len(names)
    rows = [(number, dict(zip(names, [*row, *blanks], strict=False))) for number, row in lines[1:]]
    return rows, " ".join(remarks)


def _head_faults(names: list[str], where: str) -> list[Fault]:
    allowed = ", ".join(COLUMNS)
    faults = [
        Fault(where, f'the column "{name}" is missing', allowed)
        for name in COLUMNS
        if name not in names and name not in OPTIONAL
    ]
    faults += [
        Fault(where, f'I do not know the column "{name}"', allowed, nearest(name, COLUMNS))
        for name in names
        if name and name not in COLUMNS
    ]
    faults += [Fault(where, f'the column "{name}" is there twice') for name in COLUMNS if names.count(name) > 1]
    return faults


def _cells(path: Path) -> list[tuple[int, list[str]]]:
    match path.suffix.lower():
        case ".csv":
            return _csv(path)
        case ".xlsx":
            return _workbook(path)
        case other:
            raise BadPriceBook([Fault(path.name, f'the ending "{other}" is not known', ".csv, .xlsx")])


def _csv(path: Path) -> list[tuple[int, list[str]]]:
    try:
        text = path.read_bytes().decode("utf-8-sig")
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        return [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except UnicodeDecodeError as error:
        what = f"byte {error.start} is not UTF-8 text"
    except csv.Error as error:
        what = f"not CSV: {error}"
    raise BadPriceBook([Fault(path.name, what, "comma-separated text in UTF-8")])


def _workbook(path: Path) -> list[tuple[int, list[str]]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, read_only=True, data_only=True)
        rows = [(n, [_text(v) for v in row]) for n, row in enumerate(book.worksheets[0].values, start=1)]
        book.close()
    except (BadZipFile, InvalidFileException, KeyError, ValueError, IndexError):
        raise BadPriceBook([Fault(path.name, "it is not an Excel workbook", "an .xlsx file")]) from None
    return rows


def _text(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return "" if value is None else str(value).strip()
