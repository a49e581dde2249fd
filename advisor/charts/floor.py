"""Pictures of a floor's physics: vapour pressure across the layers, and humidity over depth as a slab dries."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.charts.plots import figure_of, save
from explanations.reading import reading
from explanations.wording import wording

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LINES = ("-", "--", "-.", ":", (0, (5, 1)), (0, (3, 1, 1, 1)))  # told apart in grey


@dataclass(frozen=True)
class VapourProfile:
    """Pressures [Pa] at the interfaces from the ground up, one more than there are layers."""

    layers: tuple[str, ...]
    pressure_pa: tuple[float, ...]
    saturation_pa: tuple[float, ...]

    def plot(self, axes: Axes) -> None:
        """Draw the two pressures across the layers, each layer as wide as the others."""
        places = range(len(self.pressure_pa))
        axes.plot(
            places, self.saturation_pa, "--", color="0.4", marker="o", label=wording("charts.saturation_pressure")
        )
        axes.plot(places, self.pressure_pa, "-", color="0.0", marker="s", label=wording("charts.vapour_pressure"))
        for place, layer in enumerate(self.layers):
            axes.axvspan(place, place + 1, color=("0.93", "1.0")[place % 2], zorder=0)
            axes.text(place + 0.5, 0.02, layer, ha="center", va="bottom", transform=axes.get_xaxis_transform())
        axes.set_xlim(0, len(self.layers))
        axes.set_ylim(bottom=0)
        axes.set_xticks([0, len(self.layers)], [wording("charts.ground"), wording("charts.room")])
        axes.set_ylabel(wording("charts.pressure"))
        axes.set_title(wording("charts.vapour"))
        axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.08), ncols=2, frameon=False)


@dataclass(frozen=True)
class DryingProfile:
    """Humidity [%] over depth [mm] below the top at several days, the test's depth, and the limits."""

    depths_mm: tuple[float, ...]
    test_depth_mm: float
    profiles: dict[float, tuple[float, ...]]
    limits_percent: tuple[float, ...]

    def plot(self, axes: Axes) -> None:
        """Draw one line a date, the top of the slab at the top."""
        american = (reader := reading()) is not None and reader.system == "us"
        scale = 1 / 25.4 if american else 1.0
        depths = [depth * scale for depth in self.depths_mm]
        for number, (day, humidity) in enumerate(self.profiles.items()):
            style = LINES[number % len(LINES)]
            label = wording("charts.after", days=round(day))
            axes.plot(humidity, depths, color="0.0", linestyle=style, label=label)
        for limit in self.limits_percent:
            axes.axvline(limit, color="0.6", linewidth=0.8)
            axes.text(limit, 1.01, f"{limit:g} %", ha="center", va="bottom", transform=axes.get_xaxis_transform())
        axes.axhline(self.test_depth_mm * scale, color="0.4", linewidth=0.8, linestyle=":")
        axes.text(axes.get_xlim()[0], self.test_depth_mm * scale, f" {wording('charts.test_depth')}", va="bottom")
        axes.invert_yaxis()
        axes.set_xlabel(wording("charts.humidity"))
        axes.set_ylabel(wording("charts.depth", unit="in" if american else "mm"))
        axes.set_title(wording("charts.drying"), pad=20)
        axes.legend(loc="center left", bbox_to_anchor=(1.0, 0.5), frameon=False)


def draw_plot(data: VapourProfile | DryingProfile, path: Path) -> None:
    """Write a plot in the format of the file's ending, whole or not at all.

    Raises:
        CannotWrite: the ending is none of svg, png, pdf, or no file can be put there.
    """
    figure = figure_of(7.0, 4.5)
    data.plot(figure.add_subplot())
    save(figure, path)
