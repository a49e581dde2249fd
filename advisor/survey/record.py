"""The advice on a few floors of a table as data: what `survey --json` prints, and what programs are answered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Literal

import numpy as np
import pyarrow as pa
from pydantic import Field

from advisor.answer.many_answers import ManyAnswers
from advisor.errors import Fault
from advisor.model.published import Part, Published
from advisor.model.standing import AnswerKind, Verdict
from advisor.survey.survey import advice_table
from advisor.survey.tables import BadRow, BadTable, read_headings, read_piece
from advisor.work.pricebook import PriceBook
from explanations.wording import wording

MOST_FLOORS = 2000
Name = str | None


class FinishStands(Part):
    """Where a finish stands on one floor."""

    verdict: Verdict
    points: int


class FloorSurveyed(Part):
    """The advice on one floor; a name is null where there is none."""

    row: int = Field(description="Of the table; the first below the headings is 1.")
    floor: str
    answer: AnswerKind
    finish: Name = Field(description="Recommended outright.")
    leading: Name = Field(description="The best one left, recommended or not.")
    runner_up: Name
    fallback: Name = Field(description="The best that waits for nothing.")
    stops: tuple[str, ...] = Field(description="Professionals to call first.")
    holds: tuple[str, ...]
    tests: tuple[str, ...] = Field(description="To order before the leading finish.")
    hazards: tuple[str, ...] = Field(description="Of the floor and the leading finish.")
    currency: Name
    cost_low: float | None = Field(description="Of the leading finish, in the currency.")
    cost_high: float | None
    hours_low: float | None = Field(description="Of all people together.")
    hours_high: float | None
    ask_next: Name = Field(description="A fact.")
    standings: dict[str, FinishStands]


class RowSetAside(Part):
    """A row that states no floor."""

    row: int
    floor: str
    why: str


class Surveyed(Published):
    """The advice on the floors of a small table."""

    format: Literal["slab-finish-survey/1"] = "slab-finish-survey/1"
    floors: tuple[FloorSurveyed, ...]
    set_aside: tuple[RowSetAside, ...]


def survey_record(
    reading: ManyAnswers,
    book: PriceBook,
    numbered: Iterable[tuple[pa.RecordBatch, Any]],
    malformed: Sequence[BadRow],
    weigh: bool,
    where: str,
) -> Surveyed:
    """Advise on a few floors, in memory.

    Args:
        reading: the rule base, ready for many floors.
        book: prices.
        numbered: rows, and the number of each in its table.
        malformed: rows with more or fewer cells than there are headings, filled in as rows are read.
        weigh: whether the question to ask next is weighed as for one floor.
        where: what the table is called.

    Raises:
        BadTable: with every heading that is wrong; or there are too many rows.
    """
    floors: list[FloorSurveyed] = []
    bad: list[BadRow] = []
    for batch, numbers in numbered:
        headings = read_headings(reading.base, batch.schema.names, where)
        if batch.num_rows > MOST_FLOORS or floors or bad:
            raise BadTable([Fault(where, wording("survey.too_many"), wording("survey.most", most=MOST_FLOORS))])
        piece = read_piece(reading.base, batch, headings, numbers)
        bad += piece.bad
        if len(piece.rows):
            floors += map(_floor, advice_table(reading, book, piece, weigh).to_pylist())
    aside = sorted((*bad, *malformed), key=lambda each: each.row)
    return Surveyed(
        floors=tuple(floors),
        set_aside=tuple(RowSetAside(row=each.row, floor=each.floor, why=each.reason) for each in aside),
    )


def _floor(row: dict[str, Any]) -> FloorSurveyed:
    of_finishes = {name.partition(".")[2]: verdict for name, verdict in row.items() if name.startswith("standing.")}
    standings = {
        finish: FinishStands(verdict=verdict, points=row[f"points.{finish}"]) for finish, verdict in of_finishes.items()
    }
    return FloorSurveyed(**{name: each for name, each in row.items() if "." not in name}, standings=standings)


def as_table(rows: Sequence[dict[str, Any]]) -> tuple[pa.RecordBatch, Any]:
    """Rows that name their columns as a table of texts, numbered from 1; what a row does not name is not stated."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    columns = [pa.array([row.get(name) or None for row in rows], pa.string()) for name in names]
    return pa.RecordBatch.from_arrays(columns, names), np.arange(1, len(rows) + 1)
