"""A report of a design, put together of what other papers say."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, Case
from acoustics.conventions import MAIN_SEAT
from acoustics.listening import off_axis_level
from acoustics.listening.bands import in_band
from acoustics.report.at_the_seat import main_listeners
from acoustics.report.box import box_text
from acoustics.report.box_port import HELPS, TOO_FAST, TOO_LONG
from acoustics.report.cautions import CAUTIONS, OF_BOARDS
from acoustics.report.crossover_papers import papers_text
from acoustics.report.evenness import beams, sides, to_the_room
from acoustics.report.html.boards import structure_blocks, weight
from acoustics.report.html.charts import (
    box_charts,
    filters_chart,
    impedance_chart,
    index_chart,
    loudest_chart,
    off_axis_chart,
    reference_axis_chart,
    seat_chart,
    unsure_words,
    window_chart,
)
from acoustics.report.html.content import (
    SUMMARY,
    Block,
    Judged,
    Page,
    Points,
    Section,
    Verbatim,
    section,
)
from acoustics.report.html.conventions import convention_lines
from acoustics.report.html.pictures import (
    Drawn,
    hand_over_picture,
    height_pictures,
    layout_picture,
    map_picture,
    room_picture,
    schematic_picture,
)
from acoustics.report.html.plain_parts import blocks_of_part, blocks_of_text, first_paragraph
from acoustics.report.html.sources import source_lines
from acoustics.report.passive_crossover import impedance_words
from acoustics.report.summary import summary_of
from acoustics.report.summary_parts import Key, Told
from acoustics.studies.papers import Beside
from acoustics.studies.wording import ALL_ROUND, amount, beam, hertz

NO_BAND = "The predicted frequencies do not cover what ripple and tilt are judged over."


def report_page(
    case: Case,
    prediction: xr.Dataset,
    told: Told,
    draw: Callable[[], Drawn],
    found: Beside,
    made_by: str,
    verification: Section | None = None,
) -> Page:
    """Everything that a report says and shows.

    Args:
        case: the design.
        prediction: of that same design.
        told: what its summary says, by `summary_parts`.
        draw: gives its pictures, as `draw_pictures` does; asked late, as they take their time.
        found: what is known besides.
        made_by: program and version.
        verification: as `verification_section` makes it, where the finished thing was measured.
    """
    box = "" if found.box is None else box_text(found.box)
    responses, loud = _responses(prediction, told), _loud(prediction, told)
    enclosure = _enclosure(found, box)
    structure = section("structure", "Walls and boards", structure_blocks(case, found))
    drawn = draw()
    sections = (
        section(
            "layout",
            "Layout",
            layout_picture(drawn, prediction),
            room_picture(drawn, case, prediction),
        ),
        responses,
        _directivity(prediction, told, drawn),
        _seat(prediction, told, drawn),
        loud,
        enclosure,
        structure,
        _crossover(case, prediction, told, drawn),
        *(() if verification is None else (verification,)),
        _cautions(told),
        section(
            "basis",
            "How sure this is, and on whose word",
            _part(told, "basis"),
            Points(source_lines(case, prediction, found), "Sources"),
            Points(convention_lines(prediction), "Conventions"),
        ),
        section(SUMMARY, "The summary in full", Verbatim(summary_of(case, told))),
    )
    return Page(
        title=case.title,
        answer=told.answer,
        changes=(*_points(told, "changes"), *_of_ports(box)),
        judged=tuple(_judged(told)),
        figures=tuple(_key_figures(told, prediction, found)),
        sections=tuple(each for each in sections if each.blocks),
        made_by=made_by,
    )


def _part(told: Told, *keys: Key) -> list[Block]:
    return [block for part in told.parts if part.key in keys for block in blocks_of_part(part)]


def _judged(told: Told) -> Iterator[Judged]:
    """Points of the brief and aims, missed ones first, as their lines begin with the state."""
    lines = [line for part in told.parts if part.key in ("aims", "brief") for line in part.points]
    split = [line.partition(": ") for line in lines]
    for state, _, text in sorted(split, key=lambda one: one[0] == "met"):
        yield Judged(state, text)


def _of_ports(box: str) -> Iterator[str]:
    """What a box study finds wrong with a port, and what helps: told first, before the saw cut."""
    for block in blocks_of_text(box):
        if isinstance(block, Points):
            for line in block.lines:
                if line.startswith((TOO_FAST, TOO_LONG)):
                    yield f"Port: {line[0].lower()}{line[1:]}"
                elif line.startswith(HELPS):
                    yield f"Port: {line.removeprefix(HELPS)}"


def _responses(prediction: xr.Dataset, told: Told) -> Section:
    even = _points(told, "even")
    known = not np.isnan(told.answers.axis_ripple)
    unsure = unsure_words(prediction)
    room = to_the_room(told.answers)[0] if known else NO_BAND
    return section(
        "responses",
        "Responses",
        reference_axis_chart(prediction, _sure(even[0] if known else NO_BAND, unsure)),
        window_chart(prediction, _sure(room, unsure)),
        _part(told, "even"),
    )


def _directivity(prediction: xr.Dataset, told: Told, drawn: Drawn) -> Section:
    answers = told.answers
    main = prediction.sel(seat=[MAIN_SEAT])
    known = not np.isnan(answers.axis_ripple)
    narrow = beams(answers, main)[0] if known else NO_BAND
    alike = sides(answers, main) if known else []
    index = float(answers.power_index)
    mean = f"On average ahead is {amount(index, 'dB')} louder than all round." if known else NO_BAND
    ways = (("horizontal", 1), ("horizontal", -1), ("vertical", 1), ("vertical", -1))
    return section(
        "directivity",
        "Directivity",
        index_chart(prediction, mean),
        map_picture(drawn, "horizontal", " ".join([narrow, *alike])),
        map_picture(drawn, "vertical", narrow),
        [
            off_axis_chart(prediction, plane, side, _falls(prediction, plane, side))
            for plane, side in ways
        ],
    )


def _falls(prediction: xr.Dataset, plane: str, side: int) -> str:
    """How much less there is 60° off the axis, from the data: where it is most."""
    relative = off_axis_level(prediction).sel(plane=plane).sel(angle=side * 60.0, method="nearest")
    inside = in_band(relative.frequency.values, BAND)
    if not inside.any():
        return NO_BAND
    band = relative.isel(frequency=inside)
    at = int(band.values.argmin())
    angle = abs(float(band.angle))
    return (
        f"From {hertz(BAND[0])} to {hertz(BAND[1])} the level at {angle:g}° is at most "
        f"{amount(-float(band[at]), 'dB')} below the axis, at {hertz(float(band.frequency[at]))}."
    )


def _seat(prediction: xr.Dataset, told: Told, drawn: Drawn) -> Section:
    heights = _points(told, "seat")
    room = _points(told, "room")
    return section(
        "seat",
        "Seat, ears and room",
        seat_chart(prediction, room[0] if room else heights[-1]),
        height_pictures(drawn, prediction, heights),
        _part(told, "seat", "room"),
    )


def _loud(prediction: xr.Dataset, told: Told) -> Section:
    points = _points(told, "loud")
    chart = loudest_chart(prediction, points[min(2, len(points) - 1)]) if points else None
    return section("loudness", "How loud it plays", chart, _part(told, "loud"))


def _enclosure(found: Beside, text: str) -> Section:
    if found.box is None:
        return section("enclosure", "Enclosure", Points((f"Not told: {found.box_left_out}",)))
    about = first_paragraph(text)
    names = list(map(str, found.box.enclosure.values))
    charts = [
        chart
        for number, name in enumerate(names, start=1)
        for chart in box_charts(found.box, name, number, about)
    ]
    return section(
        "enclosure",
        "Enclosure",
        charts,
        blocks_of_text(text, leave_out=("", "Before you build and measure")),
    )


def _crossover(case: Case, prediction: xr.Dataset, told: Told, drawn: Drawn) -> Section:
    handed = _points(told, "hand over")
    passive = _points(told, "passive")
    papers = papers_text(case, prediction)
    largest = _largest_gains(prediction)
    return section(
        "crossover",
        "Crossover",
        schematic_picture(drawn, passive[0]) if passive else None,
        impedance_chart(prediction, impedance_words(case, prediction)) if passive else None,
        filters_chart(prediction, largest),
        hand_over_picture(drawn, handed),
        _part(told, "hand over", "passive", "processor"),
        blocks_of_text(papers, leave_out=("",)) if papers else None,
    )


def _largest_gains(prediction: xr.Dataset) -> str:
    """Where each filter lets most through."""
    gains = np.abs(prediction["filter"].transpose("driver", "frequency").values)
    at = gains.argmax(axis=1)
    frequency = prediction.frequency.values
    told = [
        f"{name} {amount(20 * float(np.log10(gain[i])), 'dB')} at {hertz(float(frequency[i]))}"
        for name, gain, i in zip(prediction.driver.values, gains, at, strict=True)
        if gain[i] > 0
    ]
    return f"Each driver gets most at: {', '.join(told)}."


def _cautions(told: Told) -> Section:
    own = _points(told, "cautions")
    return section(
        "cautions",
        "Before you build and measure",
        Points((*own[:-1], *OF_BOARDS, CAUTIONS[-1])),
    )


def _key_figures(told: Told, prediction: xr.Dataset, found: Beside) -> Iterator[tuple[str, str]]:
    """Names and values of what is asked first, as far as they are known."""
    one = told.answers
    distance = f"{prediction.attrs['reference_distance']:g} m"
    if np.isfinite(one.axis_level):
        yield f"Level on the axis, {distance}, 2.83 V", amount(float(one.axis_level), "dB")
        yield "Ripple, listening window", f"±{amount(float(one.window_ripple), 'dB')}"
        yield "Ripple no filter mends", f"±{amount(float(one.relative_ripple), 'dB')}"
        yield "Directivity index", amount(float(one.power_index), "dB")
    width = one.least_beamwidth.sel(plane="horizontal")
    if np.isfinite(width):
        value = float(width)
        yield "Narrowest beam, left to right", beam(value) if value < ALL_ROUND else "all round"
    if found.box is not None and np.isfinite(found.box.f6).any():
        yield "Box alone, 6 dB down at", hertz(float(found.box.f6.min()))
    spans = main_listeners(one, prediction.sel(seat=[MAIN_SEAT])).height_span
    if np.isfinite(spans).all():
        yield "Ears may move up and down", amount(float(spans.min()), "m")
    if heavy := weight(found):
        yield heavy


def _points(told: Told, key: Key) -> tuple[str, ...]:
    part = told.part(key)
    return () if part is None else part.points


def _sure(sentence: str, unsure: str) -> str:
    return f"{sentence} {unsure}".strip()
