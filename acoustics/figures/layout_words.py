"""What the drawing of the front face does not show, in words."""

from __future__ import annotations

import math
import textwrap

import xarray as xr

from acoustics.cabinet.names import face_words
from acoustics.figures.body_view import openings, shows_beside
from acoustics.figures.front_face import CUT_EDGES, MM, reference_place
from acoustics.figures.style import INK, QUIET, series
from acoustics.listening.body_shape import frame_of

NOTE_COLUMNS = 31
"""letters of a note in one line"""

LEAST_LEAN = 0.05
"""degrees"""

LEAST_LENGTH = 0.05
"""mm"""

Lines = list[tuple[str, str]]
"""colour and text of each"""


def layout_words(prediction: xr.Dataset) -> Lines:
    """Sizes and places of drivers and cabinet, and from where they are measured."""
    right, up = reference_place(prediction)
    return [
        *_drivers(prediction),
        *_openings(prediction),
        (INK, "+ reference axis"),
        (INK, f"  {right:.4g} right, {up:.4g} up"),
        *_cabinet(prediction),
    ]


def _drivers(prediction: xr.Dataset) -> Lines:
    """Each driver's sizes, and where those on other faces sit."""
    lines: Lines = []
    for i, name in enumerate(prediction.driver.values):
        one = prediction.isel(driver=i)
        piston, frame = MM * float(one.piston_diameter), MM * float(one.frame_diameter)
        lines += [(series(i)["color"], line) for line in _wrapped(str(name), "  ")]
        lines.append((INK, f"  piston ⌀ {piston:.4g}, frame ⌀ {frame:.4g}"))
        face = str(one.driver_face.values)
        if face != "front":
            place = _on_face(MM * float(one.driver_right), MM * float(one.driver_up))
            lines += [(INK, line) for line in _wrapped(f"  {face_words(face)}: {place}", "    ")]
        if bool(one.driver_both_sides):
            lines.append((INK, "  sounds on both sides"))
    return lines


def _openings(prediction: xr.Dataset) -> Lines:
    """Sizes of ports and passive radiators, and where those on other faces sit."""
    lines: Lines = []
    for number in openings(prediction):
        one = prediction.isel(radiator=number)
        wide, high = MM * float(one.radiator_width), MM * float(one.radiator_height)
        size = f"⌀\u00a0{wide:.4g}" if wide == high else f"{wide:.4g} × {high:.4g}"
        name = f"{one.radiator.values}: {one.radiator_kind.values} {size}"
        texts = [name]
        face = str(one.radiator_face.values)
        if face != "front":
            place = _on_face(MM * float(one.radiator_right), MM * float(one.radiator_up))
            texts.append(f"  {face_words(face)}: {place}")
        lines += [(INK, line) for text in texts for line in _wrapped(text, "    ")]
    return lines


def _wrapped(text: str, indent: str) -> list[str]:
    """A note in lines short enough, those after the first indented."""
    return textwrap.wrap(text, NOTE_COLUMNS, subsequent_indent=indent)


def _on_face(right: float, up: float) -> str:
    """A place on a face, mm from its middle."""
    ways = ((right, "right", "left"), (up, "up", "down"))
    parts = [
        f"{abs(value):.4g} {ahead if value > 0 else back}"
        for value, ahead, back in ways
        if abs(value) > LEAST_LENGTH
    ]
    return ", ".join(parts) or "in the middle"


def _cabinet(prediction: xr.Dataset) -> Lines:
    """Its sizes and height, how its front leans, and where measures start."""
    given = prediction.attrs
    shape = given["cabinet_shape"]
    width, height, depth = (MM * given[f"cabinet_{size}"] for size in ("width", "height", "depth"))
    thing, deep = ("plate", "thick") if shape == "plate" else ("cabinet", "deep")
    inward = f"{depth:.4g} {deep}" if depth > 0 else "thin"
    lines = [
        (INK, thing),
        (INK, f"  {width:.4g} wide, {height:.4g} high, {inward}"),
        (INK, f"  {MM * given['cabinet_base_height']:.4g} above the floor"),
    ]
    across, up, ahead = (float(each) for each in frame_of(prediction).outward)
    lean, turn = math.degrees(math.asin(up)), math.degrees(math.atan2(across, ahead))
    if abs(lean) > LEAST_LEAN:
        lines.append((INK, f"  front leans {'back' if lean > 0 else 'forward'} {abs(lean):.3g}°"))
    if abs(turn) > LEAST_LEAN:
        lines.append(
            (INK, f"  front turned {abs(turn):.3g}° to the {'right' if turn > 0 else 'left'}")
        )
    if shape in CUT_EDGES:
        start = ["all in mm,", "from the lower left corner"]
    else:
        start = ["all in mm, from the left and", "lower end of the front face"]
    if shows_beside(prediction):
        start.append("grey: cut or rounded edges" if shape in CUT_EDGES else "grey: other faces")
    if len(openings(prediction)) > len(openings(prediction, "front")) or bool(
        (prediction.driver_face != "front").any()
    ):
        start.append("on other faces: from the middle")
    return [*lines, *((QUIET, line) for line in start)]
