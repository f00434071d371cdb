"""The figures of one prediction: which question each answers, from which data it is drawn."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import xarray as xr
from matplotlib.figure import Figure

from acoustics.figures.at_the_seat import can_be_drawn, draw_at_the_seat
from acoustics.figures.ear_height import NAMES, draw_ear_height
from acoustics.figures.filters import draw_filters
from acoustics.figures.hand_over_sheet import hand_over_sheet
from acoustics.figures.impedance import draw_impedance
from acoustics.figures.layout import draw_layout, draw_layout_notes, notes_height
from acoustics.figures.loudest import draw_loudest
from acoustics.figures.off_axis_curves import draw_off_axis_curves
from acoustics.figures.off_axis_map import draw_off_axis_map
from acoustics.figures.other_faces import draw_faces, other_faces
from acoustics.figures.overlay import draw_overlay
from acoustics.figures.reference_axis import draw_reference_axis
from acoustics.figures.room import ABOVE, SIDE, draw_room
from acoustics.figures.shading import mark_below, meaning, shade
from acoustics.figures.span_map import draw_span_map
from acoustics.figures.standard_curves import draw_directivity_indices, draw_standard_curves
from acoustics.figures.style import (
    difference_axis,
    divided,
    head,
    head_height,
    key,
    named_curves,
    new_figure,
)
from acoustics.figures.whose import cabinet_of, whose
from acoustics.listening import (
    aside_span,
    dips,
    doubtful_bands,
    heard,
    height_span,
    level,
    listeners,
    lobing,
    loudest,
    off_axis_level,
    standard_curves,
)
from acoustics.listening.loudest import some_limit_known, unknown_limits
from acoustics.listening.plan import room_plan
from acoustics.listening.reach import held_filters
from acoustics.listening.ripple import BAND, fitted_line
from acoustics.listening.surfaces import surfaces_of

Sheet = Callable[[xr.Dataset], Figure | None]


def layout_sheet(prediction: xr.Dataset) -> Figure:
    """Where the drivers sit on the front face, and on any others that carry some."""
    others = other_faces(prediction)
    where = "on the cabinet" if others else "on the front face"
    headed = f"Where does everything sit {where}?", str(prediction.attrs["title"])
    heights = [max(LAYOUT_HEIGHT, head_height(*headed) + notes_height(prediction))]
    rows = -(-len(others) // MOST_FACES)
    heights += [FACES_HEIGHT] * rows
    figure, axes = new_figure(
        sum(heights), rows=len(heights), columns=2, height_ratios=heights, width_ratios=(1.2, 1.0)
    )
    draw_layout(axes[0, 0], prediction)
    draw_layout_notes(axes[0, 1], prediction)
    if others:
        columns = max(LEAST_FACES, -(-len(others) // rows))
        panels = [
            panel
            for row, start in enumerate(range(0, len(others), columns), start=1)
            for panel in divided(axes[row], min(columns, len(others) - start), columns)
        ]
        draw_faces(panels, prediction)
    head(figure, *headed)
    return figure


def room_sheet(prediction: xr.Dataset) -> Figure:
    """Where cabinets, seats and surfaces are."""
    figure, axes = new_figure(8.4, rows=2, height_ratios=(1.6, 1.0))
    plan = room_plan(prediction)
    draw_room(axes[0, 0], plan, ABOVE, "from above")
    draw_room(axes[1, 0], plan, SIDE, "from the left")
    key(axes[0, 0])
    head(figure, "Where do cabinets and ears stand in the room?", prediction.attrs["title"])
    return figure


def filters_sheet(prediction: xr.Dataset) -> Figure | None:
    """What the crossover does to each driver; None where it does nothing."""
    filters = prediction["filter"]
    if bool((filters == 1).all()):
        return None
    figure, axes = new_figure(4.4)
    shade(axes[0, 0], doubtful_bands(prediction))
    with np.errstate(divide="ignore"):
        gains = 20 * xr.apply_ufunc(np.log10, abs(filters))
    draw_filters(axes[0, 0], gains, held_filters(prediction))
    computed = "target" in prediction
    question = "Which filter does each driver need?" if computed else "What does the filter do?"
    _headed(figure, question, prediction)
    return figure


def reference_axis_sheet(prediction: xr.Dataset) -> Figure:
    """Response on the reference axis with each driver's share."""
    figure, axes = new_figure(4.6)
    on_axis = prediction.sel(plane="horizontal", angle=0.0)
    total = level(on_axis.arc_total)
    inside = total.sel(frequency=slice(*BAND))
    shade(axes[0, 0], doubtful_bands(prediction))
    draw_reference_axis(
        axes[0, 0],
        total,
        level(on_axis.arc_pressure),
        prediction.attrs["crossover_frequencies"],
        fitted_line(total) if inside.frequency.size > 2 else None,
        level(prediction.target) if "target" in prediction else None,
    )
    distance = prediction.attrs["reference_distance"]
    _headed(figure, f"Is it even on the reference axis, {distance:g} m away?", prediction)
    return figure


