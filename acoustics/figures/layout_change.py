"""The layout that is and the best one, side by side on the face, and how freely it is built."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from acoustics.cabinet.names import face_words
from acoustics.case.text.places import place_words
from acoustics.figures.front_face import MM
from acoustics.figures.layout_places import draw_places, extent_both, places_in, with_margin
from acoustics.figures.style import (
    INK,
    head,
    head_height,
    key,
    labels,
    new_figure,
    panel_title,
    series,
)
from acoustics.studies.layout_search.figures import IN_A_SENTENCE
from acoustics.studies.wording import amount

MARGIN = 0.03
"""of the face's larger side: left free round it"""

TALLEST, LOWEST = 6.2, 2.2
"""inches: of the drawn faces"""

PANEL_WIDTH = 2.3
"""inches: that a face has beside its rulers"""

KEY_COLUMNS = 56
"""letters of a line of the key"""

KEY_LINE = 0.22
"""inches: a line of the key"""

SAME = 1e-6
"""m: places that differ by less are one"""

CROSS: dict[str, Any] = {"color": INK, "linewidth": 1.6, "zorder": 6.0}


def layout_change(found: xr.Dataset, before: xr.Dataset, after: xr.Dataset) -> Figure:
    """Start and best on every face that drivers move on, to scale.

    Args:
        found: as `layout_dataset` makes it.
        before: prediction of the design as it is.
        after: prediction of the new design, or `before` where nothing better was found.
    """
    faces = _faces(found, before)
    layouts = [("start", before), *([] if stays(found) else [("best", after)])]
    height = float(np.clip(PANEL_WIDTH * _tall(before, faces), LOWEST, TALLEST)) + 0.9
    curves = _key(found, before)
    question = "Where should the drivers sit?"
    title = str(found.attrs["title"])
    top = head_height(question, title)
    lines = sum(str(each.get_label()).count("\n") + 1 for each in curves)
    figure, axes = new_figure(
        top + height * len(faces) + KEY_LINE * lines,
        rows=len(faces),
        columns=len(layouts),
        sharex="row",
        sharey="row",
    )
    for row, face in zip(axes, faces, strict=True):
        extents = []
        for panel, (layout, prediction) in zip(row, layouts, strict=True):
            extents.append(draw_places(panel, prediction, found, layout, face))
            value = float(found.figure.sel(layout=layout, quality=found.attrs["aim_by"]))
            where = "" if face == "front" else f", {face_words(face)}"
            words = {"start": "as it is", "best": "best"}[layout]
            labels(panel, "mm to the right", "mm up" if panel is row[0] else "")
            panel.grid(False)
            panel_title(panel, f"{words}{where}: {amount(value, 'dB', finer=1)}")
        with_margin(row[0], extent_both(extents[0], extents[-1]), MARGIN)
        _possible(row[-1], found, before, face)
        _freedom(row[-1], found, before, face)
    key(axes[0, 0], curves=curves)
    head(figure, question, title, f"the figure is the {IN_A_SENTENCE[found.attrs['aim_by']]}")
    return figure


def stays(found: xr.Dataset) -> bool:
    """Whether the best layout is the present one."""
    start, best = (found.sel(layout=name) for name in ("start", "best"))
    same = [np.abs(best[way] - start[way]).max() < SAME for way in ("right", "up")]
    tuned = [way for way in ("corner", "delay") if way in found]
    same += [bool((best[way] == start[way]).all()) for way in tuned]
    return all(same) and str(start.treatment.values) == str(best.treatment.values)


def _faces(found: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Faces on which drivers move, each once."""
    on = prediction.driver_face.sel(driver=found.driver).values
    return list(dict.fromkeys(map(str, on)))


def _tall(prediction: xr.Dataset, faces: list[str]) -> float:
    """Height over width of the tallest view."""
    given = prediction.attrs
    width, height, depth = (
        float(given[f"cabinet_{size}"]) for size in ("width", "height", "depth")
    )
    upright = {"left": depth, "right": depth}
    return max(height / max(upright.get(face, width), 0.1 * height) for face in faces)


def _possible(axes: Axes, found: xr.Dataset, prediction: xr.Dataset, face: str) -> None:
    """Where each moved driver's centre may be by its own rules."""
    order = [str(name) for name in found.driver.values]
    for name in _moved_on(found, prediction, face):
        color = series(_index(prediction, name))["color"]
        own = found.isel(ground=np.flatnonzero(found.ground_driver.values == order.index(name)))
        right, up = MM * own.ground_right.values, MM * own.ground_up.values
        short = own.ground_short.values
        there = short <= 0
        if min(np.unique(right[there]).size, np.unique(up[there]).size) < 2:
            # Held on a line, or at a point.
            axes.plot(right[there], up[there], color=color, linewidth=2.5, alpha=0.4, zorder=2)
            continue
        x, columns = np.unique(right, return_inverse=True)
        y, rows = np.unique(up, return_inverse=True)
        field = np.full((y.size, x.size), np.inf)
        field[rows, columns] = short
        kept = [float(short.min()) - 1.0, 0.0]
        axes.contourf(x, y, field, levels=kept, colors=[color], alpha=0.10, zorder=0.8)
        how: dict[str, Any] = {"colors": color, "linewidths": 0.9, "linestyles": "dashed"}
        axes.contour(x, y, field, levels=[0.0], zorder=2, **how)


def _freedom(axes: Axes, found: xr.Dataset, prediction: xr.Dataset, face: str) -> None:
    """From where to where each value may go, as a cross."""
    places = places_in(prediction, found, "best", face)
    for name in _moved_on(found, prediction, face):
        x, y = places[_index(prediction, name)]
        for way in ("right", "up"):
            one = found.sel(value=f"{name} {way}")
            ends = MM * float(one.best_low), MM * float(one.best_high)
            if way == "right":
                axes.plot(ends, (y, y), marker="|", markersize=7, **CROSS)
            else:
                axes.plot((x, x), ends, marker="_", markersize=7, **CROSS)


def _moved_on(found: xr.Dataset, prediction: xr.Dataset, face: str) -> list[str]:
    on = prediction.driver_face.sel(driver=found.driver).values
    return [str(name) for name, own in zip(found.driver.values, on, strict=True) if own == face]


def _index(prediction: xr.Dataset, name: str) -> int:
    return [str(each) for each in prediction.driver.values].index(name)


def _key(found: xr.Dataset, prediction: xr.Dataset) -> list[Artist]:
    """Each driver and where it goes, and what the marks mean."""
    curves: list[Artist] = []
    moved = [str(name) for name in found.driver.values]
    for i, name in enumerate(map(str, prediction.driver.values)):
        words = f"{name} stays"
        if name in moved:
            layouts = [found.sel(layout=each, driver=name) for each in ("start", "best")]
            start, best = (place_words(float(each.right), float(each.up)) for each in layouts)
            words = f"{name} {start}" if start == best else f"{name} {best} (now {start})"
        label = "\n".join(textwrap.wrap(words, KEY_COLUMNS))
        curves.append(Line2D([], [], color=series(i)["color"], linewidth=2.0, label=label))
    curves.append(
        Patch(
            facecolor="none",
            edgecolor=INK,
            linestyle="--",
            linewidth=0.9,
            label="where its centre may be, the others aside",
        )
    )
    within = amount(float(found.attrs["within"]), "dB", finer=1)
    label = f"how far it may go alone: {within} worse, or a rule"
    curves.append(Line2D([], [], marker="|", markersize=7, label=label, **_sample()))
    return curves


def _sample() -> dict[str, Any]:
    return {name: value for name, value in CROSS.items() if name != "zorder"}
