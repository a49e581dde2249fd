"""Around a survey: who works on it, and what it comes to in words and for the summary page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from typing import Any

import numpy as np
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.errors import AdvisorError, Fault
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import show_number
from advisor.pages.survey_page import Bars, Histogram, Page
from advisor.survey.pieces import Survey

_ADDRESS = re.compile(r"(?:(?:tcp|tls)://)?(?:[^\s/:\[\]]+|\[[\da-fA-F:.]+\]):\d{1,5}")


class NoCluster(AdvisorError):
    """The cluster cannot be worked on."""


@contextmanager
def workers_of(count: int, cluster: str = "") -> Iterator[tuple[Executor | None, int]]:
    """Where a survey is worked on: this process, several, or the workers of a Dask scheduler.

    Raises:
        NoCluster: Dask is not installed, or nothing answers at the address.
    """
    if cluster:
        if not _ADDRESS.fullmatch(cluster):  # told here: the client tries for long, and falls over
            raise NoCluster(
                [Fault("--cluster", f'"{cluster}" is no address', "HOST:PORT, such as tcp://10.0.0.5:8786")]
            )
        try:
            from distributed import Client
        except ImportError:
            what = "the package distributed is not installed"
            raise NoCluster([Fault("--cluster", what, remedy='Install the extra "cluster".')]) from None
        connect: Any = Client
        try:
            client = connect(cluster, timeout=10, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            said = str(error).splitlines()[0]
            raise NoCluster([Fault("--cluster", f"no scheduler answers at {cluster}: {said}")]) from None
        with client:
            yield client.get_executor(), max(1, len(client.scheduler_info()["workers"]))
    elif count > 1:
        # Spawned, not forked: a fork would copy threads of NumPy and Arrow in any state.
        with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
            yield pool, count
    else:
        yield None, 1


@dataclass(frozen=True)
class Summary:
    """What a survey comes to: how often each answer, finish, hold, test and question, and the spread of cost."""

    survey: Survey
    counts: dict[str, Counter[str]]  # by column of the result
    costs: Any  # USD, middle of each floor's range
    base: RuleBase

    def page(self) -> Page:
        """The summary as bars and a histogram."""
        named = {finish.id: finish.name for finish in self.base.finishes.values()}
        titles = {
            "answer": "Kind of answer",
            "finish": "Finish recommended outright",
            "leading": "Finish that leads, recommended or not",
            "stops": "Professionals to call first",
            "holds": "What holds the floor",
            "tests": "Tests to order before the leading finish",
            "ask_next": "Fact to ask next",
        }
        bars = [
            Bars(title, [(_spelled(named.get(name, name)), n) for name, n in self.counts[column].most_common(20)])
            for column, title in titles.items()
            if self.counts[column]
        ]
        axis = "USD (middle of the range; your own prices come first)"
        cost = Histogram("Rough cost of the leading finish", axis, self.costs)
        laid_over = "".join(f", with {each.name}" for each in self.base.overlays)
        note = (
            f"{self.survey.floors} floors, {self.survey.bad_rows} rows set aside; rule base {self.base.version} "
            f"({self.base.fingerprint}){laid_over}. "
            "Local codes, data sheets and licensed practice come before this advice."
        )
        return Page("Survey of floors", note, bars, cost if len(self.costs) else None)


def summarise(survey: Survey, base: RuleBase) -> Summary:
    """Count what stands in the result of a survey, a piece at a time.

    Args:
        survey: what was done.
        base: the rule base that it was done with.
    """
    columns = ("answer", "finish", "leading", "stops", "holds", "tests", "hazards", "ask_next")
    counts: dict[str, Counter[str]] = {name: Counter() for name in columns}
    costs = []
    for batch in _pieces(survey):
        for name in columns:
            counts[name].update(_counted(batch.column(name)))
        middle = pc.divide(pc.add(batch.column("cost_low"), batch.column("cost_high")), 2.0)
        costs.append(middle.drop_null().to_numpy(zero_copy_only=False))
    return Summary(survey, counts, np.concatenate(costs) if costs else np.zeros(0), base)


def _pieces(survey: Survey) -> Iterator[Any]:
    if not survey.floors:
        return
    match survey.out.suffix.lower():
        case ".csv":
            with csv.open_csv(survey.out) as reader:
                yield from reader
        case ".parquet":
            with parquet.ParquetFile(survey.out) as file:
                yield from file.iter_batches()
        case _:
            with ipc.open_file(survey.out) as file:
                yield from (file.get_batch(number) for number in range(file.num_record_batches))


def _counted(column: Any) -> dict[str, int]:
    if str(column.type).startswith("list"):
        column = column.flatten()
    counted = {str(each["values"]): int(each["counts"]) for each in pc.value_counts(column.drop_null()).to_pylist()}
    apart: Counter[str] = Counter()
    for names, count in counted.items():
        for name in filter(None, names.split("; ")):
            apart[name] += count
    return apart


def _spelled(name: str) -> str:
    return name.replace("_", " ")


def in_words(summary: Summary) -> str:
    """A few lines for the terminal."""
    floors = summary.survey.floors
    lines = [f"{floors} floors; {summary.survey.bad_rows} rows set aside."]
    for column, what in (
        ("answer", "Answers"),
        ("finish", "Recommended outright"),
        ("tests", "Tests to order"),
        ("holds", "Holds"),
        ("stops", "Professionals first"),
        ("ask_next", "To ask next"),
    ):
        common = summary.counts[column].most_common(5)
        if common:
            lines.append(f"{what}:")
            lines += [f"  {_spelled(name):40} {count:9}  {100 * count / floors:3.0f} %" for name, count in common]
    if len(summary.costs):
        low, middle, high = np.percentile(summary.costs, [10, 50, 90])
        shown = " / ".join(f"{show_number(float(f'{each:.3g}'))} USD" for each in (low, middle, high))
        lines.append(f"Rough cost of the leading finish (a tenth below / middle / a tenth above): {shown}")
    return "\n".join(lines)