def standard_curves_sheet(prediction: xr.Dataset) -> Figure:
    """The curves of CTA-2034-A and both directivity indices."""
    figure, axes = new_figure(6.4, rows=2, sharex=True, height_ratios=(1.7, 1.0))
    curves = standard_curves(prediction)
    for panel in axes[:, 0]:
        shade(panel, doubtful_bands(prediction))
    draw_standard_curves(axes[0, 0], curves)
    draw_directivity_indices(axes[1, 0], curves)
    axes[0, 0].set_xlabel("")
    key(axes[0, 0])
    question = "What reaches ears, walls and room, by CTA-2034-A?"
    _headed(figure, question, prediction)
    return figure


def off_axis_curves_sheet(prediction: xr.Dataset, plane: str) -> Figure:
    """Responses from the axis to 90 degrees on both sides of one plane."""
    figure, axes = new_figure(7.4, rows=2, sharex=True)
    levels = level(prediction.arc_total.sel(plane=plane))
    for row, side in enumerate((1, -1)):
        shade(axes[row, 0], doubtful_bands(prediction))
        draw_off_axis_curves(axes[row, 0], levels, side=side, with_key=row == 0)
    axes[0, 0].set_xlabel("")
    ways = {"horizontal": "to the sides", "vertical": "up and down"}
    _headed(figure, f"How does the sound change {ways[plane]}?", prediction)
    return figure


def off_axis_map_sheet(prediction: xr.Dataset, plane: str) -> Figure:
    """Level over the full circle of one plane and frequency."""
    figure, axes = new_figure(5.2)
    draw_off_axis_map(axes[0, 0], off_axis_level(prediction).sel(plane=plane))
    mark_below(axes[0, 0], doubtful_bands(prediction))
    ways = {"horizontal": "round the sides", "vertical": "over the top"}
    _headed(figure, f"Where does the sound go {ways[plane]}?", prediction)
    return figure


