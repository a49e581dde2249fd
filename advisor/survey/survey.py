"""Advice for a table of floors: in pieces of bounded memory, on one process, several, or a cluster of machines.

Each finished piece is a file of its own beside the result, put in place in one step. After a kill the same command
goes on with the pieces that are missing, so nothing is lost or doubled; at the end the pieces become one table.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.errors import Fault
from advisor.inference.columns import ChoiceColumn, NumberColumn
from advisor.rulebase.knowledge import RuleBase
from advisor.rulebase.loading import load_rulebase
from advisor.survey.many_answers import KINDS, NOBODY, VERDICTS, Answers, ManyAnswers
from advisor.survey.many_asking import ask_first
from advisor.survey.tables import ENDINGS, BadRow, BadTable, Piece, batches, read_headings, read_piece

ROWS = 32_768  # floors a piece: some 60 MB at work, and the pace no longer grows
AHEAD = 2  # pieces that each worker may have waiting

Overlays = tuple[Path, ...]


@dataclass(frozen=True)
class Survey:
    """What a survey made: the table, the file of bad rows (if there are any), and how many of each."""

    out: Path
    bad: Path | None
    floors: int
    bad_rows: int


def survey(
    table: Path,
    out: Path,
    overlays: Overlays = (),
    executor: Executor | None = None,
    workers: int = 1,
    rows: int = ROWS,
    progress: Callable[[int], None] = lambda _: None,
) -> Survey:
    """Advise on every row of a table.

    Args:
        table: floors as CSV, Parquet or Arrow (see `tables`).
        out: where the result goes, in the same choice of formats; must not exist yet.
        overlays: folders laid over the shipped rules.
        executor: where pieces are worked on (processes, or a cluster's); this process if not given.
        workers: how many workers the executor has.
        rows: rows a piece.
        progress: told how many rows more are done.

    Raises:
        BadTable: the table or the place for the result is not as it must be.
    """
    base = load_rulebase(*overlays)
    _check_out(out)
    parts = out.with_name(out.name + ".parts")
    begun = parts.exists()
    _begin(parts, table, base, rows)
    try:
        return _all_pieces(base, table, parts, out, overlays, executor, workers, rows, progress)
    except BadTable:
        if not begun:
            shutil.rmtree(parts, ignore_errors=True)  # refused before any work: nothing stays behind
        raise


def _all_pieces(
    base: RuleBase,
    table: Path,
    parts: Path,
    out: Path,
    overlays: Overlays,
    executor: Executor | None,
    workers: int,
    rows: int,
    progress: Callable[[int], None],
) -> Survey:
    malformed: list[BadRow] = []
    pending: list[tuple[int, int, Future[Any]]] = []
    for number, (batch, numbers) in enumerate(_numbered(table, rows, malformed)):
        if number == 0:
            read_headings(base, batch.schema.names, str(table))  # at once, before any work
        if _part(parts, number).exists():
            progress(batch.num_rows)
        elif executor is None:
            _put(parts, number, *advise_rows(overlays, batch, numbers))
            progress(batch.num_rows)
        else:
            pending.append((number, batch.num_rows, executor.submit(advise_rows, overlays, batch, numbers)))
            while len(pending) > workers * AHEAD:
                _collect(parts, pending, progress)
    while pending:
        _collect(parts, pending, progress)
    return _finish(parts, out, malformed)


def advise_rows(overlays: Overlays, batch: pa.RecordBatch, numbers: Any) -> tuple[pa.RecordBatch, list[BadRow]]:
    """The advice for some rows: what a worker does. Rows that state no floor come back with their reasons."""
    reading = _reading(overlays)
    headings = read_headings(reading.base, batch.schema.names, "the table")
    piece = read_piece(reading.base, batch, headings, numbers)
    return advice_table(reading, piece), piece.bad


@cache
def _reading(overlays: Overlays) -> ManyAnswers:
    return ManyAnswers(load_rulebase(*overlays))


def _numbered(table: Path, rows: int, malformed: list[BadRow]) -> Iterator[tuple[pa.RecordBatch, Any]]:
    """Pieces of the table with the numbers of their rows; malformed rows have numbers too."""
    last = 0
    for batch in batches(table, rows, malformed):
        skipped = np.array(sorted({bad.row for bad in malformed if bad.row > last}), np.int64)
        numbers = np.setdiff1d(np.arange(last + 1, last + 1 + batch.num_rows + len(skipped)), skipped)
        numbers = numbers[: batch.num_rows]
        last = int(numbers[-1]) if len(numbers) else last
        yield batch, numbers


# ---- the result as a table ----------------------------------------------------------------------------------------


def advice_table(reading: ManyAnswers, piece: Piece) -> pa.RecordBatch:
    """The advice for good rows, one row a floor.

    Columns: row, floor, answer, finish, leading, runner_up, fallback, stops, holds, tests (to order before the
    leading finish), hazards (of the floor and the leading finish), cost_low and cost_high [USD] (the rough figures of
    the leading finish, for the area), ask_next, and of each finish `standing.ID` and `points.ID`.
    """
    base, floors = reading.base, piece.columns.floors
    working = reading.working(piece.columns)
    fired = reading.cases.infer(working)
    answers = reading.conclude(working, fired)
    low, high = _cost(reading, answers, working)
    fields: dict[str, Any] = {
        "row": pa.array(piece.rows, pa.int64()),
        "floor": pa.array(piece.names, pa.string()),
        "answer": _named(KINDS, answers.kinds.astype(np.int32)),
        "finish": _named(answers.finishes, answers.finish),
        "leading": _named(answers.finishes, answers.leading),
        "runner_up": _named(answers.finishes, answers.runner_up),
        "fallback": _named(answers.finishes, answers.fallback),
        "stops": _listed(answers, floors, [("refer", n) for n, each in base.referrals.items() if each.stop]),
        "holds": _listed(answers, floors, [("hold", name) for name in base.needs]),
        "tests": _listed(
            answers, floors, [("first", name) for name, need in base.needs.items() if need.kind == "test"]
        ),
        "hazards": _listed(answers, floors, [("caution", name) for name in base.cautions]),
        "cost_low": pa.array(low, from_pandas=True),
        "cost_high": pa.array(high, from_pandas=True),
        "ask_next": _named(tuple(base.facts), ask_first(reading, working, fired)),
    }
    for place, finish in enumerate(answers.finishes):
        fields[f"standing.{finish}"] = _named(VERDICTS, answers.verdicts[place].astype(np.int32))
        fields[f"points.{finish}"] = pa.array(answers.totals[place])
    return pa.RecordBatch.from_pydict(fields)


def _named(names: tuple[str, ...], places: Any) -> Any:
    indices = pa.array(places.astype(np.int32), mask=places == NOBODY)
    return pa.DictionaryArray.from_arrays(indices, pa.array(names, pa.string()))


def _listed(answers: Answers, floors: int, wanted: list[tuple[str, str]]) -> Any:
    """For each floor the names that hold of it, or of the finish that leads there."""
    flags = np.zeros((len(wanted), floors), np.bool)
    leads = [answers.leading == place for place in range(len(answers.finishes))]
    for place, (kind, name) in enumerate(wanted):
        for conclusion in answers.conclusions:
            if conclusion.kind == kind and conclusion.name == name:
                here = answers.where(conclusion)
                about = conclusion.finish
                flags[place] |= here & leads[answers.finishes.index(about)] if about else here
    rows, names = np.nonzero(flags.T)
    offsets = np.searchsorted(rows, np.arange(floors + 1)).astype(np.int32)
    values = pa.DictionaryArray.from_arrays(names.astype(np.int32), pa.array([n for _, n in wanted], pa.string()))
    return pa.ListArray.from_arrays(pa.array(offsets), values)


def _cost(reading: ManyAnswers, answers: Answers, working: Any) -> tuple[Any, Any]:
    """Rough cost [USD] of the leading finish: its figure for who does the work (either, if unknown) times the area."""
    area, who = working.facts["area"], working.facts["who_works"]
    assert isinstance(area, NumberColumn)
    assert isinstance(who, ChoiceColumn)
    ends = []
    for least, end in ((True, "low"), (False, "high")):
        rates = []
        for name in ("self_cost", "hired_cost"):
            spans = [reading.base.finishes[f].properties[name].interval for f in answers.finishes]
            rates.append(np.array([getattr(span, end) if span else np.nan for span in spans] + [np.nan]))
        own, hired = (rate[answers.leading] for rate in rates)
        either = np.fmin(own, hired) if least else np.fmax(own, hired)
        rate = np.where(who.has("self"), own, np.where(who.has("hired"), hired, either))
        ends.append(np.where(area.known, rate * getattr(area, end), np.nan))
    return ends[0], ends[1]


# ---- pieces on disk -----------------------------------------------------------------------------------------------


def _check_out(out: Path) -> None:
    faults = []
    if out.suffix.lower() not in ENDINGS:
        faults.append(Fault(str(out), f'I cannot write a table that ends in "{out.suffix}"', ", ".join(ENDINGS)))
    if out.exists():
        faults.append(Fault(str(out), "it is there already", remedy="Name another file, or take it away."))
    if not out.resolve().parent.is_dir():
        faults.append(Fault(str(out), f"there is no folder {out.parent}"))
    if faults:
        raise BadTable(faults)


def _begin(parts: Path, table: Path, base: RuleBase, rows: int) -> None:
    """Make the folder of pieces, or make sure that the one there is of the same work."""
    if not table.is_file():
        raise BadTable([Fault(str(table), "there is no such file", "a table of floors")])
    about = table.stat()
    mark = {"table": table.name, "bytes": about.st_size, "changed": about.st_mtime_ns, "rows": rows}
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


def _part(parts: Path, number: int) -> Path:
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


def _put(parts: Path, number: int, advice: pa.RecordBatch, bad: list[BadRow]) -> None:
    # The bad rows first: a piece counts as done once its advice is there.
    _write(_bad_part(parts, number), json.dumps([asdict(row) for row in bad]).encode())
    sink = pa.BufferOutputStream()
    with ipc.new_file(sink, advice.schema) as writer:
        writer.write_batch(advice)
    _write(_part(parts, number), sink.getvalue())


def _collect(parts: Path, pending: list[tuple[int, int, Future[Any]]], progress: Callable[[int], None]) -> None:
    number, rows, future = pending.pop(0)
    _put(parts, number, *future.result())
    progress(rows)


def _finish(parts: Path, out: Path, malformed: list[BadRow]) -> Survey:
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
