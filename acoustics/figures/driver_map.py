"""A placement map on its face, to scale: what a driver does at every place, and where it may be."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm, Colormap
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Patch, Polygon
from matplotlib.patheffects import withStroke

from acoustics.case.text.places import place_words
from acoustics.figures.body_view import draw_body, draw_driver
from acoustics.figures.front_face import MM
from acoustics.figures.style import (
    FONT,
    INK,
    LABEL,
    LOUDNESS,
    NOTE,
    PAPER,
    QUIET,
    TICK,
    WORDS,
    labels,
)
from acoustics.listening.body_shape import frame_of, seen_in
from acoustics.studies.driver_map.study import BEST, METRICS, PRESENT
from acoustics.studies.wording import amount, number

STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
"""dB between colours: the first of which so many cover the map"""

MOST_COLOURS = 12

MARGIN = 0.03
"""of the face's larger side: left free round it"""

MARKS = {PRESENT: "+", BEST: "*"}

HALO = [withStroke(linewidth=4.0, foreground=PAPER)]
"""round marks, so that they show on dark colours too"""


def draw_placement(
    axes: Axes, found: xr.Dataset, metric: str, words: str, *, small: bool = False
) -> Axes:
    """Draw one metric over the face with the other drivers, forbidden places and the two spots.

    Light is good. Hatched is where the frame would reach over an edge or overlap another; the black
    line surrounds what is as good as the best place (of the metric by which it was sought).

    Args:
        axes: where to draw, in mm from the middle of the face; the key to the colours is beside it.
        found: as `studies.driver_map.study.placement_map` makes it.
        metric: name of one of its variables; at the seats that of the first one.
        words: what the key to the colours says.
        small: without rulers, and without the driver itself at its two places.

    Returns:
        The axes.
    """
    face = face_of_moved(found)
    draw_body(axes, found, face, np.zeros(2))
    outline = MM * np.stack([found.face_corner_right, found.face_corner_up], axis=-1)
    patch = Polygon(outline, facecolor=PAPER, edgecolor="none", zorder=0.7)
    axes.add_patch(patch)
    right, up = MM * found.right.values, MM * found.up.values
    values = one_map(found[metric]).values
    allowed = found.zone.transpose("up", "right").values == 0
    steps = colour_steps(values[allowed & np.isfinite(values)])
    colours: Colormap = LOUDNESS if METRICS[metric] > 0 else LOUDNESS.reversed()
    norm = BoundaryNorm(steps, LOUDNESS.N)
    if min(values.shape) > 1:
        cut = np.clip(values, steps[0], steps[-1])
        filled: Any = axes.contourf(right, up, cut, levels=steps, cmap=colours, norm=norm)
        veil = np.where(np.isfinite(values), ~allowed, 0.0)
        axes.contourf(right, up, veil, levels=[0.5, 1.5], colors=[PAPER], alpha=0.6)
        lines = axes.contourf(right, up, veil, levels=[0.5, 1.5], colors="none", hatches=["///"])
        lines.set_edgecolor(QUIET)
        lines.set_linewidth(0.0)
        if metric == found.attrs["by"]:
            _as_good(axes, found, values, allowed)
    else:
        across, upward = np.meshgrid(right, up)
        filled = axes.scatter(
            across[allowed], upward[allowed], c=values[allowed], cmap=colours, norm=norm, s=14
        )
    axes.add_patch(Polygon(outline, facecolor="none", edgecolor=INK, linewidth=1.6, zorder=3))
    _drivers(axes, found, face)
    _spots(axes, found, small)
    labels(axes, "mm to the right", "mm up")
    axes.grid(False)
    free = MARGIN * float(np.ptp(outline, axis=0).max())
    low, high = outline.min(axis=0) - free, outline.max(axis=0) + free
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    axes.set_aspect("equal", adjustable="box", anchor="NW")
    if small:
        axes.set_axis_off()
    _colour_key(axes, filled, steps, words)
    return axes


def placement_key(found: xr.Dataset) -> list[Artist]:
    """Samples of the marks of a map, named."""
    within = number(float(found.attrs["best_within"]), "dB", finer=1)
    return [
        *(
            Line2D(
                [],
                [],
                color=INK,
                marker=mark,
                markersize=11,
                linestyle="none",
                label=f"{spot} place",
            )
            for spot, mark in MARKS.items()
        ),
        Line2D([], [], color=INK, linewidth=1.6, label=f"within {within} dB of the best"),
        Patch(
            facecolor=PAPER,
            edgecolor=QUIET,
            hatch="///",
            linewidth=0.0,
            label="no room for the frame",
        ),
    ]


