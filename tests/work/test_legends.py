"""No legend covers what is drawn, and the text of a node stays in its box where a program puts in wider letters."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from advisor.charts.floor import DryingProfile, VapourProfile
from advisor.charts.plots import figure_of
from advisor.charts.ranges import ranges

NAMES = ("one", "two", "three", "four", "five")


@pytest.mark.parametrize("n", [1, 2, 4, 5])
def test_the_legend_of_ranges_covers_no_bar(n: int) -> None:
    spans = [(0.0, 10.0 + each) for each in range(n)]
    figure = ranges(NAMES[:n], {"a": {"own": spans, "hired": spans}, "b": {"all": spans}}, "Ranges")
    FigureCanvasAgg(figure).draw()
    for axes in figure.axes:
        if legend := axes.get_legend():
            box = legend.get_window_extent()
            assert not any(box.overlaps(bar.get_window_extent()) for bar in axes.patches)
            assert not any(box.overlaps(other.get_window_extent()) for other in figure.axes)
            assert figure.bbox.y0 <= box.y0


def test_the_legends_of_the_floors_physics_cover_no_line() -> None:
    profiles = {float(day): (50.0, 80.0, 95.0) for day in (7, 28, 90)}
    for data in (
        DryingProfile((0.0, 50.0, 100.0), 40.0, profiles, (75.0, 85.0)),
        VapourProfile(("slab", "finish"), (1500.0, 1300.0, 1200.0), (1500.0, 2500.0, 2500.0)),
    ):
        figure = figure_of(7.0, 4.5)
        axes = figure.add_subplot()
        data.plot(axes)
        FigureCanvasAgg(figure).draw()
        legend = axes.get_legend()
        assert legend
        assert not legend.get_window_extent().overlaps(axes.get_window_extent())


def test_text_fits_its_box_in_a_wider_font() -> None:
    """DejaVu Sans, which matplotlib carries, is among the widest that stand in for Helvetica."""
    from pathlib import Path

    drawn = (Path(__file__).parents[2] / "advisor" / "demo" / "untested_garage.svg").read_text(encoding="utf-8")
    space = "{http://www.w3.org/2000/svg}"
    root, seen = ElementTree.fromstring(drawn), 0
    for group in root.iter(f"{space}g"):
        if group.get("class") != "node":
            continue
        polygon = next((each for each in group.iter(f"{space}polygon")), None)
        if polygon is None:
            continue
        places = [float(each.split(",")[0]) for each in polygon.get("points", "").split()]
        for text in group.iter(f"{space}text"):
            size = float(re.sub(r"[a-z]+$", "", text.get("font-size", "10")))
            wide = TextPath((0, 0), text.text or "", size=size, prop=FontProperties("DejaVu Sans")).get_extents().width
            assert wide <= max(places) - min(places), text.text
            seen += 1
    assert seen > 10
