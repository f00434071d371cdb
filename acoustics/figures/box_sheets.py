"""The figures of a box study: two for every enclosure."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from acoustics.figures.box_delay import draw_box_delay
from acoustics.figures.box_loudness import draw_box_loudness
from acoustics.figures.box_movement import draw_box_air_speed, draw_box_displacement
from acoustics.figures.box_response import draw_box_response, radiator_label
from acoustics.figures.impedance import draw_impedance
from acoustics.figures.style import INK, head, key, named_curves, new_figure, panel_title, series
from acoustics.studies.labels import file_name

RESPONSE, DRIVE = "box", "impedance-and-movement"


def box_sheets(study: xr.Dataset) -> dict[str, Callable[[xr.Dataset], Figure]]:
    """The sheets of a study by the names of their files.

    Of several enclosures each has its own, named by it.
    """
    names = study.enclosure.values.tolist()
    sheets: dict[str, Callable[[xr.Dataset], Figure]] = {}
    for name in names:
        end = f"-{file_name(name)}" if len(names) > 1 else ""
        sheets[f"{RESPONSE}{end}"] = partial(_drawn, response_sheet, name)
        sheets[f"{DRIVE}{end}"] = partial(_drawn, drive_sheet, name)
    return sheets


def response_sheet(box: xr.Dataset) -> Figure:
    """How low and, where some limit is stated, how loud."""
    loud = not bool(box.highest_level.isnull().all())
    figure, axes = new_figure(7.4 if loud else 4.4, rows=2 if loud else 1, sharex=True)
    draw_box_response(axes[0, 0], box)
    panel_title(axes[0, 0], "For 2.83 V, at 1 m in half space")
    if loud:
        draw_box_loudness(axes[1, 0], box)
        panel_title(axes[1, 0], "Highest level by what limits it (thick: what binds)")
    axes[-1, 0].set_xlabel("Frequency in Hz")
    key(axes[0, 0], curves=[line for panel in axes.flat for line in named_curves(panel)])
    question = f"How low{' and how loud' if loud else ''} does the box play?"
    head(figure, question, _subject(box))
    return figure


def drive_sheet(box: xr.Dataset) -> Figure:
    """What the amplifier sees, how far things move, and how late."""
    panels = [_impedance, draw_box_displacement]
    if not bool(box.air_speed.isnull().all()):
        panels.append(draw_box_air_speed)
    panels.append(draw_box_delay)
    figure, axes = new_figure(1.3 + 1.85 * len(panels), rows=len(panels), sharex=True)
    for panel, draw in zip(axes.flat, panels, strict=True):
        draw(panel, box)
    named = [
        Line2D([], [], **series(row), label=radiator_label(box, row, name))
        for row, name in enumerate(box.radiator.values)
    ]
    marks = [
        Line2D([], [], color=INK, linewidth=2.0, label="at the highest input"),
        Line2D([], [], color=INK, linewidth=0.9, label="for 2.83 V"),
        Line2D([], [], color=INK, linewidth=0.9, linestyle=":", label="limit"),
    ]
    if bool(box.highest_level.isnull().all()):
        marks = marks[1:2]
    key(axes[0, 0], curves=[*named, *marks])
    question = "What does the amplifier see, and what moves how far?"
    head(figure, question, _subject(box), "phase dashed, on the right")
    return figure


def _impedance(axes: Axes, box: xr.Dataset) -> Axes:
    return draw_impedance(axes, box.impedance, float(box.attrs["lowest_impedance"]))


def _drawn(sheet: Callable[[xr.Dataset], Figure], name: str, study: xr.Dataset) -> Figure:
    """A sheet of one enclosure with its own radiators."""
    own = np.flatnonzero(study.radiator_enclosure.values == name)
    box = study.sel(enclosure=name).isel(radiator=own)
    if "find" in box.attrs and bool(box.response.equals(box.present_response)):
        box = box.drop_vars(["present_response", "present_highest_level"])  # it is the same box
    return sheet(box)


def _subject(box: xr.Dataset) -> str:
    return f"{box.attrs['title']}, {box.enclosure.values}"
