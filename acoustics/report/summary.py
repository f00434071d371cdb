"""The plain-language summary of a prediction."""

from __future__ import annotations

import xarray as xr

from acoustics.case.model import Case
from acoustics.listening import first_answers, judge_aims
from acoustics.report.advice import advice
from acoustics.report.aim_lines import aim_line, first_line
from acoustics.report.basis import CAUTIONS, WHO_DECIDES, basis
from acoustics.report.findings import (
    around_crossovers,
    beam_table,
    off_axis,
    on_axis,
    over_the_floor,
)
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.polarity_hint import polarity_hints


def summary(case: Case, prediction: xr.Dataset) -> str:
    """Say in plain words what a design does and whether that is good.

    Args:
        case: the design.
        prediction: the prediction of that same design.

    Returns:
        Text of 88 columns, ending in a newline; its start says whether it is good and what to
        change.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    answers = first_answers(case, prediction)
    verdicts = judge_aims(case, prediction)
    parts = [f"{case.title}\n{'=' * len(case.title)}", paragraph(first_line(verdicts))]
    changes = [*polarity_hints(prediction), *advice(verdicts)]
    if changes:
        parts.append(_section("What to change", changes))
    if verdicts:
        parts.append(_section("Aims", [aim_line(verdict) for verdict in verdicts]))
    parts += [
        _section("On the reference axis", on_axis(answers, prediction)),
        _section("Off the axis", off_axis(answers), beam_table(answers)),
        _section("Sitting lower, standing up (lobing)", around_crossovers(answers, prediction)),
        _section("Off the floor", over_the_floor(answers, prediction)),
        _section("What this rests on", basis(case, prediction)),
        _section("Before you build and measure", CAUTIONS, paragraph(WHO_DECIDES)),
    ]
    return "\n\n".join(parts) + "\n"


def _section(title: str, points: list[str] | tuple[str, ...], after: str = "") -> str:
    text = "\n".join([heading(title), *(bullet(point) for point in points)])
    return f"{text}\n\n{after}" if after else text
