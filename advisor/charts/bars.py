"""Bars and histograms of what was counted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.charts.plots import MIDDLE, as_svg, blank

LONGEST_NAME = 45  # characters beside a bar


def bars(counts: Sequence[tuple[str, int]], axis: str) -> str:
    """How often each of some things, as SVG; the first on top."""
    figure, axes = blank(7.5, 0.6 + 0.3 * len(counts))
    drawn = axes.barh(range(len(counts)), [count for _, count in counts], color=MIDDLE)
    axes.bar_label(drawn, padding=3, fontsize=8)
    names = [name if len(name) < LONGEST_NAME else f"{name[: LONGEST_NAME - 3]}..." for name, _ in counts]
    axes.set_yticks(range(len(counts)), names, fontsize=9)
    axes.invert_yaxis()
    axes.set_xlabel(axis)
    axes.margins(x=0.12)
    return as_svg(figure)


def histogram(values: Any, axis: str, counted: str) -> str:
    """How positive numbers spread over their logarithm, as SVG."""
    import numpy as np

    figure, axes = blank(7.5, 2.6)
    values = np.asarray(values)
    values = values[values > 0]
    ends = np.log10([values.min(), values.max()]) if len(values) else np.array([0.0, 1.0])
    axes.hist(values, bins=[float(end) for end in np.logspace(ends[0], ends[1] + 1e-9, 30)], color=MIDDLE)
    axes.set_xscale("log")
    axes.set_xlabel(axis)
    axes.set_ylabel(counted)
    return as_svg(figure)
