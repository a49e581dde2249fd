"""Pieces of a survey on disk: each put in place in one step, so that a kill loses and doubles nothing; then joined."""

from __future__ import annotations

import json
import shutil
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.survey.tables import ENDINGS, BadRow, BadTable
from explanations.files import check_place, write_whole, writing


@dataclass(frozen=True)
class Survey:
    """What a survey made: the table, the file of bad rows (if there are any), and how many of each."""

    out: Path
    bad: Path | None
    floors: int
    bad_rows: int


def check_out(out: Path) -> None:
    """Refuse a place where no result can be written.

    Raises:
        CannotWrite: the ending is unknown, a file is there already, or none can be put there.
    """
    check_place(out, ENDINGS, new=True)
    check_place(_bad_rows_of(out))


def _bad_rows_of(out: Path) -> Path:
    return out.with_name(f"{out.stem}.bad.csv")


def begin(parts: Path, table: Path, base: RuleBase, rows: int, weigh: bool) -> None:
    """Make the folder of pieces, or make sure that the one there is of the same work."""
    if not table.is_file():
        raise BadTable([Fault(str(table), "there is no such file", "a table of floors")])
    about = table.stat()
    mark = {"table": table.name, "bytes": about.st_size, "changed": about.st_mtime_ns, "rows": rows, "weigh": weigh}
    mark["rules"] = base.fingerprint
    file, content = parts / "survey.json", json.dumps(mark).encode()
    if not file.exists():
        with writing(parts):
            parts.mkdir(exist_ok=True)
        write_whole(file, content)
    elif file.read_bytes() != content:
        raise BadTable(
            [
                Fault(
                    str(parts),
                    "here is half-done work on another table, or with other rules",
                    remedy="Take the folder away to begin anew, or name another result.",
                )
            ]
        )


def part(parts: Path, number: int) -> Path:
    """Where a piece's advice is, once it is done."""
    return parts / f"part-{number:06d}.arrow"


def _bad_part(parts: Path, number: int) -> Path:
    return parts / f"part-{number:06d}.bad.json"


def put(parts: Path, number: int, advice: pa.RecordBatch, bad: list[BadRow]) -> None:
    """Put a piece's advice and its bad rows in place."""
    # The bad rows first: a piece counts as done once its advice is there.
    write_whole(_bad_part(parts, number), json.dumps([asdict(row) for row in bad]).encode())
    sink = pa.BufferOutputStream()
    with ipc.new_file(sink, advice.schema) as writer:
        writer.write_batch(advice)
    write_whole(part(parts, number), sink.getvalue())


def joined(parts: Path, out: Path, malformed: list[BadRow]) -> Survey:
    """Join the pieces into the result and the file of bad rows, and take the pieces away."""
    bad = list({row.row: row for row in malformed}.values())
    for file in sorted(parts.glob("part-*.bad.json")):
        bad += [BadRow(**row) for row in json.loads(file.read_text(encoding="utf-8"))]
    bad_file = _bad_rows_of(out)
    with writing(out):
        if bad:
            bad.sort(key=lambda row: row.row)
            columns = {name: [getattr(row, name) for row in bad] for name in ("row", "floor", "reason")}
            csv.write_csv(pa.table(columns), parts / "bad.csv")
            (parts / "bad.csv").replace(bad_file)
        else:
            bad_file.unlink(missing_ok=True)
        floors = _join(sorted(parts.glob("part-*.arrow")), parts / f"whole{out.suffix}")
        (parts / f"whole{out.suffix}").replace(out)
        shutil.rmtree(parts)
    return Survey(out, bad_file if bad else None, floors, len(bad))


def _join(pieces: list[Path], whole: Path) -> int:
    floors, writer = 0, None
    for piece in pieces:
        with ipc.open_file(piece) as file:
            table = pa.Table.from_batches([_plain(file.get_batch(0), whole.suffix.lower())])
        if writer is None:
            writer = _writer(whole, table.schema)
        writer.write_table(table)
        floors += table.num_rows
    if writer is not None:
        writer.close()
    else:
        whole.touch()
    return floors


def _writer(whole: Path, schema: pa.Schema) -> Any:
    match whole.suffix.lower():
        case ".csv":
            return csv.CSVWriter(whole, schema)
        case ".parquet":
            return parquet.ParquetWriter(whole, schema)
    return ipc.new_file(whole, schema)


def _plain(batch: pa.RecordBatch, ending: str) -> pa.RecordBatch:
    """Names written out, which all formats know; lists joined by a semicolon where a cell must be text."""
    fields = {}
    for name in batch.schema.names:
        column = batch.column(name)
        if pa.types.is_dictionary(column.type):
            column = column.dictionary_decode()
        elif pa.types.is_list(column.type):
            column = pa.ListArray.from_arrays(column.offsets, column.values.dictionary_decode())
            if ending == ".csv":
                column = pc.binary_join(column, "; ")
        fields[name] = column
    return pa.RecordBatch.from_pydict(fields)
