"""Figures of numbers, drawn by matplotlib: readable in grey, without a display, the same each time."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

from explanations.files import check_place, write_whole

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ENDINGS = (".svg", ".png", ".pdf")
DARK, MIDDLE, LIGHT = "#333333", "#8c8c8c", "#d9d9d9"


def check_plot(path: Path) -> None:
    """Refuse an ending that cannot be drawn, or a place where no file can be put.

    Raises:
        CannotWrite: saying what is allowed.
    """
    check_place(path, ENDINGS)


def blank(width: float, height: float) -> tuple[Figure, Axes]:
    """An empty figure [in] with one set of axes, with only the frame's needed sides."""
    import matplotlib
    from matplotlib.figure import Figure

    matplotlib.rcParams["svg.hashsalt"] = "slab"
    figure = Figure(figsize=(width, height), layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def as_svg(figure: Figure) -> str:
    """The figure as SVG, its letters as paths, so that no font is needed to show it."""
    with io.StringIO() as file:
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
        return file.getvalue()


def save(figure: Figure, path: Path) -> None:
    """Write the figure in the format of the file's ending, whole or not at all.

    Raises:
        CannotWrite: another ending, or no file can be put there.
    """
    check_plot(path)
    form = path.suffix.lower().removeprefix(".")
    kept = {"Date": None, "Creator": None} if form == "svg" else {"CreationDate": None} if form == "pdf" else None
    with io.BytesIO() as file:
        figure.savefig(file, format=form, metadata=kept, dpi=150)
        write_whole(path, file.getvalue())
