"""Pieces of a survey on disk: each put in place in one step, so that a kill loses and doubles nothing; then joined."""

from __future__ import annotations

import json
import os
import shutil
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.errors import Fault
from advisor.rulebase.knowledge import RuleBase
from advisor.survey.tables import ENDINGS, BadRow, BadTable


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
        BadTable: the ending is unknown, a file is there already, or the folder is missing.
    """
    faults = []
    if out.suffix.lower() not in ENDINGS:
        faults.append(Fault(str(out), f'I cannot write a table that ends in "{out.suffix}"', ", ".join(ENDINGS)))
    if out.exists():
        faults.append(Fault(str(out), "it is there already", remedy="Name another file, or take it away."))
    if not out.resolve().parent.is_dir():
        faults.append(Fault(str(out), f"there is no folder {out.parent}"))
    if faults:
        raise BadTable(faults)


def begin(parts: Path, table: Path, base: RuleBase, rows: int, weigh: bool) -> None:
    """Make the folder of pieces, or make sure that the one there is of the same work."""
    if not table.is_file():
        raise BadTable([Fault(str(table), "there is no such file", "a table of floors")])
    about = table.stat()
    mark = {"table": table.name, "bytes": about.st_size, "changed": about.st_mtime_ns, "rows": rows, "weigh": weigh}
    mark["rules"] = base.fingerprint
    file = parts / "survey.json"
    if not file.exists():
        parts.mkdir(exist_ok=True)
        _write(file, json.dumps(mark).encode())
    elif json.loads(file.read_text(encoding="utf-8")) != mark:
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


def _write(path: Path, content: bytes) -> None:
    """Put a file in place in one step: whole, or not there."""
    beginning = path.with_name(path.name + ".new")
    with beginning.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beginning.replace(path)


def put(parts: Path, number: int, advice: pa.RecordBatch, bad: list[BadRow]) -> None:
    """Put a piece's advice and its bad rows in place."""
    # The bad rows first: a piece counts as done once its advice is there.
    _write(_bad_part(parts, number), json.dumps([asdict(row) for row in bad]).encode())
    sink = pa.BufferOutputStream()
    with ipc.new_file(sink, advice.schema) as writer:
        writer.write_batch(advice)
    _write(part(parts, number), sink.getvalue())


def joined(parts: Path, out: Path, malformed: list[BadRow]) -> Survey:
    """Join the pieces into the result and the file of bad rows, and take the pieces away."""
    bad = list({row.row: row for row in malformed}.values())
    for file in sorted(parts.glob("part-*.bad.json")):
        bad += [BadRow(**row) for row in json.loads(file.read_text(encoding="utf-8"))]
    bad_file = out.with_name(out.stem + ".bad.csv")
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
