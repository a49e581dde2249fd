"""Figures of numbers, drawn by matplotlib: readable in grey, without a display, the same each time."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import IO, TYPE_CHECKING

from explanations.files import check_place, write_whole

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ENDINGS = (".svg", ".png", ".pdf")
_writing = Lock()
DARK, MIDDLE, LIGHT = "#333333", "#8c8c8c", "#d9d9d9"


def check_plot(path: Path) -> None:
    """Refuse an ending that cannot be drawn, or a place where no file can be put.

    Raises:
        CannotWrite: saying what is allowed.
    """
    check_place(path, ENDINGS)


def figure_of(width: float, height: float) -> Figure:
    """An empty figure [in]; it belongs to no display."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout="constrained")


def blank(width: float, height: float) -> tuple[Figure, Axes]:
    """An empty figure [in] with one set of axes, with only the frame's needed sides."""
    figure = figure_of(width, height)
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def as_svg(figure: Figure) -> str:
    """The figure as SVG, its letters as paths, so that no font is needed to show it."""
    with io.BytesIO() as file:
        _write(figure, file, "svg")
        return file.getvalue().decode()


def save(figure: Figure, path: Path) -> None:
    """Write the figure in the format of the file's ending, whole or not at all.

    Raises:
        CannotWrite: another ending, or no file can be put there.
    """
    check_plot(path)
    with io.BytesIO() as file:
        _write(figure, file, path.suffix.lower().removeprefix("."))
        write_whole(path, file.getvalue())


def _write(figure: Figure, file: IO[bytes], form: str) -> None:
    dates = {"svg": {"Date": None, "Creator": None}, "pdf": {"CreationDate": None}}
    with _plainly(figure):
        figure.savefig(file, format=form, metadata=dates.get(form), dpi=150)


@contextmanager
def _plainly(figure: Figure) -> Iterator[None]:
    """The same figure gives the same file, and a dollar in somebody's text is a dollar, not mathematics.

    Drawing settings are the whole process's in matplotlib, so figures are written one at a time.
    """
    import matplotlib
    from matplotlib.text import Text

    with _writing, matplotlib.rc_context({"svg.hashsalt": "slab"}):
        for text in figure.findobj(Text):
            text.set_parse_math(False)
        yield
