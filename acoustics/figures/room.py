"""The room to scale, from above and from the side."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from scipy.spatial import ConvexHull

from acoustics.figures.style import INK, NOTE, QUIET, SERIES, WORDS, labels, panel_title
from acoustics.listening.plan import RoomPlan

ABOVE, SIDE = (0, 2), (2, 1)
"""axes of the room across and up in each view"""

MARGIN = 0.35
"""m: what is shown beyond everything that stands in the room"""

AXIS = 1.2
"""m: how far a cabinet's axis is drawn"""


def draw_room(axes: Axes, plan: RoomPlan, view: tuple[int, int], title: str) -> Axes:
    """Draw cabinets, seats and the surfaces that show as lines in this view.

    Args:
        axes: where to draw; metres, to scale.
        plan: what stands where.
        view: which axes of the room run across and up: `ABOVE` or `SIDE`.
        title: what the panel shows.

    Returns:
        The axes.
    """
    across, up = view
    for corners in plan.cabinets.values():
        outline = corners[:, view]
        outline = outline[ConvexHull(outline).vertices]
        axes.fill(*outline.T, facecolor=f"{SERIES[0]}33", edgecolor=SERIES[0], linewidth=1.6)
    for start, end in plan.axes.values():
        far = start + AXIS * (end - start)
        x, y = zip(start[list(view)], far[list(view)], strict=True)
        axes.plot(x, y, color=SERIES[0], linewidth=1.0, linestyle=(0, (5, 2)))
    for name, ears in plan.seats.items():
        axes.plot(*ears[:, view].T, "o", color=SERIES[1], markersize=6, zorder=4)
        if view == ABOVE:
            axes.annotate(
                name, tuple(ears[0, view]), xytext=(7, 0), textcoords="offset points", va="center",
                fontsize=NOTE, color=INK, **WORDS,
            )  # fmt: skip
    everything = np.concatenate([*plan.cabinets.values(), *plan.seats.values()])[:, view]
    low, high = everything.min(axis=0) - MARGIN, everything.max(axis=0) + MARGIN
    shown = {name: place for name, place in plan.surfaces.items() if place[0] in view}
    for normal, place in shown.values():
        i = view.index(normal)
        low[i], high[i] = min(low[i], place - 0.1), max(high[i], place + 0.1)
    labels(axes, NAMES[across], NAMES[up])
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    for normal, place in shown.values():
        line = axes.axvline if normal == across else axes.axhline
        line(place, color=QUIET, linewidth=3.0)
    axes.set_aspect("equal", adjustable="box")
    if view == ABOVE:
        axes.invert_yaxis()  # the wall behind the cabinets on top, as the listener looks at them
    panel_title(axes, title)
    return axes


NAMES = ("Right of the middle in m", "Above the floor in m", "Ahead of the cabinets in m")
