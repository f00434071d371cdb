"""What a summary of a prediction says, part by part, for every paper that tells it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import MAIN_SEAT
from acoustics.listening import hold, judge_aims, key_figures, unreached
from acoustics.listening.loudest import some_limit_known
from acoustics.listening.surfaces import surfaces_of
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
from acoustics.report.polarity_hint import polarity_hints
from acoustics.report.processor import processor_points

Key = Literal[
    "brief", "changes", "aims", "even", "hand over", "seat", "room", "loud", "passive",
    "processor", "basis", "cautions",
]  # fmt: skip
"""What a part is about."""


@dataclass(frozen=True)
class Part:
    """One part of a summary.

    Args:
        key: what it is about.
        title: its heading.
        points: sentences.
        table: laid out by `plain_text.columns`; "" for none.
    """

    key: Key
    title: str
    points: tuple[str, ...]
    table: str = ""


@dataclass(frozen=True)
class Told:
    """All that a summary says.

    Args:
        answer: whether the design is good, in a sentence or two.
        parts: in the order in which they are told.
        answers: the figures behind them, as `listening.key_figures` gives them.
    """

    answer: str
    parts: tuple[Part, ...]
    answers: xr.Dataset

    def part(self, key: Key) -> Part | None:
        """The part about something; None where there is nothing to tell of it."""
        return next((part for part in self.parts if part.key == key), None)


def summary_parts(case: Case, prediction: xr.Dataset) -> Told:
    """Say whether a design is good, and everything that stands behind that.

    Args:
        case: the design.
        prediction: the prediction of that same design.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    main = prediction.sel(seat=[MAIN_SEAT])
    answers = key_figures(case, main)
    verdicts = judge_aims(case, main)
    held = hold(case, main)
    faults = unreached(case, prediction)
    short = " A driver does not reach its acoustic target." if faults else ""
    answer = first_line(verdicts, held) + short
    parts: list[Part] = []
    if case.brief is not None and held:
        parts.append(_part("brief", "The brief", brief_lines(case.brief, held)))
    changes = [
        *(f"{fault.message}." for fault in faults),
        *polarity_hints(case, prediction),
        *impedance_hint(case, prediction),
        *advice(verdicts),
    ]
    if changes:
        parts.append(_part("changes", "What to change", changes))
    if verdicts:
        parts.append(_part("aims", "Aims (± is the error of the calculation)", aim_lines(verdicts)))
    even = evenness(case, answers, main)
    seats = seat_table(prediction)
    parts.append(_part("even", "How even it sounds (300 Hz to 10 kHz, 1/6 octave)", even))
    if handed := hand_over(main):
        parts.append(_part("hand over", "How the drivers hand over", handed))
    parts += [
        _part("seat", seat_heading(case), room_for_ears(answers, main), seats),
    ]
    if surfaces_of(prediction):
        points, table = whole_response(main)
        lines = [*surface_lines(answers, main), *points]
        parts.append(_part("room", "What the room does at the seat", lines, table))
    if some_limit_known(prediction):
        parts.append(_part("loud", "How loud", *how_loud(case, main)))
    cautions = list(CAUTIONS)
    if "input_impedance" in prediction:
        parts.append(
            _part("passive", "The passive crossover", *passive_crossover(case, prediction))
        )
        cautions[-1:-1] = OF_PASSIVE_PARTS
    if case.processor is not None:
        parts.append(
            _part("processor", "The digital processor", processor_points(case, prediction))
        )
    parts += [
        _part("basis", "How sure this is", basis(case, answers, prediction)),
        _part("cautions", "Before you build and measure", cautions),
    ]
    return Told(answer, tuple(parts), answers)


def _part(key: Key, title: str, points: Sequence[str], table: str = "") -> Part:
    return Part(key, title, tuple(points), table)
