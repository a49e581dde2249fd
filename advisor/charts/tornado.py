"""What drives a range: one bar for each uncertain number, the widest at the top."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.charts.plots import DARK, LIGHT, blank
from explanations.wording import wording

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_BARS = 10


def tornado(bars: Sequence[tuple[str, float, float]], middle: float, title: str, unit: str) -> Figure:
    """Draw the bars around the middle.

    Args:
        bars: name, total at the cheap end, total at the dear end; widest first.
        middle: the total with every number in the middle of its range.
        title: of the figure.
        unit: of the totals.
    """
    shown = list(bars)[:MOST_BARS]
    figure, axes = blank(8.0, 1.3 + 0.34 * max(len(shown), 1))
    for place, (name, low, high) in enumerate(reversed(shown)):
        axes.barh(place, middle - low, left=low, color=LIGHT, edgecolor=DARK, height=0.7)
        axes.barh(place, high - middle, left=middle, color=DARK, edgecolor=DARK, height=0.7)
        axes.annotate(name, (0, place), xytext=(-6, 0), xycoords=("axes fraction", "data"),
                      textcoords="offset points", ha="right", va="center", fontsize=8)  # fmt: skip
    axes.axvline(middle, color=DARK, linewidth=0.8)
    axes.set_yticks([])
    axes.set_xlabel(wording("charts.tornado_axis", unit=unit), fontsize=8)
    axes.tick_params(labelsize=8)
    axes.set_title(title, fontsize=10, loc="left")
    return figure
