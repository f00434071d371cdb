"""The figures of one prediction: which question each answers, from which data it is drawn."""

from __future__ import annotations

from collections.abc import Callable

import xarray as xr
from matplotlib.figure import Figure

from acoustics.figures.ear_height import NAMES, draw_ear_height
from acoustics.figures.floor_bounce import can_be_drawn, draw_floor_bounce
from acoustics.figures.layout import draw_layout, draw_layout_notes
from acoustics.figures.off_axis_curves import draw_off_axis_curves
from acoustics.figures.off_axis_map import draw_off_axis_map
from acoustics.figures.reference_axis import draw_reference_axis
from acoustics.figures.style import head, key, named_curves, new_figure
from acoustics.listening import floor_bounce, level, lobing, off_axis_level
from acoustics.studies.floor import has_floor

Sheet = Callable[[xr.Dataset], Figure | None]


def layout_sheet(prediction: xr.Dataset) -> Figure:
    """Where the drivers sit on the front face."""
    figure, axes = new_figure(5.4, columns=2, width_ratios=(1.2, 1.0))
    draw_layout(axes[0, 0], prediction)
    draw_layout_notes(axes[0, 1], prediction)
    head(figure, "Where does everything sit on the front face?", prediction.attrs["title"])
    return figure


def reference_axis_sheet(prediction: xr.Dataset) -> Figure:
    """Response on the reference axis with each driver's share."""
    figure, axes = new_figure(4.6)
    on_axis = prediction.sel(plane="horizontal", angle=0.0)
    draw_reference_axis(
        axes[0, 0],
        level(on_axis.arc_total),
        level(on_axis.arc_pressure),
        prediction.attrs["crossover_frequencies"],
    )
    distance = prediction.attrs["reference_distance"]
    head(
        figure,
        f"Is it even on the reference axis, {distance:g} m away?",
        prediction.attrs["title"],
    )
    return figure


def off_axis_curves_sheet(prediction: xr.Dataset, plane: str) -> Figure:
    """Responses from the axis to 90 degrees on both sides of one plane."""
    figure, axes = new_figure(7.4, rows=2, sharex=True)
    levels = level(prediction.arc_total.sel(plane=plane))
    for row, side in enumerate((1, -1)):
        draw_off_axis_curves(axes[row, 0], levels, side=side, with_key=row == 0)
    axes[0, 0].set_xlabel("")
    ways = {"horizontal": "to the sides", "vertical": "up and down"}
    head(figure, f"How does the sound change {ways[plane]}?", prediction.attrs["title"])
    return figure


def off_axis_map_sheet(prediction: xr.Dataset, plane: str) -> Figure:
    """Level over the full circle of one plane and frequency."""
    figure, axes = new_figure(5.2)
    draw_off_axis_map(axes[0, 0], off_axis_level(prediction).sel(plane=plane))
    ways = {"horizontal": "round the sides", "vertical": "over the top"}
    head(figure, f"Where does the sound go {ways[plane]}?", prediction.attrs["title"])
    return figure


def ear_height_sheet(prediction: xr.Dataset) -> Figure | None:
    """Level over height around each crossover; None where no two drivers cross."""
    around = lobing(prediction)
    count = around.crossover.size
    if count == 0:
        return None
    columns = min(count, 2)
    rows = -(-count // columns)
    figure, axes = new_figure(1.2 + 4.6 * rows, rows=rows, columns=columns, sharey=True)
    for i, panel in enumerate(axes.flat):
        if i >= count:
            panel.set_axis_off()
            continue
        draw_ear_height(panel, around.isel(crossover=i))
        if i % columns:
            panel.set_ylabel("")
    # A panel lacks a curve where it lies outside the predicted frequencies.
    curves = {str(c.get_label()): c for panel in axes.flat for c in named_curves(panel)}
    key(axes[0, 0], curves=[curves[name] for name in NAMES.values() if name in curves])
    distance = prediction.attrs["seat_distance"]
    head(
        figure,
        f"What changes {distance:g} m away when I sit lower or stand up?",
        f"{prediction.attrs['title']}, no floor",
    )
    return figure


def floor_bounce_sheet(prediction: xr.Dataset) -> Figure | None:
    """Level at the seat with and without the floor, per ear height.

    None without a floor, or where too few of the frequencies are low enough to be drawn.
    """
    if not (has_floor(prediction) and can_be_drawn(prediction.frequency.values)):
        return None
    levels, bounce = level(prediction.seat_total), floor_bounce(prediction)
    count = prediction.ear_height.size
    figure, axes = new_figure(1.5 + 2.1 * count, rows=count, sharex=True)
    for i, panel in enumerate(axes[:, 0]):
        draw_floor_bounce(panel, levels.isel(ear_height=i), bounce.isel(ear_height=i))
        if i < count - 1:
            panel.set_xlabel("")
    key(axes[0, 0])
    distance = prediction.attrs["seat_distance"]
    head(
        figure,
        f"What does the floor do at the seat, {distance:g} m away?",
        prediction.attrs["title"],
    )
    return figure


SHEETS: dict[str, Sheet] = {
    "layout": layout_sheet,
    "reference-axis": reference_axis_sheet,
    "off-axis-horizontal": lambda p: off_axis_curves_sheet(p, "horizontal"),
    "off-axis-vertical": lambda p: off_axis_curves_sheet(p, "vertical"),
    "map-horizontal": lambda p: off_axis_map_sheet(p, "horizontal"),
    "map-vertical": lambda p: off_axis_map_sheet(p, "vertical"),
    "ear-height": ear_height_sheet,
    "floor-bounce": floor_bounce_sheet,
}
"""File name → what draws it; None from a sheet means the design has nothing to show there."""
