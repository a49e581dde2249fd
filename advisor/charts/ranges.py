"""Ranges side by side: a bar from low to high for each thing compared, in one or more panels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from advisor.charts.plots import DARK, LIGHT, MIDDLE, blank

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SHADES = ((LIGHT, ""), (MIDDLE, "///"), (DARK, ""))


def ranges(
    names: Sequence[str], panels: Mapping[str, Mapping[str, Sequence[tuple[float, float]]]], title: str
) -> Figure:
    """Draw the ranges.

    Args:
        names: what is compared, top to bottom.
        panels: by the panel's label with its unit: series by name, each with a (low, high) for every name.
        title: of the figure.
    """
    figure, first = blank(8.5, 1.6 + 0.42 * len(names))
    figure.delaxes(first)
    for column, (label, series) in enumerate(panels.items(), start=1):
        axes = figure.add_subplot(1, len(panels), column)
        axes.spines[["top", "right"]].set_visible(False)
        height = 0.8 / len(series)
        for number, (name, spans) in enumerate(series.items()):
            shade, hatch = SHADES[number % len(SHADES)]
            places = [place + (number - (len(series) - 1) / 2) * height for place in range(len(names))]
            axes.barh(
                places,
                [high - low for low, high in spans],
                left=[low for low, _ in spans],
                height=height * 0.85,
                color=shade,
                edgecolor=DARK,
                hatch=hatch,
                linewidth=0.7,
                label=name,
            )
        axes.set_yticks(range(len(names)), list(names) if column == 1 else [""] * len(names), fontsize=8)
        axes.invert_yaxis()
        axes.set_xlim(left=0)
        axes.set_xlabel(label, fontsize=8)
        axes.tick_params(axis="x", labelsize=8)
        if len(series) > 1:  # above the axes, where no bar is
            axes.legend(fontsize=8, frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2)
    figure.suptitle(title, fontsize=10, x=0.01, ha="left")
    return figure
