"""A summary page of many floors: bars and a histogram in one HTML file, readable without scripts or a network."""

from __future__ import annotations

import html
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from explanations.files import check_place, write_whole

BLUE, GREY = "#4C6FA5", "#444444"


@dataclass(frozen=True)
class Bars:
    """How often each of some things, most first."""

    title: str
    counts: Sequence[tuple[str, int]]


@dataclass(frozen=True)
class Histogram:
    """How numbers spread; drawn over their logarithm."""

    title: str
    axis: str
    values: Any


@dataclass(frozen=True)
class Page:
    """What the page shows."""

    title: str
    note: str
    bars: Sequence[Bars]
    histogram: Histogram | None


def check_page(path: Path) -> None:
    """Refuse a page that cannot be written.

    Raises:
        CannotWrite: it does not end in .html, or no file can be put there.
    """
    check_place(path, (".html",))


def write_page(page: Page, path: Path) -> None:
    """Write the page: each chart with its numbers in a table beneath, for readers who do not see it."""
    body = [f"<h1>{html.escape(page.title)}</h1>", f"<p>{html.escape(page.note)}</p>"]
    for bars in page.bars:
        rows = "".join(f"<tr><td>{html.escape(name)}</td><td>{count}</td></tr>" for name, count in bars.counts)
        table = f"<details><summary>Numbers</summary><table>{rows}</table></details>"
        body.append(f"<section><h2>{html.escape(bars.title)}</h2>{_drawn_bars(bars)}{table}</section>")
    if page.histogram:
        title = html.escape(page.histogram.title)
        body.append(f"<section><h2>{title}</h2>{_drawn_histogram(page.histogram)}</section>")
    style = "body{font:16px sans-serif;max-width:50em;margin:2em auto;padding:0 1em}svg{max-width:100%;height:auto}"
    head = f'<meta charset="utf-8"><title>{html.escape(page.title)}</title><style>{style}</style>'
    text = f'<!doctype html><html lang="en"><head>{head}</head><body>{"".join(body)}</body></html>\n'
    write_whole(path, text.encode())


def _drawn_bars(bars: Bars) -> str:
    names, counts = zip(*bars.counts, strict=True)
    figure, axes = _figure(0.6 + 0.3 * len(names))
    drawn = axes.barh(range(len(names)), counts, color=BLUE)
    axes.bar_label(drawn, padding=3, fontsize=8)
    axes.set_yticks(range(len(names)), [name if len(name) < 45 else f"{name[:42]}..." for name in names], fontsize=9)
    axes.invert_yaxis()
    axes.set_xlabel("floors")
    axes.margins(x=0.12)
    return _svg(figure)


def _drawn_histogram(histogram: Histogram) -> str:
    import numpy as np

    figure, axes = _figure(2.6)
    values = np.asarray(histogram.values)
    values = values[values > 0]
    ends = np.log10([values.min(), values.max()]) if len(values) else np.array([0.0, 1.0])
    axes.hist(values, bins=np.logspace(ends[0], ends[1] + 1e-9, 30), color=BLUE)
    axes.set_xscale("log")
    axes.set_xlabel(histogram.axis)
    axes.set_ylabel("floors")
    return _svg(figure)


def _figure(height: float) -> tuple[Any, Any]:
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.5, height), layout="constrained")
    FigureCanvasSVG(figure)
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(colors=GREY)
    return figure, axes


def _svg(figure: Any) -> str:
    """The figure as SVG; the same figure gives the same text."""
    import matplotlib as mpl

    buffer = io.StringIO()
    with mpl.rc_context({"svg.hashsalt": "survey"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None})
    text = buffer.getvalue()
    return text[text.index("<svg") :]
