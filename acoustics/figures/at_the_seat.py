"""What the room's first reflections do at the seat, and what each dip is made by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.side_by_side import fitting_labels
from acoustics.figures.style import (
    DASHES,
    NOTE,
    QUIET,
    SERIES,
    WORDS,
    frequency_axis,
    labels,
    level_axis,
    level_top,
    panel_title,
    shown_frequencies,
    text_width,
)
from acoustics.studies.wording import hertz

HIGHEST = 5000.0
"""Hz: above this the dips lie closer together than the ear or the figure tells apart"""

LEAST = 2
"""frequencies that make a curve"""

SPAN, HEADROOM = 50.0, 10.0
"""dB shown, and how much of that is kept above the curves for the labels"""

MOST_DIPS = 5
"""so many of the deepest dips bear a label"""

LABELLED = 2000.0
"""Hz: above this dips bear none"""

ROW, GAP = 380.0, 6.0
"""points: length of the frequency axis in a figure of the common width, and between two labels"""

FREE, ROOM = "without reflections", "with all reflections"


@dataclass(frozen=True)
class Dip:
    """A dip to be labelled: frequency (Hz), depth (dB), cause, and which curve it is in."""

    frequency: float
    depth: float
    cause: str
    curve: int

    @property
    def text(self) -> str:
        """What stands over it."""
        return f"{self.cause}\n{hertz(self.frequency)}"


def draw_at_the_seat(
    axes: Axes, levels: Mapping[str, xr.DataArray], dips: Mapping[str, xr.Dataset]
) -> Axes:
    """Draw the level at one ear height with and without reflections, its dips labelled.

    Args:
        axes: where to draw.
        levels: cabinet → dB re 20 µPa, dims (surroundings, frequency), with the coordinate
            ear_height (m); the cabinet's name is empty where there is only one to tell.
        dips: cabinet → dip_frequency (Hz), dip_depth (dB) and dip_cause over `dip`, of
            `listening.dips` at that ear height.

    Returns:
        The axes.
    """
    shown = [up_to_highest(each) for each in levels.values()]
    frequency = shown[0].frequency.values
    colours = SERIES if len(shown) > 1 else SERIES[:1]
    rooms = [each.sel(surroundings="with reflections").values for each in shown]
    for i, (cabinet, each) in enumerate(zip(levels, shown, strict=True)):
        free = each.sel(surroundings="free space").values
        name = "" if i else FREE  # one entry in the key for both
        axes.plot(frequency, free, color=QUIET, linewidth=1.4, linestyle=DASHES[1], label=name)
        how = {"color": colours[i], "linestyle": DASHES[2 * i], "linewidth": 2.0 - 0.3 * i}
        axes.plot(frequency, rooms[i], label=f"{ROOM}, {cabinet}" if cabinet else ROOM, **how)
    labels(axes, "Frequency in Hz", "Level in dB\nre 20 µPa")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, level_top(max(float(each.max()) for each in shown)) - 1 + HEADROOM, SPAN)
    bottom, top = axes.get_ylim()
    for dip, place in labelled_dips(dips, axes.get_xlim()):
        level = float(np.interp(np.log(dip.frequency), np.log(frequency), rooms[dip.curve]))
        colour = colours[dip.curve]
        ends = (max(level + 0.5, bottom), top - HEADROOM)
        axes.vlines(dip.frequency, *ends, color=colour, linewidth=0.9)
        axes.text(
            place, 1.0, dip.text, transform=axes.transAxes, ha="center", va="top",
            fontsize=NOTE, color=colour, linespacing=1.05, **WORDS,
        )  # fmt: skip
    panel_title(axes, f"ears at {float(next(iter(levels.values())).ear_height):.2f} m")
    return axes


def labelled_dips(
    dips: Mapping[str, xr.Dataset], ends: tuple[float, float]
) -> list[tuple[Dip, float]]:
    """The deepest dips whose labels have room beside one another, and where the labels go.

    Args:
        dips: as for `draw_at_the_seat`.
        ends: of the frequency axis, Hz.

    Returns:
        Each dip with the centre of its label as part of the axis, ascending.
    """
    found: list[Dip] = []
    for curve, each in enumerate(dips.values()):
        parts = (each.dip_frequency.values, each.dip_depth.values, each.dip_cause.values)
        for frequency, depth, cause in zip(*parts, strict=True):
            if ends[0] <= frequency <= LABELLED:
                found.append(Dip(float(frequency), float(depth), str(cause), curve))
    found.sort(key=lambda dip: -dip.depth)
    low, high = np.log(ends)
    places = (np.log([dip.frequency for dip in found]) - low) / (high - low)
    widths = np.array([(text_width(dip.text, NOTE) + GAP) / ROW for dip in found])
    fitting = fitting_labels(places, widths, MOST_DIPS)
    return [(found[i], centre) for i, centre in fitting.items()]


def up_to_highest(levels: xr.DataArray) -> xr.DataArray:
    """The part of a curve that is drawn; see `can_be_drawn`."""
    return levels.sel(frequency=slice(None, HIGHEST))


def can_be_drawn(frequency: np.ndarray) -> bool:
    """Whether enough of these frequencies lie low enough for a curve."""
    return int(np.count_nonzero(frequency <= HIGHEST)) >= LEAST
