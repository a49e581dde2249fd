"""What a survey comes to: how often each answer, finish, hold, test and question, and the spread of cost and hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow.compute as pc
from pyarrow import csv, ipc, parquet

from advisor.charts.bars import bars, histogram
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import show_number
from advisor.pages.blocks import Block, Heading, Page, Paragraph, Picture, Table
from advisor.survey.pieces import Survey
from explanations.wording import label, wording

# The columns of the result that are counted, in the order in which they are told, with what their names are.
COLUMNS = {
    "answer": "answer",
    "finish": "finish",
    "leading": "finish",
    "stops": "referral",
    "holds": "need",
    "tests": "need",
    "ask_next": "fact",
}
MOST = 20  # names of a column

FEW = 10  # floors of which nobody speaks in tenths


@dataclass(frozen=True)
class Summary:
    """The counts by column of the result, and what the leading finishes take: the middle of each floor's range."""

    survey: Survey
    counts: dict[str, Counter[str]]
    costs: Any
    hours: Any
    currency: str
    own_prices: bool
    base: RuleBase

    def page(self, pictures: bool = True) -> Page:
        """The summary to be read.

        Args:
            pictures: whether each table has its chart above it.
        """
        return Page(wording("survey.title"), tuple(self._blocks(pictures)))

    def _blocks(self, pictures: bool) -> Iterator[Block]:
        base, done = self.base, self.survey
        yield Heading(wording("survey.title"), 1)
        yield Paragraph(wording("survey.counted", floors=done.floors, bad=done.bad_rows))
        for column, kind in COLUMNS.items():
            if common := self.counts[column].most_common(MOST):
                title = wording(f"survey.column.{column}")
                named = [(self._name(kind, name), count) for name, count in common]
                yield Heading(title)
                if pictures:
                    yield Picture(bars(named, wording("survey.floors")), title, 100)
                rows = tuple((name, str(n), f"{100 * n / done.floors:.0f} %") for name, n in named)
                head = (title, wording("survey.floors"), wording("survey.share"))
                yield Table(head, rows, frozenset({1, 2}), (6, 1, 1))
        if len(self.costs):
            title = wording("survey.cost")
            yield Heading(title)
            invented = "no" if self.own_prices else "yes"
            if pictures:
                axis = wording("survey.cost_axis", currency=self.currency, invented=invented)
                yield Picture(histogram(self.costs, axis, wording("survey.floors")), title, 100)
            spread = _spread(self.costs)
            yield Paragraph(wording("survey.cost_spread", currency=self.currency, invented=invented, **spread))
        if len(self.hours):
            yield Paragraph(wording("survey.hours_spread", **_spread(self.hours)))
        laid_over = "".join(wording("survey.laid_over", name=each.name) for each in base.overlays)
        yield Paragraph(wording("survey.foot", version=base.version, mark=base.fingerprint, laid_over=laid_over))
        for each in base.overlays:
            if each.safety:
                yield Paragraph(" ".join(each.safety))

    def _name(self, kind: str, name: str) -> str:
        return self.base.finishes[name].name if kind == "finish" else label(kind, name)


def _spread(values: Any) -> dict[str, str]:
    """The first decile, the median and the last decile, to three figures; of a few floors the least and the most."""
    few = len(values) < FEW
    shares = [0, 50, 100] if few else [10, 50, 90]
    low, middle, high = (show_number(float(f"{each:.3g}")) for each in np.percentile(values, shares))
    span = low if low == high else wording("survey.span", low=low, high=high)
    return {"few": "yes" if few else "no", "span": span, "low": low, "middle": middle, "high": high}


def summarise(survey: Survey, base: RuleBase, own_prices: bool = False) -> Summary:
    """Count what stands in the result of a survey, a piece at a time.

    Args:
        survey: what was done.
        base: the rule base that it was done with.
        own_prices: whether the prices are the shop's own; else they are invented.
    """
    counts: dict[str, Counter[str]] = {name: Counter() for name in COLUMNS}
    middles: dict[str, list[Any]] = {"cost": [np.zeros(0)], "hours": [np.zeros(0)]}
    currency = ""
    for batch in _pieces(survey):
        for name in COLUMNS:
            counts[name].update(_counted(batch.column(name)))
        for name, found in middles.items():
            middle = pc.divide(pc.add(batch.column(f"{name}_low"), batch.column(f"{name}_high")), 2.0)
            found.append(middle.drop_null().to_numpy(zero_copy_only=False))
        currency = next(iter(_counted(batch.column("currency"))), currency)
    costs, hours = (np.concatenate(found) for found in middles.values())
    return Summary(survey, counts, costs, hours, currency, own_prices, base)


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
