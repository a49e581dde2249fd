"""Pieces of a survey on disk: each put in place in one step, so that a kill loses and doubles nothing; then joined."""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, NamedTuple

import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.model.years import THIS_YEAR
from advisor.sheets import neutral
from advisor.survey.tables import ENDINGS, BadRow, BadTable
from advisor.validation.cache import program
from explanations.errors import CannotWrite
from explanations.files import check_place, write_whole, writing
from explanations.wording import wording


@dataclass(frozen=True)
class Survey:
    """What a survey made: the table, the file of bad rows (if there are any), and how many of each."""

    out: Path
    bad: Path | None
    floors: int
    bad_rows: int


class Versions(NamedTuple):
    """By what floors are advised on: digests of rules and program, and the year. A survey's pieces have the same."""

    rules: str
    program: str
    year: str = ""  # to which ages are counted

    @classmethod
    def of(cls, base: RuleBase) -> Versions:
        """Those of this process, with this rule base."""
        return cls(base.fingerprint, program(), base.norms[THIS_YEAR].given if THIS_YEAR in base.norms else "")


def check_out(out: Path) -> None:
    """Refuse a place where no result can be written, or where a file of the user's would be replaced.

    Raises:
        CannotWrite: the ending is unknown, a file is there already, or none can be put there.
    """
    check_place(out, ENDINGS, new=True)
    check_place(_bad_rows_of(out), new=True)


def _bad_rows_of(out: Path) -> Path:
    return out.with_name(f"{out.stem}.bad.csv")


class Pieces:
    """The folder of pieces of one work (table, versions, prices, rows a piece the same); one process holds it."""

    def __init__(
        self, out: Path, table: Path, by: Versions, rows: int, weigh: bool, prices: Path | None = None
    ) -> None:
        self.out, self.folder = out, out.with_name(f"{out.name}.parts")
        book = _digest(prices) if prices else ""
        self.work = {"table": _digest(table), **by._asdict(), "rows": rows, "weigh": weigh, "prices": book}

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the folder, made if it is not there, against any other process; what is left of a refusal goes.

        Raises:
            BadTable: another process holds it, or pieces of another work are in it.
            CannotWrite: it cannot be made.
        """
        with writing(self.folder):
            new = not self.folder.exists()
            self.folder.mkdir(exist_ok=True)
            handle = os.open(self.folder, os.O_RDONLY)
        try:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise self._refused("survey.in_use", "survey.wait") from None
            check_out(self.out)  # once more: another run may have put its result there meanwhile
            self._look_in()
            yield
        except BaseException as error:
            if new and not isinstance(error, KeyboardInterrupt | CannotWrite) and not any(self._done()):
                shutil.rmtree(self.folder, ignore_errors=True)  # refused before any work: nothing stays behind
            raise
        finally:
            os.close(handle)

    def _look_in(self) -> None:
        mark, content = self.folder / "survey.json", json.dumps(self.work).encode()
        if mark.exists():
            if mark.read_bytes() != content:
                raise self._refused("survey.half_done", "survey.take_away")
        elif any(self.folder.glob("part-*")):
            raise self._refused("survey.unmarked", "survey.take_away")
        else:
            write_whole(mark, content)

    def _refused(self, what: str, remedy: str) -> BadTable:
        return BadTable([Fault(str(self.folder), wording(what), remedy=wording(remedy))])

    def _done(self) -> Iterator[Path]:
        return self.folder.glob("part-*.arrow")

    def _advice(self, number: int) -> Path:
        return self.folder / f"part-{number:06d}.arrow"

    def has(self, number: int) -> bool:
        """Whether a piece is done."""
        return self._advice(number).exists()

    def put(self, number: int, advice: pa.RecordBatch, bad: list[BadRow]) -> None:
        """Put a piece's advice and its bad rows in place."""
        # The bad rows first: a piece counts as done once its advice is there.
        content = json.dumps([asdict(row) for row in bad]).encode()
        write_whole(self.folder / f"part-{number:06d}.bad.json", content)
        sink = pa.BufferOutputStream()
        with ipc.new_file(sink, advice.schema) as writer:
            writer.write_batch(advice)
        write_whole(self._advice(number), sink.getvalue())

    def join(self, malformed: list[BadRow], read: int) -> Survey:
        """Join the pieces into the result and the file of bad rows, and take the pieces away.

        Args:
            malformed: rows that were no rows of the table.
            read: rows that were read, those left out.

        Raises:
            BadTable: floors and bad rows are not as many as the rows read.
        """
        out, whole = self.out, self.folder / f"whole{self.out.suffix}"
        bad = list({row.row: row for row in malformed}.values())
        read += len(bad)
        for file in sorted(self.folder.glob("part-*.bad.json")):
            bad += [BadRow(**row) for row in json.loads(file.read_text(encoding="utf-8"))]
        with writing(out):
            floors = _join(sorted(self._done()), whole)
            if floors + len(bad) != read:
                what = wording("survey.not_all", floors=floors, bad=len(bad), rows=read)
                raise BadTable([Fault(str(out), what, remedy=wording("survey.report"))])
            if bad:
                bad.sort(key=lambda row: row.row)
                columns: dict[str, list[Any]] = {"row": [row.row for row in bad]}
                columns |= {name: [neutral(getattr(row, name)) for row in bad] for name in ("floor", "reason")}
                csv.write_csv(pa.table(columns), self.folder / "bad.csv")
                (self.folder / "bad.csv").replace(_bad_rows_of(out))
            whole.replace(out)
            for file in self.folder.glob("part-*"):  # the mark after them
                file.unlink()
            shutil.rmtree(self.folder)
        return Survey(out, _bad_rows_of(out) if bad else None, floors, len(bad))


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


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
        elif ending == ".csv" and pa.types.is_string(column.type):
            column = pa.array([text and neutral(text) for text in column.to_pylist()], pa.string())
        fields[name] = column
    return pa.RecordBatch.from_pydict(fields)
