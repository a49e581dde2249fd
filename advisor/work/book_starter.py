"""A price book to begin with: the names of all that can be priced, and a book of them to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from csv import DictWriter
from datetime import date
from io import StringIO

from advisor.model.knowledge import RuleBase
from advisor.sheets import neutral
from advisor.work.book_reading import demo_book
from advisor.work.book_rows import COLUMNS, read_rows
from advisor.work.pricebook import LABOUR
from explanations.wording import wording


def price_names(base: RuleBase) -> Iterator[tuple[str, str, str]]:
    """What rows of a price book may serve: kind, name, and its unit with a description."""
    for name, material in base.materials.items():
        key = "pricebook.kit" if material.parts == "2" else "pricebook.goods"
        yield "goods", name, wording(key, name=material.name, unit=material.unit)
    for name, item in base.hire.items():
        yield "hire", name, item.name
    for name in LABOUR:
        yield "labour", name, wording("pricebook.crew")


def starter(base: RuleBase, currency: str, today: date) -> str:
    """A price book to fill in: a row for all that can be priced, with a usual pack and no price."""
    rows, _ = read_rows(demo_book())
    usual = {(row["kind"], row["for"]): row for _, row in reversed(rows)}
    file = StringIO()
    for line in wording("pricebook.starter", columns=", ".join(COLUMNS)).splitlines():
        file.write(f"#: {line}\n")
    written = DictWriter(file, COLUMNS, extrasaction="ignore", lineterminator="\n")
    written.writeheader()
    written.writerow({"kind": "tax", "for": "goods hire", "unit": "percent added"})
    for kind, name, _ in price_names(base):
        row = usual.get((kind, name)) or {}
        blank = {"price": "", "price_high": "", "currency": currency, "date": today.isoformat()}
        cells = {"kind": kind, "item": name, "for": name, **_named(base, kind, name), **row, **blank}
        written.writerow({column: neutral(cell) for column, cell in cells.items()})
    return file.getvalue()


def _named(base: RuleBase, kind: str, name: str) -> dict[str, str]:
    """Columns of a thing that the shipped book has no row for: a shop's own."""
    if kind != "goods":
        return {"description": base.hire[name].name, "pack": "1", "unit": "day"} if kind == "hire" else {}
    material = base.materials[name]
    parts = material.parts if material.unit != "each" else ""
    return {"description": material.name, "pack": "1", "unit": material.unit, "parts": parts}
