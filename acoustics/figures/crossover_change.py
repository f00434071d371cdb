"""What a change of the crossover did: one sheet, each panel before against after."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator

from acoustics.figures.before_after import (
    STATES,
    both_frequencies,
    draw_before_after,
)
from acoustics.figures.hand_over_sheet import around
from acoustics.figures.lobe_change import draw_lobe_change
from acoustics.figures.phase_tracking import phase_axis, unbroken
from acoustics.figures.shading import meaning, shade
from acoustics.figures.style import (
    INK,
    frequency_axis,
    head,
    key,
    labels,
    named_curves,
    new_figure,
    panel_title,
)
from acoustics.listening import doubtful_bands, level, lobe_levels, phase_tracking, standard_curves
from acoustics.listening.phase_tracking import IN_STEP
from acoustics.listening.sides import AXIS

LEVEL = "Level in dB re 20 µPa"

SPAN = 30.0
"""dB shown of responses"""

TALLEST = 20.0
"""times the lowest impedance, up to which impedances are shown"""

PANEL = 2.9
"""inches: of a row of panels"""

Panel = Callable[[Axes], object]


def crossover_change(before: xr.Dataset, after: xr.Dataset) -> Figure:
    """On axis, listening window, in-room curve, phase, lobes and impedance, before and after.

    Args:
        before: prediction of a design with its first crossover.
        after: prediction of the same design with another one.
    """
    states = {"before": before, "after": after}
    panels = [*_responses(states), *_phase(states), *_lobes(before, after), *_impedance(states)]
    rows = -(-len(panels) // 2)
    figure, axes = new_figure(1.2 + PANEL * rows, rows=rows, columns=2)
    for i, panel in enumerate(axes.flat):
        if i >= len(panels):
            panel.set_axis_off()
            continue
        panels[i](panel)
        if i % 2 and panel.get_ylabel() == axes.flat[i - 1].get_ylabel():
            panel.set_ylabel("")
    named = [curve for panel in axes.flat for curve in named_curves(panel)]
    key(axes[0, 0], curves=list({str(c.get_label()): c for c in reversed(named)}.values())[::-1])
    shaded = meaning(doubtful_bands(after), after)
    head(figure, "What did the new crossover change?", str(after.attrs["title"]), shaded)
    return figure


def _responses(states: dict[str, xr.Dataset]) -> list[Panel]:
    """On axis, in the listening window and in a usual room."""
    curves = {state: standard_curves(one) for state, one in states.items()}
    shown = {
        "on the reference axis": {
            state: level(one.arc_total.sel(plane="horizontal", angle=0.0))
            for state, one in states.items()
        },
        "listening window": {state: each.listening_window for state, each in curves.items()},
        "estimated in-room": {state: each.estimated_in_room for state, each in curves.items()},
    }

    highest = max(float(curve.max()) for pair in shown.values() for curve in pair.values())

    def response(title: str) -> Panel:
        def draw(axes: Axes) -> None:
            shade(axes, doubtful_bands(states["after"]))
            draw_before_after(axes, shown[title], title=title, y=LEVEL, highest=highest, span=SPAN)

        return draw

    return [response(title) for title in shown]


def _phase(states: dict[str, xr.Dataset]) -> list[Panel]:
    """The phase between the drivers on the axis; nothing without a crossover."""
    tracked = {state: phase_tracking(one).sel(place=AXIS) for state, one in states.items()}
    if not any(each.crossover.size for each in tracked.values()):
        return []

    def draw(axes: Axes) -> None:
        shade(axes, doubtful_bands(states["after"]))
        for state, each in tracked.items():
            for phase in each.phase_difference.values:
                axes.plot(each.frequency.values, unbroken(phase), **STATES[state])
        phase_axis(axes)
        low, high = around(*tracked.values())
        frequency_axis(axes, low, high)
        # Half a page has room for few labels.
        marks = [m for m in (50, 200, 500, 1000, 2000, 5000, 10_000) if low <= m <= high]
        axes.xaxis.set_major_locator(FixedLocator(marks[:: 1 + len(marks) // 5]))
        panel_title(axes, f"phase apart (green: ±{IN_STEP:g}°)")

    return [draw]


def _lobes(before: xr.Dataset, after: xr.Dataset) -> list[Panel]:
    """The lobes of every crossover after the change, over those of the same two drivers before."""
    old, new = lobe_levels(before), lobe_levels(after)

    def lobe(name: str) -> Panel:
        known = name in old.crossover.values
        return lambda axes: draw_lobe_change(
            axes, old.sel(crossover=name) if known else None, new.sel(crossover=name)
        )

    return [lobe(str(name)) for name in new.crossover.values]


def _impedance(states: dict[str, xr.Dataset]) -> list[Panel]:
    """What the amplifier sees; nothing where no crossover is passive."""
    seen = {
        state: np.abs(one.input_impedance)
        for state, one in states.items()
        if "input_impedance" in one
    }
    if not seen:
        return []

    def draw(axes: Axes) -> None:
        for state, size in seen.items():
            axes.plot(size.frequency.values, size.values, **STATES[state])
        labels(axes, "Frequency in Hz", "Impedance in ohm")
        both_frequencies(axes, seen)
        lowest = min(float(size.min()) for size in seen.values())
        highest = max(float(size.max()) for size in seen.values())
        # A high-pass alone rises without end; what matters is low.
        axes.set_ylim(0, min(1.05 * highest, TALLEST * lowest))
        least = states["after"].attrs.get("lowest_impedance", np.nan)
        asked = bool(np.isfinite(least))
        if asked:
            axes.axhline(least, color=INK, linewidth=0.9, linestyle=":")
        panel_title(axes, f"impedance{' (dotted: least)' if asked else ''}")

    return [draw]
