"""The figures of a comparison: one question each, all designs one over the other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from acoustics.figures.at_the_seat import can_be_drawn, up_to_highest
from acoustics.figures.height_overlay import draw_height_overlay
from acoustics.figures.overlay import draw_overlay
from acoustics.figures.shading import meaning, shade
from acoustics.figures.style import difference_axis, head, index_axis, key, level_axis, new_figure
from acoustics.studies.comparison.compare import Comparison
from acoustics.studies.comparison.curves import (
    Curves,
    all_doubtful_bands,
    axis_curves,
    difference_to_first,
    height_curves,
    power_index_curves,
    seat_curves,
    side_curves,
    window_curves,
)

ComparisonSheet = Callable[[Comparison], Figure | None]

ROOM_TOP, ROOM_SPAN = 12.0, 36.0
"""dB shown of what the room does: two equal waves give 6 dB"""

LEVEL = "Level in dB re 20 µPa"


def axis_overlay(comparison: Comparison) -> Figure:
    """Response on the reference axis, and the difference to the first design."""
    question = "Which one is more even on the reference axis?"
    return _with_difference(comparison, axis_curves(comparison), question)


def window_overlay(comparison: Comparison) -> Figure:
    """The listening window, the difference to the first design, and the directivity index."""
    question = "Which one is more even in the listening window?"
    figure = _with_difference(comparison, window_curves(comparison), question, more=1)
    panel = figure.axes[-1]
    title = "directivity index: window minus sound power"
    indices = power_index_curves(comparison)
    draw_overlay(panel, indices, title=title, y="Index in dB", span=15.0)
    shown = indices.values()
    index_axis(panel, min(float(s.min()) for s in shown), max(float(s.max()) for s in shown))
    return figure


def side_overlay(comparison: Comparison) -> Figure:
    """Responses 30 and 60 degrees to the left and to the right."""
    curves = side_curves(comparison)
    angles = next(iter(curves.values())).side_angle.values
    order = sorted(range(angles.size), key=lambda i: (abs(angles[i]), angles[i]))
    figure, axes = new_figure(5.8, rows=2, columns=2, sharex=True, sharey=True)
    for panel, i in zip(axes.flat, order, strict=True):
        side = "left" if angles[i] < 0 else "right"
        _shaded(panel, comparison)
        draw_overlay(
            panel,
            {label: curve.isel(side_angle=i) for label, curve in curves.items()},
            title=f"{abs(angles[i]):g}° to the {side}",
            y=LEVEL,
            span=30.0,
        )
        panel.set_xticks([20, 100, 1000, 10_000])
    for panel in axes[0]:
        panel.set_xlabel("")
    for panel in axes[:, 1]:
        panel.set_ylabel("")
    level_axis(axes[0, 0], max(float(curve.max()) for curve in curves.values()), 30.0)
    key(axes[0, 0])
    _headed(figure, "What does each one do to the left and to the right?", comparison)
    return figure


def height_overlay(comparison: Comparison) -> Figure | None:
    """Level over height at each crossover; None where the designs' crossovers differ in number."""
    panels = height_curves(comparison)
    if not panels:
        return None
    columns = min(len(panels), 2)
    rows = -(-len(panels) // columns)
    figure, axes = new_figure(1.2 + 4.4 * rows, rows=rows, columns=columns, sharey=True)
    for i, panel in enumerate(axes.flat):
        if i >= len(panels):
            panel.set_axis_off()
            continue
        title = "at the crossover" if len(panels) == 1 else f"at crossover {i + 1}, from below"
        draw_height_overlay(panel, panels[i], np.array(comparison.ear_heights), title=title)
        if i % columns:
            panel.set_ylabel("")
    key(axes[0, 0])
    head(figure, "Which one forgives sitting lower or standing up?", _who(comparison))
    return figure


def seat_overlay(comparison: Comparison) -> Figure | None:
    """What the reflections add and take away at the main seat, at each common ear height.

    None where there is no such height, or a design has no surfaces or no frequencies low enough.
    """
    curves = seat_curves(comparison)
    ears = comparison.ear_heights
    drawable = (can_be_drawn(curve.frequency.values) for curve in curves.values())
    if not (curves and ears and all(drawable)):
        return None
    figure, axes = new_figure(1.5 + 2.1 * len(ears), rows=len(ears), sharex=True, sharey=True)
    for i, panel in enumerate(axes[:, 0]):
        shown = {label: up_to_highest(curve.isel(ear_height=i)) for label, curve in curves.items()}
        _shaded(panel, comparison)
        title = f"ears at {ears[i]:.2f} m"
        draw_overlay(panel, shown, title=title, y="Change in dB", span=ROOM_SPAN)
        panel.set_ylim(ROOM_TOP - ROOM_SPAN, ROOM_TOP)
        panel.yaxis.set_major_locator(MultipleLocator(6))
        if i < len(ears) - 1:
            panel.set_xlabel("")
    key(axes[0, 0])
    _headed(figure, "What do the reflections add and take away at the seat?", comparison)
    return figure


COMPARISON_SHEETS: dict[str, ComparisonSheet] = {
    "reference-axis": axis_overlay,
    "listening-window": window_overlay,
    "left-and-right": side_overlay,
    "ear-height": height_overlay,
    "at-the-seat": seat_overlay,
}
"""File name → what draws it; None from a sheet means there is nothing to show."""


def _with_difference(
    comparison: Comparison, curves: Curves, question: str, more: int = 0
) -> Figure:
    """Responses, their difference to the first design, and `more` empty panels below."""
    apart = difference_to_first(curves)
    rows = (2 if apart else 1) + more
    figure, axes = new_figure(2.0 + 2.4 * rows, rows=rows, sharex=True)
    for panel in axes[:, 0]:
        _shaded(panel, comparison)
    draw_overlay(axes[0, 0], curves, title="response", y=LEVEL, span=30.0)
    if apart:
        title = f"difference to {comparison.labels[0]}"
        draw_overlay(axes[1, 0], apart, title=title, y="Difference in dB", span=30.0, first=1)
        difference_axis(axes[1, 0], apart.values())
    for panel in axes[:-1, 0]:
        panel.set_xlabel("")
    key(axes[0, 0])
    _headed(figure, question, comparison)
    return figure


def _shaded(panel: Axes, comparison: Comparison) -> None:
    shade(panel, all_doubtful_bands(comparison))


def _headed(figure: Figure, question: str, comparison: Comparison) -> None:
    shaded = meaning(all_doubtful_bands(comparison), *comparison.predictions)
    head(figure, question, _who(comparison), shaded)


def _who(comparison: Comparison) -> str:
    return f"{len(comparison.labels)} designs compared"