def draw_placement_notes(axes: Axes, found: xr.Dataset, metric: str, words: str) -> Axes:
    """Say beside the map where the two spots are, and how far one may go from the best.

    Args:
        axes: an empty panel.
        found: as for `draw_placement`.
        metric: likewise.
        words: likewise, what the metric is.

    Returns:
        The axes.
    """
    given = found.attrs
    lines = [words]
    for spot in (PRESENT, BEST):
        one = found.sel(spot=spot)
        figure = one[f"spot_{metric}"]
        value = float(figure[(0,) * figure.ndim])
        lines += [
            "",
            f"{spot} place: {amount(value, 'dB', finer=1)}",
            f"  {place_words(float(one.spot_right), float(one.spot_up))}",
        ]
    lines += ["", f"within {amount(float(given['best_within']), 'dB', finer=1)} of the best:"]
    lines += [
        f"  {MM * float(given[f'best_{side}']):.3g} mm {side}"
        for side in ("left", "right", "up", "down")
    ]
    lines.append(f"  {1e4 * float(given['best_area']):.3g} cm² in all")
    axes.text(
        0.0, 1.0, "\n".join(lines), va="top", fontsize=NOTE, color=INK, linespacing=1.4,
        transform=axes.transAxes, **WORDS,
    )  # fmt: skip
    axes.set_axis_off()
    return axes


def face_of_moved(found: xr.Dataset) -> str:
    """Name of the face on which the driver of a map is moved."""
    return str(found.driver_face.sel(driver=found.attrs["moved"]).values)


def one_map(metric: xr.DataArray) -> xr.DataArray:
    """A metric over (up, right); at the seats that of the first cabinet at the main seat."""
    others = {dim: 0 for dim in metric.dims if dim not in ("up", "right")}
    return metric.isel(others).transpose("up", "right")


def colour_steps(values: np.ndarray) -> np.ndarray:
    """Where one colour ends and the next begins, dB, for the values of the places allowed."""
    low, high = float(values.min()), float(values.max())
    step = next((s for s in STEPS if (high - low) / s <= MOST_COLOURS - 2), STEPS[-1])
    first, last = np.floor(low / step + 1e-9), np.ceil(high / step - 1e-9)
    answer: np.ndarray = step * np.arange(first, max(last, first + 2) + 1)
    return answer


def _as_good(axes: Axes, found: xr.Dataset, values: np.ndarray, allowed: np.ndarray) -> None:
    """The line round the allowed places that are as good as the best."""
    sense = METRICS[found.attrs["by"]]
    cost = np.where(allowed, sense * values, np.inf)
    limit = cost.min() + found.attrs["best_within"]
    right, up = MM * found.right.values, MM * found.up.values
    shown = np.where(np.isfinite(cost), cost, limit + 1.0)
    axes.contour(right, up, shown, levels=[limit], colors=INK, linewidths=1.6, zorder=4)


def _drivers(axes: Axes, found: xr.Dataset, face: str) -> None:
    """The other drivers on the face, and dashed those that a plate's other side carries."""
    frame = frame_of(found, face)
    centres = np.stack([found[f"driver_{axis}"] for axis in "xyz"], axis=-1)
    seen = MM * seen_in(frame, centres)
    plate = found.attrs["cabinet_shape"] == "plate"
    for i, (name, on) in enumerate(zip(found.driver.values, found.driver_face.values, strict=True)):
        through = plate and bool(found.driver_both_sides[i]) and {face, on} == {"front", "back"}
        if str(name) != found.attrs["moved"] and (on == face or through):
            draw_driver(axes, found, i, seen[i], "-" if on == face else "--")


def _spots(axes: Axes, found: xr.Dataset, small: bool) -> None:
    """The present and the best place, each with the driver's piston and frame about it."""
    moved = found.sel(driver=found.attrs["moved"])
    for spot, mark in MARKS.items():
        one = found.sel(spot=spot)
        x, y = MM * float(one.spot_right), MM * float(one.spot_up)
        dashes = "-" if spot == BEST else (0, (4, 2))
        for diameter in () if small else (moved.piston_diameter, moved.frame_diameter):
            circle = Circle((x, y), MM * float(diameter) / 2, facecolor="none", linestyle=dashes)
            circle.set(edgecolor=INK, linewidth=1.2, zorder=5)
            axes.add_patch(circle)
        axes.plot(
            x, y, marker=mark, markersize=8 if small else 13, color=INK, linestyle="none",
            markeredgewidth=1.6 if mark == "+" else 0.8, zorder=6, path_effects=HALO,
        )  # fmt: skip


def _colour_key(axes: Axes, filled: Any, steps: np.ndarray, words: str) -> None:
    bar = axes.figure.colorbar(
        filled, ax=axes, ticks=steps[:: max(1, len(steps) // 7)], pad=0.02, fraction=0.08
    )
    bar.minorticks_off()
    bar.set_label(words, fontsize=LABEL, color=INK, **WORDS)
    bar.ax.tick_params(labelsize=TICK, labelfontfamily=FONT, color=QUIET, labelcolor=INK)
    bar.outline.set_edgecolor(QUIET)
