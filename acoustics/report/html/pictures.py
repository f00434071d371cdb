"""Drawn figures of a report that are no curves over frequency, with what to see in each."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.cabinet.names import face_words
from acoustics.case.model import Case
from acoustics.figures.hand_over_sheet import hand_over_sheet
from acoustics.figures.schematic import schematic_sheet
from acoustics.figures.sheets import (
    ear_height_sheet,
    layout_sheet,
    middle_ear,
    off_axis_map_sheet,
    over_height_sheet,
    room_sheet,
)
from acoustics.report.html.content import Picture
from acoustics.studies.surfaces import surfaces_of
from acoustics.studies.wording import listed

WAYS = {"horizontal": "round the sides", "vertical": "over the top"}


def layout_picture(prediction: xr.Dataset) -> Picture:
    """Where everything sits on the cabinet."""
    places = [
        f"{name} {_place(prediction.sel(driver=name))}"
        for name in map(str, prediction.driver.values)
    ]
    return Picture(
        "layout",
        "Where does everything sit?",
        f"From the middle of its face, in mm: {'; '.join(places)}.",
        layout_sheet(prediction),
    )


def _place(one: xr.Dataset) -> str:
    """Where a driver sits: "12 to the right and 125 up", "20 down, on the back"."""
    right, up = (1000 * float(one[name]) for name in ("driver_right", "driver_up"))
    parts = [
        f"{abs(value):.4g} {there if value > 0 else back}"
        for value, there, back in ((right, "to the right", "to the left"), (up, "up", "down"))
        if abs(value) >= 0.05
    ]
    face = str(one.driver_face.values)
    where = "" if face == "front" else f", on the {face_words(face)}"
    return f"{listed(parts) if parts else 'in the middle'}{where}"


def room_picture(case: Case, prediction: xr.Dataset) -> Picture:
    """Cabinets, seats and surfaces."""
    walls = surfaces_of(prediction)
    surfaces = (
        f"{listed(walls)} reflect{'s' if len(walls) == 1 else ''}"
        if walls
        else ("no surface reflects")
    )
    cabinets = "a mirrored pair" if case.placement.pair else "one cabinet"
    return Picture(
        "room",
        "Where do cabinets and ears stand in the room?",
        f"The main seat is {case.seat.main.distance:g} m from {cabinets}; {surfaces}.",
        room_sheet(prediction),
    )


def map_picture(prediction: xr.Dataset, plane: str, sentence: str) -> Picture:
    """Level over the full circle."""
    return Picture(
        f"map-{plane}",
        f"Where does the sound go {WAYS[plane]}?",
        sentence,
        off_axis_map_sheet(prediction, plane),
    )


def height_pictures(prediction: xr.Dataset, sentences: Sequence[str]) -> list[Picture]:
    """What other ear heights do, at each crossover and over all frequencies."""
    ears = prediction.ear_height.values
    drawn = f" Said of all ear heights; drawn for {middle_ear(prediction):g} m."
    over = Picture(
        "over-height",
        "How far may the ears move up and down?",
        sentences[-1] + (drawn if ears.size > 1 else ""),
        over_height_sheet(prediction),
    )
    around = ear_height_sheet(prediction)
    if around is None:
        return [over]
    return [
        Picture("ear-height", "What if I sit lower or stand up?", sentences[0], around),
        over,
    ]


def hand_over_picture(prediction: xr.Dataset, sentences: Sequence[str]) -> Picture | None:
    """How the drivers hand over; None where no two cross."""
    figure = hand_over_sheet(prediction)
    if figure is None or not sentences:
        return None
    question = "Are the drivers in step where they hand over?"
    return Picture("hand-over", question, sentences[0], figure)


def schematic_picture(case: Case, sentence: str) -> Picture | None:
    """How a passive crossover is joined; None without one."""
    figure = schematic_sheet(case)
    if figure is None:
        return None
    return Picture("schematic", "How are the parts joined?", sentence, figure)
