"""The days of a job: a bar for each time of work, a thin line for each wait, a mark for when the floor may be used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from advisor.charts.plots import DARK, LIGHT, MIDDLE, blank

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MARKS = ("o", "s", "^", "D", "v", "P")


@dataclass(frozen=True)
class Bar:
    """One phase: its name, its times of work, and until when one waits after it."""

    name: str
    work: Sequence[tuple[datetime, datetime]]
    free: datetime
    cure: bool = False


def calendar(bars: Sequence[Bar], ready: Mapping[str, datetime], title: str) -> Figure:
    """Draw the phases from top to bottom, and below them when each use is possible."""
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter, date2num

    def at(moment: datetime) -> float:
        return float(date2num(moment))  # type: ignore[no-untyped-call]

    figure, axes = blank(8.5, 1.2 + 0.32 * (len(bars) + len(ready)))
    names = [bar.name for bar in bars] + list(ready)
    for place, bar in enumerate(bars):
        end = bar.work[-1][1]
        for start, stop in bar.work:
            shade = LIGHT if bar.cure else DARK
            axes.barh(place, at(stop) - at(start), left=at(start), height=0.6, color=shade, edgecolor=DARK)
        if bar.free > end:
            axes.hlines(place, at(end), at(bar.free), color=MIDDLE, linewidth=1.5, linestyles="dotted")
    for place, (moment, mark) in enumerate(zip(ready.values(), MARKS, strict=False), start=len(bars)):
        axes.plot([at(moment)], [place], marker=mark, color=DARK, markersize=7)
    axes.set_yticks(range(len(names)), names, fontsize=8)
    axes.invert_yaxis()
    locator = AutoDateLocator()  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(ConciseDateFormatter(locator))  # type: ignore[no-untyped-call]
    axes.tick_params(axis="x", labelsize=8)
    axes.grid(axis="x", color=LIGHT, linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_title(title, fontsize=10, loc="left")
    return figure
