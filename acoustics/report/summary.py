"""The plain-language summary of a prediction."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.case.model import Case
from acoustics.conventions import MAIN_SEAT
from acoustics.listening import first_answers, hold, judge_aims, unreached
from acoustics.listening.loudest import some_limit_known
from acoustics.report.advice import advice
from acoustics.report.aim_lines import aim_lines, first_line
from acoustics.report.at_the_seat import room_for_ears, seat_heading, seat_table
from acoustics.report.basis import basis
from acoustics.report.brief_lines import brief_lines
from acoustics.report.cautions import CAUTIONS, OF_PASSIVE_PARTS
from acoustics.report.evenness import evenness
from acoustics.report.hand_over import hand_over
from acoustics.report.how_loud import how_loud
from acoustics.report.in_the_room import surface_lines, whole_response
from acoustics.report.passive_crossover import impedance_hint, passive_crossover
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.polarity_hint import polarity_hints
from acoustics.report.processor import processor_points
from acoustics.studies.surfaces import surfaces_of


def summary(case: Case, prediction: xr.Dataset) -> str:
    """Say in plain words what a design does and whether that is good.

    Args:
        case: the design.
        prediction: the prediction of that same design.

    Returns:
        Text of 88 columns, ending in a newline; its start says whether it is good, what of
        the brief is met, what to change and which aims are met.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    main = prediction.sel(seat=[MAIN_SEAT])
    answers = first_answers(case, main)
    verdicts = judge_aims(case, main)
    held = hold(case, main)
    faults = unreached(case, prediction)
    short = " A driver does not reach its acoustic target." if faults else ""
    answer = first_line(verdicts, held) + short
    parts = [f"{case.title}\n{'=' * len(case.title)}", paragraph(answer)]
    if case.brief is not None and held:
        parts.append(_section("The brief", brief_lines(case.brief, held)))
    changes = [
        *(f"{fault.message}." for fault in faults),
        *polarity_hints(case, prediction),
        *impedance_hint(case, prediction),
        *advice(verdicts),
    ]
    if changes:
        parts.append(_section("What to change", changes))
    if verdicts:
        parts.append(_section("Aims (± is the error of the calculation)", aim_lines(verdicts)))
    even = evenness(case, answers, main)
    seats = seat_table(prediction)
    parts.append(_section("How even it sounds (300 Hz to 10 kHz, 1/6 octave)", even))
    if handed := hand_over(main):
        parts.append(_section("How the drivers hand over", handed))
    parts += [
        _section(seat_heading(case), room_for_ears(answers, main), seats),
    ]
    if surfaces_of(prediction):
        points, table = whole_response(main)
        lines = [*surface_lines(answers, main), *points]
        parts.append(_section("What the room does at the seat", lines, table))
    if some_limit_known(prediction):
        parts.append(_section("How loud", *how_loud(case, main)))
    cautions = list(CAUTIONS)
    if "input_impedance" in prediction:
        parts.append(_section("The passive crossover", *passive_crossover(case, prediction)))
        cautions[-1:-1] = OF_PASSIVE_PARTS
    if case.processor is not None:
        parts.append(_section("The digital processor", processor_points(case, prediction)))
    parts += [
        _section("How sure this is", basis(case, answers, prediction)),
        _section("Before you build and measure", cautions),
    ]
    return "\n\n".join(parts) + "\n"


def _section(title: str, points: Sequence[str], after: str = "") -> str:
    text = "\n".join([heading(title), *(bullet(point) for point in points)])
    return f"{text}\n\n{after}" if after else text
