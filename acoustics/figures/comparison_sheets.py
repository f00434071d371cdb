"""The figures of a comparison: one question each, all designs one over the other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from acoustics.figures.floor_bounce import can_be_drawn, up_to_highest
from acoustics.figures.height_overlay import draw_height_overlay
from acoustics.figures.overlay import draw_overlay
from acoustics.figures.style import head, key, level_axis, new_figure
from acoustics.studies.compare import Comparison
from acoustics.studies.curves import (
    axis_curves,
    difference_to_first,
    floor_curves,
    height_curves,
    side_curves,
)

ComparisonSheet = Callable[[Comparison], Figure | None]

LEAST_DIFFERENCE = 3.0
"""dB: a panel of differences reaches at least this far up and down"""

FLOOR_TOP, FLOOR_SPAN = 9.0, 30.0
"""dB shown of what the floor does: two equal waves give 6 dB"""


def axis_overlay(comparison: Comparison) -> Figure:
    """Response on the reference axis, and the difference to the first design."""
    curves = axis_curves(comparison)
    apart = difference_to_first(curves)
    rows = 2 if apart else 1
    figure, axes = new_figure(2.0 + 2.6 * rows, rows=rows, sharex=True)
    level = "Level in dB re 20 µPa"
    draw_overlay(axes[0, 0], curves, title="response", y=level, span=30.0)
    if apart:
        axes[0, 0].set_xlabel("")
        panel = axes[1, 0]
        title = f"difference to {comparison.labels[0]}"
        draw_overlay(panel, apart, title=title, y="Difference in dB", span=30.0, first=1)
        reach = max(LEAST_DIFFERENCE, *(float(np.abs(c).max()) for c in apart.values()))
        reach = float(np.ceil(reach))
        panel.set_ylim(-reach, reach)
        panel.yaxis.set_major_locator(MultipleLocator(1 if reach <= 5 else 5))
    key(axes[0, 0])
    head(figure, "Which one is more even on the reference axis?", _who(comparison))
    return figure


def side_overlay(comparison: Comparison) -> Figure:
    """Responses 30 and 60 degrees to the left and to the right."""
    curves = side_curves(comparison)
    angles = next(iter(curves.values())).side_angle.values
    order = sorted(range(angles.size), key=lambda i: (abs(angles[i]), angles[i]))
    figure, axes = new_figure(5.8, rows=2, columns=2, sharex=True, sharey=True)
    for panel, i in zip(axes.flat, order, strict=True):
        side = "left" if angles[i] < 0 else "right"
        draw_overlay(
            panel,
            {label: curve.isel(side_angle=i) for label, curve in curves.items()},
            title=f"{abs(angles[i]):g}° to the {side}",
            y="Level in dB re 20 µPa",
            span=30.0,
        )
        panel.set_xticks([20, 100, 1000, 10_000])
    for panel in axes[0]:
        panel.set_xlabel("")
    for panel in axes[:, 1]:
        panel.set_ylabel("")
    level_axis(axes[0, 0], max(float(curve.max()) for curve in curves.values()), 30.0)
    key(axes[0, 0])
    head(figure, "What does each one do to the left and to the right?", _who(comparison))
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


def floor_overlay(comparison: Comparison) -> Figure | None:
    """What the floor adds and takes away at each common ear height.

    None where there is no such height, or a design has no floor or no frequencies low enough.
    """
    curves = floor_curves(comparison)
    ears = comparison.ear_heights
    drawable = (can_be_drawn(curve.frequency.values) for curve in curves.values())
    if not (curves and ears and all(drawable)):
        return None
    figure, axes = new_figure(1.5 + 2.1 * len(ears), rows=len(ears), sharex=True, sharey=True)
    for i, panel in enumerate(axes[:, 0]):
        shown = {label: up_to_highest(curve.isel(ear_height=i)) for label, curve in curves.items()}
        title = f"ear at {ears[i]:.2f} m"
        draw_overlay(panel, shown, title=title, y="Change in dB", span=FLOOR_SPAN)
        panel.set_ylim(FLOOR_TOP - FLOOR_SPAN, FLOOR_TOP)
        panel.yaxis.set_major_locator(MultipleLocator(6))
        if i < len(ears) - 1:
            panel.set_xlabel("")
    key(axes[0, 0])
    head(figure, "What does the floor add and take away at the seat?", _who(comparison))
    return figure


COMPARISON_SHEETS: dict[str, ComparisonSheet] = {
    "reference-axis": axis_overlay,
    "left-and-right": side_overlay,
    "ear-height": height_overlay,
    "floor-bounce": floor_overlay,
}
"""File name → what draws it; None from a sheet means there is nothing to show."""


def _who(comparison: Comparison) -> str:
    return f"{len(comparison.labels)} designs compared"
