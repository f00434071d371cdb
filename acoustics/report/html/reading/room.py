"""What the drawing of a room tells: places as the room counts them, cabinets and ears."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import xarray as xr
from matplotlib.figure import Figure

from acoustics.conventions import MAIN_SEAT
from acoustics.figures.room import ABOVE, SIDE
from acoustics.listening.plan import RoomPlan, room_plan
from acoustics.report.html.reading.panel import Reading, Scale, Thing, panel_of

AXES = (
    Scale("Across", "m", "right of the middle", "left of the middle", 2),
    Scale("Up", "m", "above the floor", "below the floor", 2),
    Scale("Ahead", "m", "ahead of the cabinets", "behind their fronts", 2),
)
"""of the room"""

VIEWS = (("from above", ABOVE), ("from the left", SIDE))

MARK = 0.06
"""m: about a seat"""


def room_reading(figure: Figure, prediction: xr.Dataset) -> Reading:
    """Of both views that `room_sheet` draws."""
    plan = room_plan(prediction)
    return tuple(
        panel_of(
            axes,
            name,
            x=AXES[view[0]],
            y=AXES[view[1]],
            things=(*_cabinets(plan, view), *_ears(plan, view)),
        )
        for axes, (name, view) in zip(figure.axes[:2], VIEWS, strict=True)
    )


def _cabinets(plan: RoomPlan, view: tuple[int, int]) -> Iterator[Thing]:
    for name, corners in plan.cabinets.items():
        seen = corners[:, view]
        low, high = seen.min(axis=0), seen.max(axis=0)
        across, up = ((low + high) / 2).tolist()
        called = "cabinet" if len(plan.cabinets) == 1 else f"{name} cabinet"
        wide, high_ = (high - low).tolist()
        words = f"{wide:.2f} × {high_:.2f} m as seen here"
        yield Thing(called, words, (across, up), (wide, high_))


def _ears(plan: RoomPlan, view: tuple[int, int]) -> Iterator[Thing]:
    """Each height once where one sees it, all of a seat as one from above."""
    for seat, ears in plan.seats.items():
        called = "ears, main seat" if seat == MAIN_SEAT else f"ears, seat {seat}"
        for place in np.unique(np.round(ears[:, view], 6), axis=0):
            told = tuple(float(value) for value in place)
            heights = sorted({round(float(ear[1]), 6) for ear in ears if _meets(ear, view, told)})
            words = f"{', '.join(f'{height:.2f}' for height in heights)} m above the floor"
            yield Thing(called, words, (told[0], told[1]), (MARK, MARK), round=True)


def _meets(ear: np.ndarray, view: tuple[int, int], place: tuple[float, ...]) -> bool:
    return bool(np.allclose(ear[list(view)], place, atol=1e-5))
