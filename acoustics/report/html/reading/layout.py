"""What the drawing of a cabinet tells: places as a case file counts them, drivers and openings."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acoustics.cabinet.names import face_words
from acoustics.figures.body_view import openings
from acoustics.figures.front_face import MM, Extent, extent_of, front_extent
from acoustics.figures.other_faces import face_outline, other_faces
from acoustics.listening.body_shape import frame_of, seen_in
from acoustics.report.html.reading.panel import Pair, Panel, Reading, Scale, Thing, panel_of

FRONT = "front"


def layout_reading(figure: Figure, prediction: xr.Dataset) -> Reading:
    """Of every face that `layout_sheet` draws: mm to the right of its middle and above it."""
    drawn = {str(axes.get_label()): axes for axes in figure.axes}
    face = front_extent(prediction)
    # The front is drawn from its lower left corner, the others from their middle.
    panels = [_panel(drawn[FRONT], prediction, FRONT, face, (face.left, face.bottom))]
    for name in other_faces(prediction):
        outline = extent_of(face_outline(prediction, name))
        panels.append(_panel(drawn[name], prediction, name, outline, (0.0, 0.0)))
    return tuple(panels)


def _panel(axes: Axes, prediction: xr.Dataset, face: str, ends: Extent, shift: Pair) -> Panel:
    across = Scale(
        "Across", "mm", "right", "left", edges=((ends.left, "left"), (ends.right, "right"))
    )
    up = Scale("Up", "mm", "up", "down", edges=((ends.bottom, "lower"), (ends.top, "upper")))
    name = face_words(face)
    things = (*_drivers(prediction, face), *_openings(prediction, face))
    after = f"of the middle of the {name}"
    return panel_of(axes, name, shift, x=across, y=up, after=after, things=things)


def _drivers(prediction: xr.Dataset, face: str) -> Iterator[Thing]:
    """Those on a face, and on the back of a plate those that sound through it."""
    centres = np.stack([prediction[f"driver_{axis}"] for axis in "xyz"], axis=-1)
    behind = MM * seen_in(frame_of(prediction, face), centres)
    for i, on in enumerate(map(str, prediction.driver_face.values)):
        one = prediction.isel(driver=i)
        through = face == "back" and bool(one.driver_both_sides)
        if on == face or through:
            own = MM * float(one.driver_right), MM * float(one.driver_up)
            right, up = own if on == face else behind[i].tolist()
            piston, frame = MM * float(one.piston_diameter), MM * float(one.frame_diameter)
            kind = "driver" if on == face else "driver, from behind"
            words = f"{kind}, piston ⌀ {piston:.4g} mm, frame ⌀ {frame:.4g} mm"
            yield _thing(str(one.driver.values), words, (right, up), (max(piston, frame),) * 2)


def _openings(prediction: xr.Dataset, face: str) -> Iterator[Thing]:
    """Ports and passive radiators."""
    for number in openings(prediction, face):
        one = prediction.isel(radiator=number)
        wide, high = MM * float(one.radiator_width), MM * float(one.radiator_height)
        size = f"⌀ {wide:.4g} mm" if wide == high else f"{wide:.4g} × {high:.4g} mm"
        words = f"{one.radiator_kind.values} {size}"
        middle = MM * float(one.radiator_right), MM * float(one.radiator_up)
        yield _thing(str(one.radiator.values), words, middle, (wide, high))


def _thing(name: str, words: str, middle: Pair, size: Pair) -> Thing:
    told = f"{words}, centre at {_place(middle)}"
    return Thing(name, told, middle, size, round=size[0] == size[1])


def _place(middle: Pair) -> str:
    """A place as a case file has it: "12 mm right, 125 mm up"."""
    ways = (("right", "left"), ("up", "down"))
    return ", ".join(
        f"{_tenths(abs(value))} mm {ahead if value > -0.05 else back}"
        for value, (ahead, back) in zip(middle, ways, strict=True)
    )


def _tenths(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
