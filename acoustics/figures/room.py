"""The room to scale, from above and from the side."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.ticker import FuncFormatter, MultipleLocator

from acoustics.conventions import MAIN_SEAT
from acoustics.figures.outline import silhouette, visible_edges
from acoustics.figures.style import DASHES, INK, NOTE, QUIET, SERIES, WORDS, labels, panel_title
from acoustics.listening.plan import RoomPlan

ABOVE, SIDE = (0, 2), (2, 1)
"""axes of the room across and up in each view"""

EYE = {ABOVE: 1.0, SIDE: -1.0}
"""toward which end of the third axis one looks from: from above, and from the left"""

MARGIN = 0.09
"""of the longer side: what is shown beyond everything that stands in the room"""

LEAST = 2.0
"""m: a view is at least this wide"""

COARSE = 4.5
"""m: from this size on lines of the grid lie 1 m apart instead of 0.5 m"""

AXIS = 1.2
"""m: how far a cabinet's axis is drawn"""

MARKERS = "os^Dvph*X"
"""of the seats"""

BODY: dict[str, Any] = {
    "facecolor": "#d2d9ea", "edgecolor": SERIES[0], "linewidth": 1.6, "joinstyle": "round",
    "zorder": 1.6,
}  # fmt: skip
INNER: dict[str, Any] = {"color": f"{SERIES[0]}80", "linewidth": 0.8, "zorder": 1.6}
"""of a cabinet: outline, on a paper that hides the grid; edges within it"""


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
    toward_eye = np.zeros(3)
    toward_eye[list({0, 1, 2} - set(view))] = EYE[view]
    # The farthest first: a nearer one hides it.
    for corners in sorted(plan.cabinets.values(), key=lambda one: float((one @ toward_eye).mean())):
        axes.fill(*silhouette(corners[:, view]).T, **BODY)
        edges = visible_edges(corners, toward_eye)[..., view]
        axes.add_collection(LineCollection(list(edges), **INNER), autolim=False)
    for i, (start, end) in enumerate(plan.axes.values()):
        far = start + AXIS * (end - start)
        x, y = zip(start[list(view)], far[list(view)], strict=True)
        name = "" if i else "reference axis"  # one entry in the key for both
        axes.plot(x, y, color=SERIES[0], linewidth=1.2, linestyle=DASHES[1], label=name)
    for i, (name, ears) in enumerate(plan.seats.items()):
        colour, marker = SERIES[1 + i % (len(SERIES) - 1)], MARKERS[i % len(MARKERS)]
        main = name == MAIN_SEAT
        # Other seats are open and larger, so that those behind one another in a view all show.
        how: dict[str, Any] = {"markersize": 6} if main else {"markersize": 9, "fillstyle": "none"}
        seat = "ears, main seat" if main else f"ears, seat {name}"
        axes.plot(*ears[:, view].T, marker, color=colour, zorder=4, label=seat, **how)
    labels(axes, NAMES[across], NAMES[up])
    _limits(axes, plan, view)
    for surface, (normal, place) in plan.surfaces.items():
        if normal in view:
            _surface(axes, surface, view.index(normal), place)
    axes.set_aspect("equal", adjustable="box")
    if view == ABOVE:
        axes.invert_yaxis()  # the wall behind the cabinets on top, as the listener looks at them
    panel_title(axes, title)
    return axes


NAMES = ("Right of the middle in m", "Above the floor in m", "Ahead of the cabinets in m")


def _limits(axes: Axes, plan: RoomPlan, view: tuple[int, int]) -> None:
    """Show all that stands in the room, its surfaces, and beyond them room for their names."""
    parts = [*plan.cabinets.values(), *plan.seats.values()]
    everything = np.concatenate([part[:, view] for part in parts])
    low, high = everything.min(axis=0), everything.max(axis=0)
    for normal, place in plan.surfaces.values():
        if normal in view:
            i = view.index(normal)
            low[i], high[i] = min(low[i], place), max(high[i], place)
    if view[1] == 1:
        low[1] = min(low[1], 0.0)
    margin = MARGIN * max(high - low)
    low, high = low - margin, high + margin
    wider = max(LEAST - (high[0] - low[0]), 0.0) / 2
    axes.set_xlim(low[0] - wider, high[0] + wider)
    axes.set_ylim(low[1], high[1])
    step = 1.0 if max(high - low) > COARSE else 0.5
    for side in (axes.xaxis, axes.yaxis):
        side.set_major_locator(MultipleLocator(step))
        side.set_major_formatter(FuncFormatter(lambda at, _: f"{at:g}".replace("-", "−")))


def _surface(axes: Axes, name: str, side: int, place: float) -> None:
    """A surface across this side of the view (0 or 1), its name beyond it, clear of all else."""
    line, ends = ((axes.axvline, axes.get_xlim()), (axes.axhline, axes.get_ylim()))[side]
    line(place, color=QUIET, linewidth=3.0)
    beyond = (place + ends[int(place > np.mean(ends))]) / 2
    blend = axes.get_yaxis_transform() if side else axes.get_xaxis_transform()
    axes.text(
        *((0.5, beyond) if side else (beyond, 0.5)), name, transform=blend, ha="center",
        va="center", rotation=0 if side else 90, fontsize=NOTE, color=INK, **WORDS,
    )  # fmt: skip
