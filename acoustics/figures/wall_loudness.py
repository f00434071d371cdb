"""How loud the walls of a cabinet are beside its drivers, over frequency."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from acoustics.figures import style
from acoustics.figures.shading import SHADE
from acoustics.figures.style import INK, frequency_axis, labels, level_axis, note, series
from acoustics.studies.structure.found import Closest, WallSound
from acoustics.studies.structure.sound import ALL, HEARD, QUIET, THIRD

SPAN = 70.0
"""dB shown"""

AFTER = "all walls, with the proposal"

LEAST_TOP = 1.0
"""dB: the axis reaches this far up at least"""

GUIDES = ((HEARD, "practice: heard above"), (QUIET, "practice: quiet below"))


def draw_wall_loudness(
    axes: Axes,
    sound: WallSound,
    levels: np.ndarray,
    *,
    closest: Closest | None = None,
    after: np.ndarray | None = None,
) -> Axes:
    """Draw the level of every wall, and of all together, relative to the drivers.

    Args:
        axes: where to draw.
        sound: for its frequencies and the names of its walls.
        levels: one of its levels, dB, shape (wall + 1, frequency).
        closest: where the loudest wall comes closest to the drivers, which is marked.
        after: that of all walls with what is proposed, dB, shape (frequency,).

    Returns:
        The axes.
    """
    frequency = sound.frequency
    for number, (wall, level) in enumerate(zip(sound.walls, levels, strict=False)):
        axes.plot(frequency, level, linewidth=1.1, label=wall, **series(number))
    axes.plot(frequency, levels[-1], color=INK, linewidth=2.2, label=ALL)
    if after is not None:
        axes.plot(frequency, after, color=INK, linewidth=1.5, linestyle=(0, (3, 1.5)), label=AFTER)
    for guide, words in GUIDES:
        axes.axhline(guide, color=style.QUIET, linewidth=1.0, linestyle=":")
        how = {"transform": axes.get_yaxis_transform(), "va": "center", "color": style.QUIET}
        note(axes, 0.005, guide, words, fontsize=9, **how)
    if closest is not None:
        ends = closest.frequency / THIRD, closest.frequency * THIRD
        axes.axvspan(*ends, color=SHADE, linewidth=0, zorder=0)
    labels(axes, "", "dB re drivers")
    frequency_axis(axes, float(frequency[0]), float(frequency[-1]))
    level_axis(axes, max(LEAST_TOP, float(np.nanmax(levels))), SPAN)
    return axes
