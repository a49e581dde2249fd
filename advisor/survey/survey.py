"""Advice for a table of floors: in pieces of bounded memory, on one process, several, or a cluster of machines.

Each finished piece is a file of its own beside the result, put in place in one step. After a kill the same command
goes on with the pieces that are missing, so nothing is lost or doubled; at the end the pieces become one table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, Future
from datetime import date
from functools import lru_cache, partial
from os import getpid
from pathlib import Path
from socket import gethostname
from typing import Any, NamedTuple

import numpy as np
import pyarrow as pa

from advisor.answer.many_answers import NOBODY, Answers, ManyAnswers
from advisor.answer.many_steps import step_cautions
from advisor.answer.ranking import KINDS, VERDICTS
from advisor.engines.columns import Flags
from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.sheets import no_table
from advisor.survey.many_asking import ask_first, weigh_first
from advisor.survey.pieces import Pieces, Survey, Versions, check_out
from advisor.survey.tables import BadRow, BadTable, Piece, batches, read_headings, read_piece
from advisor.validation.loading import load_rulebase
from advisor.work.many_costs import taken_by_leading
from advisor.work.pricebook import PriceBook
from advisor.work.takeoff import book_for_many
from explanations.wording import wording

ROWS = 32_768  # floors a piece: some 60 MB at work, and the pace no longer grows
WEIGHED_ROWS = 256  # the same where each takes a while: a kill loses no more than these
AHEAD = 2  # pieces that each worker may have waiting


class Rules(NamedTuple):
    """By what rules floors are advised on; every worker reads them anew."""

    overlays: tuple[Path, ...] = ()
    products: tuple[Path, ...] = ()
    year: int | None = None  # to which ages are counted

    def read(self, proved: bool = True) -> RuleBase:
        """The rule base.

        Raises:
            BadRuleBase, BadFile: with every fault found.
        """
        return load_rulebase(*self.overlays, products=self.products, year=self.year, proved=proved)


def survey(
    table: Path,
    out: Path,
    rules: Rules = Rules(),  # noqa: B008
    executor: Executor | None = None,
    workers: int = 1,
    rows: int = 0,
    weigh: bool = False,
    progress: Callable[[int], None] = lambda _: None,
    prices: Path | None = None,
) -> Survey:
    """Advise on every row of a table.

    Args:
        table: floors as CSV, Parquet or Arrow (see `tables`).
        out: where the result goes, in the same choice of formats; must not exist yet.
        rules: folders laid over the shipped rules, makers' data sheets, and the year.
        executor: where pieces are worked on (processes, or a cluster's); this process if not given.
        workers: how many workers the executor has.
        rows: rows a piece; what suits the work if 0.
        weigh: whether the question to ask next is weighed as for one floor, not found by the quick count.
        progress: told how many rows more are done.
        prices: the shop's own price book; else the shipped one, which is invented.

    Raises:
        BadTable: the table or the place for the result is not as it must be, or a worker has other rules.
        BadPriceBook: with every fault found.
    """
    base, rows = rules.read(), rows or (WEIGHED_ROWS if weigh else ROWS)
    book = book_for_many(base, date.today(), prices)
    if not table.is_file():
        raise BadTable([Fault(str(table), no_table(table), wording("survey.kinds"))])
    check_out(out)
    by = Versions.of(base)
    pieces = Pieces(out, table, by, rows, weigh, prices)
    work = partial(advise_rows, rules, by, book, weigh)
    with pieces.held():
        return _all_pieces(base, table, pieces, work, executor, workers * AHEAD, rows, progress)


Work = Callable[[pa.RecordBatch, Any], tuple[pa.RecordBatch, list[BadRow]]]


def _all_pieces(
    base: RuleBase,
    table: Path,
    pieces: Pieces,
    work: Work,
    executor: Executor | None,
    ahead: int,
    rows: int,
    progress: Callable[[int], None],
) -> Survey:
    malformed: list[BadRow] = []
    pending: list[tuple[int, int, Future[Any]]] = []
    read = 0

    def collect() -> None:
        number, size, future = pending.pop(0)
        pieces.put(number, *future.result())
        progress(size)

    for number, (batch, numbers) in enumerate(numbered(table, rows, malformed)):
        if number == 0:
            read_headings(base, batch.schema.names, str(table))  # at once, before any work
        read += batch.num_rows
        if pieces.has(number):
            progress(batch.num_rows)
        elif executor is None:
            pieces.put(number, *work(batch, numbers))
            progress(batch.num_rows)
        else:
            pending.append((number, batch.num_rows, executor.submit(work, batch, numbers)))
            while len(pending) > ahead:
                collect()
    while pending:
        collect()
    return pieces.join(malformed, read)


def advise_rows(
    rules: Rules, by: Versions, book: PriceBook, weigh: bool, batch: pa.RecordBatch, numbers: Any
) -> tuple[pa.RecordBatch, list[BadRow]]:
    """The advice for some rows: what a worker does. Rows that state no floor come back with their reasons.

    Raises:
        BadTable: the rules or the program here are others than those that the work was handed out by.
    """
    reading = _reading(rules, by)
    headings = read_headings(reading.base, batch.schema.names, "the table")
    piece = read_piece(reading.base, batch, headings, numbers)
    return advice_table(reading, book, piece, weigh), piece.bad


@lru_cache(maxsize=1)
def _reading(rules: Rules, by: Versions) -> ManyAnswers:
    base = rules.read(proved=False)  # proved before the work was handed out
    if Versions.of(base) != by:
        where = wording("survey.worker", host=gethostname(), process=str(getpid()))
        raise BadTable([Fault(where, wording("survey.other_rules"), remedy=wording("survey.same_rules"))])
    return ManyAnswers(base)


def numbered(table: Path, rows: int, malformed: list[BadRow]) -> Iterator[tuple[pa.RecordBatch, Any]]:
    """Pieces of the table with the numbers of their rows; malformed rows have numbers too."""
    last = 0
    for batch in batches(table, rows, malformed):
        skipped = np.array(sorted({bad.row for bad in malformed if bad.row > last}), np.int64)
        numbers = np.setdiff1d(np.arange(last + 1, last + 1 + batch.num_rows + len(skipped)), skipped)
        numbers = numbers[: batch.num_rows]
        last = int(numbers[-1]) if len(numbers) else last
        yield batch, numbers


# ---- the result as a table ----------------------------------------------------------------------------------------


def advice_table(reading: ManyAnswers, book: PriceBook, piece: Piece, weigh: bool = False) -> pa.RecordBatch:
    """The advice for good rows, one row a floor.

    Columns: row, floor, answer, finish, leading, runner_up, fallback, stops, holds, tests (to order before the
    leading finish), hazards (of the floor and the leading finish), cost_low and cost_high (in
    `currency`, by the price book) and hours_low and hours_high (of all people together) of the leading finish, by
    the job that `cost` and `plan` work out (see `work/many_costs`), ask_next, and of each finish `standing.ID` and
    `points.ID`.
    """
    base, floors = reading.base, piece.columns.floors
    working = reading.working(piece.columns)
    answers = reading.conclude(working, reading.cases.infer(working))
    taken = taken_by_leading(base, book, working, answers)
    fields: dict[str, Any] = {
        "row": pa.array(piece.rows, pa.int64()),
        "floor": pa.array(piece.names, pa.string()),
        "answer": _named(KINDS, answers.kind.astype(np.int32)),
        "finish": _named(answers.finishes, answers.finish),
        "leading": _named(answers.finishes, answers.leading),
        "runner_up": _named(answers.finishes, answers.runner_up),
        "fallback": _named(answers.finishes, answers.fallback),
        "stops": _listed(answers, floors, [("refer", n) for n, each in base.referrals.items() if each.stop]),
        "holds": _listed(answers, floors, [("hold", name) for name in base.needs]),
        "tests": _listed(
            answers, floors, [("first", name) for name, need in base.needs.items() if need.kind == "test"]
        ),
        "hazards": _listed(
            answers, floors, [("caution", name) for name in base.cautions], step_cautions(base, working, answers)
        ),
        "currency": _named((book.currency,), np.where(np.isnan(taken.cost_low), NOBODY, 0)),
        **{name: pa.array(each, from_pandas=True) for name, each in vars(taken).items()},
        "ask_next": _named(
            tuple(base.facts),
            weigh_first(reading, piece.columns) if weigh else ask_first(reading, working, answers),
        ),
    }
    verdicts = answers.verdicts
    for place, finish in enumerate(answers.finishes):
        fields[f"standing.{finish}"] = _named(VERDICTS, verdicts[place].astype(np.int32))
        fields[f"points.{finish}"] = pa.array(answers.total[place])
    return pa.RecordBatch.from_pydict(fields)


def _named(names: tuple[str, ...], places: Any) -> Any:
    indices = pa.array(places.astype(np.int32), mask=places == NOBODY)
    return pa.DictionaryArray.from_arrays(indices, pa.array(names, pa.string()))


def _listed(
    answers: Answers, floors: int, wanted: list[tuple[str, str]], besides: Mapping[str, Flags] | None = None
) -> Any:
    """For each floor the names that hold of it, or of the finish that leads there; `besides` some more floors."""
    flags = np.zeros((len(wanted), floors), np.bool)
    leads = [answers.leading == place for place in range(len(answers.finishes))]
    for place, (kind, name) in enumerate(wanted):
        for conclusion in answers.rules:
            if conclusion.kind == kind and conclusion.name == name:
                here = answers.where(conclusion)
                about = conclusion.finish
                flags[place] |= here & leads[answers.finishes.index(about)] if about else here
        flags[place] |= (besides or {}).get(name, False)
    rows, names = np.nonzero(flags.T)
    offsets = np.searchsorted(rows, np.arange(floors + 1)).astype(np.int32)
    values = pa.DictionaryArray.from_arrays(names.astype(np.int32), pa.array([n for _, n in wanted], pa.string()))
    return pa.ListArray.from_arrays(pa.array(offsets), values)
