"""Drawn figures of a report that are no curves over frequency, with what to see in each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import xarray as xr
from matplotlib.figure import Figure

from acoustics.cabinet.names import face_words
from acoustics.case.design.model import Case
from acoustics.figures.front_face import MM, front_extent
from acoustics.figures.hand_over_sheet import hand_over_sheet
from acoustics.figures.schematic import schematic_of
from acoustics.figures.sheets import (
    ear_height_sheet,
    layout_sheet,
    middle_ear,
    off_axis_map_sheet,
    over_height_sheet,
    room_sheet,
)
from acoustics.listening import off_axis_level
from acoustics.listening.surfaces import surfaces_of
from acoustics.report.html.content import Picture
from acoustics.report.html.reading.curves import over_frequency, over_height
from acoustics.report.html.reading.layout import layout_reading
from acoustics.report.html.reading.maps import off_axis_reading, over_height_reading
from acoustics.report.html.reading.panel import Reading
from acoustics.report.html.reading.room import room_reading
from acoustics.report.html.reading.schematic import schematic_reading
from acoustics.report.html.sheet_svg import sheet_svg, told_svg
from acoustics.studies.wording import listed

WAYS = {"horizontal": "round the sides", "vertical": "over the top"}


@dataclass(frozen=True)
class Drawing:
    """A picture's SVG, and what its places tell."""

    svg: str
    reading: Reading


Drawn = Mapping[str, Drawing]
"""by the names of pictures"""

Reader = Callable[[Figure], Reading]
"""what a figure's places tell, once it is drawn"""


def draw_pictures(case: Case, prediction: xr.Dataset) -> dict[str, Drawing]:
    """Draw all figures of a report that have something to show.

    That takes as long as all that is said of them, so it may be done at the same time.

    Args:
        case: the design.
        prediction: of that same design.

    Returns:
        What they are called, and the drawings.
    """
    figures: dict[str, tuple[Figure | None, Reader]] = {
        "layout": (layout_sheet(prediction), partial(layout_reading, prediction=prediction)),
        "room": (room_sheet(prediction), partial(room_reading, prediction=prediction)),
        "over-height": (
            over_height_sheet(prediction),
            partial(over_height_reading, prediction=prediction),
        ),
        "ear-height": (ear_height_sheet(prediction), over_height),
        "hand-over": (hand_over_sheet(prediction), partial(over_frequency, units=("dB", "°"))),
    }
    relative = off_axis_level(prediction)
    for plane in WAYS:
        reader = partial(off_axis_reading, relative=relative.sel(plane=plane))
        figures[f"map-{plane}"] = off_axis_map_sheet(prediction, plane), reader
    schematic = schematic_of(case)
    if schematic is not None:
        figures["schematic"] = (
            schematic.figure,
            partial(schematic_reading, places=schematic.places, case=case, prediction=prediction),
        )
    return {
        name: _drawing(name, figure, reader)
        for name, (figure, reader) in figures.items()
        if figure is not None
    }


def _drawing(name: str, figure: Figure, reader: Reader) -> Drawing:
    # Panels have their places only when all has been drawn.
    svg = sheet_svg(figure, name)
    return Drawing(svg, reader(figure))


def layout_picture(drawn: Drawn, prediction: xr.Dataset) -> Picture:
    """Where everything sits on the cabinet, measured as it is drawn."""
    return _picture(drawn, "layout", "Where does everything sit?", layout_sentence(prediction))


def layout_sentence(prediction: xr.Dataset) -> str:
    """Where every driver sits, from where the drawing measures: see `layout_words`."""
    face = front_extent(prediction)
    front, others = list[str](), list[str]()
    for name in map(str, prediction.driver.values):
        one = prediction.sel(driver=name)
        right, up = (MM * float(one[each]) for each in ("driver_right", "driver_up"))
        on = str(one.driver_face.values)
        if on == "front":
            front.append(f"{name} {right - face.left:.4g} across and {up - face.bottom:.4g} up")
        else:
            others.append(f"{name} on the {face_words(on)} {_from_middle(right, up)}")
    told = f"In mm from the left and lower end of the front face: {'; '.join(front)}."
    from_middle = f"From the middle of its face, in mm: {'; '.join(others)}."
    return " ".join([*([told] if front else []), *([from_middle] if others else [])])


def _from_middle(right: float, up: float) -> str:
    """Where a driver sits (mm): "12 to the right and 125 up"."""
    parts = [
        f"{abs(value):.4g} {there if value > 0 else back}"
        for value, there, back in ((right, "to the right", "to the left"), (up, "up", "down"))
        if abs(value) >= 0.05
    ]
    return listed(parts) if parts else "in the middle"


def room_picture(drawn: Drawn, case: Case, prediction: xr.Dataset) -> Picture:
    """Cabinets, seats and surfaces."""
    walls = surfaces_of(prediction)
    surfaces = (
        f"{listed(walls)} reflect{'s' if len(walls) == 1 else ''}"
        if walls
        else ("no surface reflects")
    )
    cabinets = "a mirrored pair" if case.placement.pair else "one cabinet"
    return _picture(
        drawn,
        "room",
        "Where do cabinets and ears stand in the room?",
        f"The main seat is {case.seat.main.distance:g} m from {cabinets}; {surfaces}.",
    )


def map_picture(drawn: Drawn, plane: str, sentence: str) -> Picture:
    """Level over the full circle."""
    title = f"Where does the sound go {WAYS[plane]}?"
    return _picture(drawn, f"map-{plane}", title, sentence)


def height_pictures(
    drawn: Drawn, prediction: xr.Dataset, sentences: Sequence[str]
) -> list[Picture]:
    """What other ear heights do, at each crossover and over all frequencies."""
    ears = prediction.ear_height.values
    which = f" Said of all ear heights; drawn for {middle_ear(prediction):g} m."
    question = "How far may the ears move up and down?"
    told = sentences[-1] + (which if ears.size > 1 else "")
    over = _picture(drawn, "over-height", question, told)
    if "ear-height" not in drawn:
        return [over]
    lower = "What if I sit lower or stand up?"
    return [_picture(drawn, "ear-height", lower, sentences[0]), over]


def hand_over_picture(drawn: Drawn, sentences: Sequence[str]) -> Picture | None:
    """How the drivers hand over; None where no two cross."""
    if "hand-over" not in drawn or not sentences:
        return None
    question = "Are the drivers in step where they hand over?"
    return _picture(drawn, "hand-over", question, sentences[0])


def schematic_picture(drawn: Drawn, sentence: str) -> Picture | None:
    """How a passive crossover is joined; None without one."""
    if "schematic" not in drawn:
        return None
    return _picture(drawn, "schematic", "How are the parts joined?", sentence)


def picture_of(
    name: str, title: str, sentence: str, figure: Figure, units: Sequence[str] = ()
) -> Picture:
    """A figure of the plotting library as a picture.

    `units` are those of its panels' curves over frequency, where they are to be read off.
    """
    drawing = _drawing(name, figure, partial(over_frequency, units=units))
    return _picture({name: drawing}, name, title, sentence)


def _picture(drawn: Drawn, name: str, title: str, sentence: str) -> Picture:
    drawing = drawn[name]
    svg = told_svg(drawing.svg, name, title, sentence)
    return Picture(name, title, sentence, svg, drawing.reading)