def ear_height_sheet(prediction: xr.Dataset) -> Figure | None:
    """Level over height around each crossover; None where no two drivers cross."""
    around = lobing(heard(prediction))
    count = around.crossover.size
    if count == 0:
        return None
    columns = min(count, 2)
    rows = -(-count // columns)
    figure, axes = new_figure(1.2 + 4.6 * rows, rows=rows, columns=columns, sharey=True)
    for i, panel in enumerate(axes.flat):
        if i >= count:
            panel.set_axis_off()
            continue
        draw_ear_height(panel, around.isel(crossover=i))
        if i % columns:
            panel.set_ylabel("")
    # A panel lacks a curve where it lies outside the predicted frequencies.
    curves = {str(c.get_label()): c for panel in axes.flat for c in named_curves(panel)}
    key(axes[0, 0], curves=[curves[name] for name in NAMES.values() if name in curves])
    distance = prediction.attrs["seat_distance"]
    head(
        figure,
        f"What changes {distance:g} m away when I sit lower or stand up?",
        f"{prediction.attrs['title']}{whose(prediction)}, {WITHOUT}",
    )
    return figure


def over_height_sheet(prediction: xr.Dataset) -> Figure:
    """Level over ear height and frequency at the main seat, relative to that at the ears."""
    relative, ear = over_heights(prediction)
    figure, axes = new_figure(4.8)
    span = height_span(heard(prediction)).sel(ear_height=ear)
    draw_span_map(axes[0, 0], relative, span, ear, "Height above the floor in m")
    mark_below(axes[0, 0], doubtful_bands(prediction))
    distance = prediction.attrs["seat_distance"]
    question = f"How far may the ears move up and down, {distance:g} m away?"
    _headed(figure, question, prediction, f"{whose(prediction)}, {WITHOUT}")
    return figure


def over_heights(prediction: xr.Dataset) -> tuple[xr.DataArray, float]:
    """Level at the main seat relative to that at the ears, dB (height, frequency); their height."""
    view = heard(prediction)
    ear = middle_ear(prediction)
    at_ears = level(view.seat_total.sel(surroundings="free space", ear_height=ear, drop=True))
    return (level(view.height_total) - at_ears).transpose("height", "frequency"), ear


def sideways_sheet(prediction: xr.Dataset) -> Figure | None:
    """The same sideways; None where cabinets leave no room for the line."""
    view = heard(prediction)
    if view.aside.size < 2:
        return None
    at_ears = level(view.aside_total.sel(aside=0.0, drop=True))
    relative = (level(view.aside_total) - at_ears).transpose("aside", "frequency")
    figure, axes = new_figure(4.8)
    draw_span_map(axes[0, 0], relative, aside_span(view), 0.0, "To the right of the seat in m")
    mark_below(axes[0, 0], doubtful_bands(prediction))
    distance = prediction.attrs["seat_distance"]
    question = f"How far may the ears move sideways, {distance:g} m away?"
    # Beside the middle between them, the cabinets of a pair never sound alike.
    one = f", {listeners(prediction)[0].speaker} cabinet" if prediction.speaker.size > 1 else ""
    _headed(figure, question, prediction, f"{one}, {WITHOUT}")
    return figure


def at_the_seat_sheet(prediction: xr.Dataset) -> Figure | None:
    """Level at the main seat with and without reflections, per ear height.

    None without surfaces, or where too few of the frequencies are low enough to be drawn.
    """
    if not (surfaces_of(prediction) and can_be_drawn(prediction.frequency.values)):
        return None
    ears = shown_ears(prediction)
    views = {
        cabinet_of(one, prediction): heard(prediction, one).sel(ear_height=ears)
        for one in listeners(prediction)
        if one.main
    }
    levels = {cabinet: level(view.seat_total) for cabinet, view in views.items()}
    found = {cabinet: dips(view) for cabinet, view in views.items()}
    figure, axes = new_figure(1.6 + 2.2 * len(ears), rows=len(ears), sharex=True)
    for i, panel in enumerate(axes[:, 0]):
        shade(panel, doubtful_bands(prediction))
        draw_at_the_seat(
            panel,
            {cabinet: each.isel(ear_height=i) for cabinet, each in levels.items()},
            {cabinet: each.isel(ear_height=i) for cabinet, each in found.items()},
        )
        panel.set_xlabel("")
    axes[-1, 0].set_xlabel("Frequency in Hz")
    key(axes[0, 0])
    distance = prediction.attrs["seat_distance"]
    _headed(figure, f"What does the room do at the seat, {distance:g} m away?", prediction)
    return figure


def seats_sheet(prediction: xr.Dataset) -> Figure | None:
    """Response of every seat and cabinet; None where there is only one."""
    ones = listeners(prediction)
    if len(ones) < 2:
        return None
    ear = middle_ear(prediction)
    curves = {}
    for one in ones:
        total = heard(prediction, one).seat_total.sel(surroundings="free space", drop=True)
        curves[one.label] = level(total.sel(ear_height=ear, drop=True))
    first, *others = curves
    apart = {label: curves[label] - curves[first] for label in others}
    figure, axes = new_figure(6.6, rows=2, sharex=True)
    for panel in axes[:, 0]:
        shade(panel, doubtful_bands(prediction))
    draw_overlay(axes[0, 0], curves, title="response", y="Level in dB re 20 µPa", span=30.0)
    title = f"difference to {first}"
    draw_overlay(axes[1, 0], apart, title=title, y="Difference in dB", span=30.0, first=1)
    difference_axis(axes[1, 0], apart.values())
    axes[0, 0].set_xlabel("")
    key(axes[0, 0])
    question = f"What do the other seats hear, ears at {ear:.2f} m?"
    _headed(figure, question, prediction, f", {WITHOUT}")
    return figure


def loudest_sheet(prediction: xr.Dataset) -> Figure | None:
    """Highest level at the main seat and what ends it; None where no limit is known."""
    if not some_limit_known(prediction):
        return None
    figure, axes = new_figure(5.6)
    shade(axes[0, 0], doubtful_bands(prediction))
    given = prediction.attrs
    draw_loudest(
        axes[0, 0],
        loudest(prediction),
        given.get("wanted_seat_level"),
        given.get("wanted_reach"),
    )
    both = ", both cabinets" if prediction.speaker.size > 1 else ""
    most = ", at most: some limits are not stated" if unknown_limits(prediction) else ""
    question = f"How loud can it play at the seat, {given['seat_distance']:g} m away?"
    _headed(figure, question, prediction, f"{both}, one sine at a time, 1/3 octave{most}")
    return figure


def input_impedance_sheet(prediction: xr.Dataset) -> Figure | None:
    """What the amplifier sees of a passive crossover; None where there is none."""
    if "input_impedance" not in prediction:
        return None
    figure, axes = new_figure(4.6)
    least = float(prediction.attrs.get("lowest_impedance", np.nan))
    draw_impedance(axes[0, 0], prediction.input_impedance, least)
    axes[0, 0].set_xlabel("Frequency in Hz")
    limit = "" if np.isnan(least) else f"; dotted: the least it is made for, {least:g} ohm"
    question = "What does the amplifier see of the passive crossover?"
    head(figure, question, str(prediction.attrs["title"]), f"phase dashed, right{limit}")
    return figure


LAYOUT_HEIGHT = 5.4
"""inches: of the front face and the notes beside it, at least"""
FACES_HEIGHT = 2.3
"""inches: of a row of other faces"""
LEAST_FACES, MOST_FACES = 3, 5
"""that a row of other faces has room for"""

WITHOUT = "no reflections"

SHEETS: dict[str, Sheet] = {
    "layout": layout_sheet,
    "room": room_sheet,
    "filters": filters_sheet,
    "input-impedance": input_impedance_sheet,
    "reference-axis": reference_axis_sheet,
    "standard-curves": standard_curves_sheet,
    "off-axis-horizontal": lambda p: off_axis_curves_sheet(p, "horizontal"),
    "off-axis-vertical": lambda p: off_axis_curves_sheet(p, "vertical"),
    "map-horizontal": lambda p: off_axis_map_sheet(p, "horizontal"),
    "map-vertical": lambda p: off_axis_map_sheet(p, "vertical"),
    "hand-over": hand_over_sheet,
    "ear-height": ear_height_sheet,
    "over-height": over_height_sheet,
    "sideways": sideways_sheet,
    "at-the-seat": at_the_seat_sheet,
    "seats": seats_sheet,
    "loudest": loudest_sheet,
}
"""File name → what draws it; None from a sheet means the design has nothing to show there."""


def middle_ear(prediction: xr.Dataset) -> float:
    """The ear height nearest the reference axis, m."""
    given = prediction.attrs
    axis = given["reference_y"] - given["floor_level"]
    ears = prediction.ear_height.values
    return float(ears[np.argmin(np.abs(ears - axis))])


def shown_ears(prediction: xr.Dataset) -> list[float]:
    """At most three ear heights: the lowest, the one nearest the axis and the highest, m."""
    ears = prediction.ear_height.values
    return sorted({float(ears.min()), middle_ear(prediction), float(ears.max())})


def _headed(figure: Figure, question: str, prediction: xr.Dataset, aside: str = "") -> None:
    """Head a figure over frequency, saying what is shaded in it."""
    shaded = meaning(doubtful_bands(prediction), prediction)
    head(figure, question, f"{prediction.attrs['title']}{aside}", shaded)
