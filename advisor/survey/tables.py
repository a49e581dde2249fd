"""Tables of floors, in CSV, Parquet or Arrow: read in pieces of bounded size, a row a floor, a column a fact.

A heading is a fact's name, or its name and a unit in square brackets, as `area [ft2]`: then cells may be plain
numbers. A cell is what a case file would say (`80 to 85 %`, `unknown`), a plain number or yes/no; an empty one was
not stated. `floor` is a name for the floor, and is carried over; nothing else may stand in a table.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import ipc, parquet

from advisor.engines.columns import ChoiceColumn, Column, Columns, Flags, NumberColumn
from advisor.engines.contradicting import in_doubt, refused, told_by_complaints, with_implied
from advisor.errors import MOST_TOLD, AdvisorError, Fault, nearest
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import UNITS
from advisor.model.vocabulary import FactKind
from advisor.sheets import BadSheet, as_it_was, csv_records, no_table
from advisor.survey.cells import Heading, read_column
from explanations.wording import wording
from explanations.words import obeyed, visible

READ_AT_ONCE = 1 << 15  # rows
ENDINGS = (".csv", ".parquet", ".arrow", ".feather")
FLOOR = "floor"  # the column that names the floors
_HEADING = re.compile(r"\s*(?P<name>[a-z0-9_]+)\s*(?:\[(?P<unit>[^\]]*)\])?\s*")


class BadTable(AdvisorError):
    """A table cannot be read as floors."""


@dataclass(frozen=True)
class BadRow:
    """A row that states no floor: its number (the first below the headings is 1), and why."""

    row: int
    floor: str
    reason: str


@dataclass
class Piece:
    """Some rows of a table as columns: the good ones, by their numbers; and the bad ones."""

    rows: Any  # row numbers of the good ones
    names: list[str]  # what their column `floor` says
    columns: Columns
    bad: list[BadRow] = field(default_factory=list)


def read_headings(base: RuleBase, names: Sequence[str], where: str) -> dict[str, Heading]:
    """The facts that a table's columns state, by heading.

    Raises:
        BadTable: with every heading that is no fact, is there twice, or has a unit that it cannot have.
    """
    faults: list[Fault] = []
    found: dict[str, Heading] = {}
    for name in names:
        match = _HEADING.fullmatch(name)
        fact, unit = (match["name"], (match["unit"] or "").strip()) if match else (name, "")
        kind = base.facts.get(fact)
        if fact == FLOOR and not unit:
            if list(names).count(name) > 1:
                faults.append(Fault(where, wording("survey.column_twice", name=FLOOR), wording("survey.once")))
            continue
        if kind is None:
            allowed = wording("survey.headings", floor=FLOOR)
            hint = nearest(fact, (*base.facts, FLOOR)) if len(faults) <= MOST_TOLD else ""  # unseen, and dear
            faults.append(Fault(where, wording("survey.no_column", name=name), allowed, hint))
        elif not kind.ask:
            remedy = wording("survey.take_column_out")
            faults.append(Fault(where, wording("facts.worked_out", name=fact), remedy=remedy))
        elif fact in {heading.fact for heading in found.values()}:
            faults.append(Fault(where, wording("survey.column_twice", name=fact), wording("survey.once")))
        elif unit and (kind.type != "number" or unit not in UNITS[kind.unit].spellings):
            allowed = (
                ", ".join(filter(None, UNITS[kind.unit].spellings))
                if kind.type == "number"
                else wording("survey.no_unit")
            )
            faults.append(Fault(where, wording("survey.unit", name=fact, unit=unit), allowed))
        else:
            found[name] = Heading(fact, unit)
    if not found and not faults:
        faults.append(Fault(where, wording("survey.no_facts"), wording("survey.facts_as_headings")))
    if faults:
        raise BadTable(dict.fromkeys(faults))
    return found


def _check_types(schema: pa.Schema, where: str) -> None:
    """Refuse columns whose cells are no texts, numbers or yes/no."""
    is_kind = pa.types
    kinds = (
        *(is_kind.is_string, is_kind.is_large_string, is_kind.is_boolean),
        *(is_kind.is_integer, is_kind.is_floating, is_kind.is_null),
    )
    faults = []
    for field_ in schema:
        inner = field_.type.value_type if pa.types.is_dictionary(field_.type) else field_.type
        if not any(kind(inner) for kind in kinds):
            what = wording("survey.column_type", name=field_.name, type=field_.type)
            faults.append(Fault(where, what, wording("survey.types")))
    if faults:
        raise BadTable(faults)


def batches(path: Path, size: int, malformed: list[BadRow]) -> Iterator[pa.RecordBatch]:
    """The rows of a table, `size` at a time (the last piece may be smaller), never all at once.

    Args:
        path: the table.
        size: rows a piece.
        malformed: takes the rows of a CSV file that have more or fewer cells than there are headings.

    Raises:
        BadTable: the file is not there, is not what its ending says, or has no rows.
    """
    if path.suffix.lower() not in ENDINGS:
        raise BadTable([Fault(str(path), wording("survey.ending", ending=path.suffix), ", ".join(ENDINGS))])
    if not path.is_file():
        raise BadTable([Fault(str(path), no_table(path), wording("survey.table"))])
    empty = True
    try:
        for batch in _regrouped(_read(path, malformed), size):
            if empty:
                _check_types(batch.schema, str(path))
            empty = False
            yield batch.rename_columns([name.strip() for name in batch.schema.names])
    except BadSheet as error:
        raise BadTable(error.faults) from None
    except (pa.ArrowException, OSError, UnicodeDecodeError) as error:
        said = str(error).splitlines()[0][:200]
        what = wording("survey.unreadable", kind=path.suffix[1:].upper(), said=said)
        raise BadTable([Fault(str(path), what)]) from None
    if empty:
        what = wording("survey.no_row_fits", n=len(malformed)) if malformed else wording("survey.no_floors")
        raise BadTable([Fault(str(path), what, wording("survey.row_a_floor"))])


def _read(path: Path, malformed: list[BadRow]) -> Iterator[pa.RecordBatch]:
    match path.suffix.lower():
        case ".csv":
            yield from _read_csv(path, malformed)
        case ".parquet":
            with parquet.ParquetFile(path) as file:
                yield from file.iter_batches(batch_size=READ_AT_ONCE)
        case _:
            with ipc.open_file(path) as file:
                for number in range(file.num_record_batches):
                    yield file.get_batch(number)


def _read_csv(path: Path, malformed: list[BadRow]) -> Iterator[pa.RecordBatch]:
    """The records as text, an empty cell as nothing; one with more or fewer cells than headings is malformed."""
    records = csv_records(path)
    _, headings = next(records, (1, []))
    if len(headings) == 1 and (sign := re.search(r"[;\t|]", headings[0])):
        what = wording("survey.separated", sign={"\t": "tabs"}.get(sign[0], f"`{sign[0]}`"))
        raise BadTable([Fault(str(path), what, wording("sheets.csv"))])
    held: list[list[str]] = []
    for number, (_, record) in enumerate(records, start=1):
        if len(record) == len(headings):
            held.append(record)
            if len(held) == READ_AT_ONCE:
                yield _texts(headings, held)
                held = []
        else:
            why = wording("survey.cells", n=len(record), headings=len(headings))
            malformed.append(BadRow(number, "", why))
    if held:
        yield _texts(headings, held)


def _texts(headings: Sequence[str], records: Sequence[Sequence[str]]) -> pa.RecordBatch:
    columns = (_text(pa.array(column, pa.string())) for column in zip(*records, strict=True))
    return pa.RecordBatch.from_arrays(list(columns), list(headings))


def _text(cells: Any) -> Any:
    """Cells as they were, an empty one as nothing."""
    if pc.any(pc.starts_with(cells, "'")).as_py():
        cells = pa.array(map(as_it_was, cells.to_pylist()), pa.string())
    return pc.if_else(pc.equal(cells, ""), None, cells)


def _regrouped(pieces: Iterator[pa.RecordBatch], size: int) -> Iterator[pa.RecordBatch]:
    """The same rows in pieces of one size."""
    held: list[pa.RecordBatch] = []
    count = 0
    for piece in pieces:
        while count + piece.num_rows >= size:
            take = size - count
            yield _joined([*held, piece.slice(0, take)])
            held, count, piece = [], 0, piece.slice(take)
        held, count = [*held, piece], count + piece.num_rows
    if count:
        yield _joined(held)


def _joined(pieces: list[pa.RecordBatch]) -> pa.RecordBatch:
    return pa.Table.from_batches(pieces).combine_chunks().to_batches()[0]


def read_piece(base: RuleBase, batch: pa.RecordBatch, headings: Mapping[str, Heading], rows: Any) -> Piece:
    """Rows as columns of facts; a row with a fault is set aside with its reason.

    Args:
        base: for the vocabulary.
        batch: the rows.
        headings: what their columns state.
        rows: their numbers in the table.
    """
    count = batch.num_rows
    reasons: dict[int, list[str]] = {}
    facts: dict[str, Column] = {}
    for name, heading in headings.items():
        facts[heading.fact] = read_column(base, heading, batch.column(name), reasons)
    columns = with_implied(base, told_by_complaints(base, Columns(count, facts)))
    facts = dict(columns.facts)
    for contradiction, flags in refused(base, columns).items():
        for row in np.flatnonzero(flags):
            reasons.setdefault(int(row), []).append(base.contradictions[contradiction].says)
    for name, flags in in_doubt(base, columns).items():  # nothing rests on what hardly goes together
        _forget(base.facts[name], facts[name], flags)
    has_names = FLOOR in batch.schema.names
    names = [_shown(str(n or "")) for n in batch.column(FLOOR).to_pylist()] if has_names else [""] * count
    bad = [BadRow(int(rows[row]), names[row], _shown("; ".join(why))) for row, why in sorted(reasons.items())]
    good = np.setdiff1d(np.arange(count), np.fromiter(reasons, np.int64, len(reasons)))
    if reasons:
        columns = Columns(len(good), {name: _taken(column, good) for name, column in facts.items()})
    return Piece(np.asarray(rows)[good], [names[row] for row in good], columns, bad)


def _shown(text: str) -> str:
    """A text of the table; what a terminal or a page would obey in it is written as a number."""
    return visible(text) if obeyed(text) else text


def _taken(column: Column, rows: Any) -> Column:
    if isinstance(column, ChoiceColumn):
        return ChoiceColumn(column.codes[rows], column.values)
    return NumberColumn(column.low[rows], column.high[rows], column.known[rows])


def _forget(kind: FactKind, column: Column, rows: Flags) -> None:
    if isinstance(column, ChoiceColumn):
        column.codes[rows] = 0
    else:
        column.low[rows], column.high[rows], column.known[rows] = kind.plausible.low, kind.plausible.high, False


def row_count(path: Path) -> int | None:
    """How many rows a table has, for a bar of progress: exact but for line breaks inside cells; None if unreadable."""
    if not path.is_file():
        return None
    try:
        match path.suffix.lower():
            case ".csv":
                with path.open("rb") as file:
                    return sum(block.count(b"\n") for block in iter(partial(file.read, 1 << 20), b"")) - 1
            case ".parquet":
                return int(parquet.read_metadata(path).num_rows)
            case _:
                with ipc.open_file(path) as file:
                    return sum(int(file.get_batch(number).num_rows) for number in range(file.num_record_batches))
    except (pa.ArrowException, OSError):
        return None
