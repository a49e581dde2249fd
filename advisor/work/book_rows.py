"""The rows of a price book as text, from CSV or XLSX, with their numbers; columns checked, cells not yet."""

from __future__ import annotations

from advisor.errors import AdvisorError, Fault, nearest
from advisor.sent import File
from advisor.sheets import BadSheet, read_sheet
from explanations.wording import wording

COLUMNS = ("kind", "item", "for", "description", "pack", "unit", "parts", "price", "price_high", "currency", "date")
OPTIONAL = {"parts", "price_high"}


class BadPriceBook(AdvisorError):
    """A price book cannot be used; every fault is named with row and column."""


def read_rows(path: File) -> tuple[tuple[tuple[int, dict[str, str]], ...], str]:
    """Rows by their number in the file, and the remarks that lines beginning with # make.

    Raises:
        BadPriceBook: not a readable .csv or .xlsx file, or its columns are not those of a price book.
    """
    try:
        sheet = read_sheet(path)
    except BadSheet as error:
        raise BadPriceBook(error.faults) from None
    faults = _head_faults(sheet.headings, wording("sheets.row", file=path.name, number=sheet.head_line))
    if faults:
        raise BadPriceBook(faults)
    return sheet.rows, sheet.remarks


def _head_faults(names: tuple[str, ...], where: str) -> list[Fault]:
    allowed = ", ".join(COLUMNS)
    faults = [
        Fault(where, wording("pricebook.column_missing", name=name), allowed)
        for name in COLUMNS
        if name not in names and name not in OPTIONAL
    ]
    faults += [
        Fault(where, wording("pricebook.column_unknown", name=name), allowed, nearest(name, COLUMNS))
        for name in names
        if name and name not in COLUMNS
    ]
    twice = [name for name in COLUMNS if names.count(name) > 1]
    return faults + [Fault(where, wording("pricebook.column_twice", name=name)) for name in twice]
