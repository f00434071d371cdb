"""The plain-language summary of a prediction."""

from __future__ import annotations

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.summary_parts import Part, Told, summary_parts


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

    Example:
        >>> print(ac.summary(case, ac.predict(case)))  # doctest: +SKIP
    """
    return summary_of(case, summary_parts(case, prediction))


def summary_of(case: Case, told: Told) -> str:
    """The same of what is told already."""
    head = f"{case.title}\n{'=' * len(case.title)}"
    return "\n\n".join([head, paragraph(told.answer), *map(_section, told.parts)]) + "\n"


def _section(part: Part) -> str:
    text = "\n".join([heading(part.title), *(bullet(point) for point in part.points)])
    return f"{text}\n\n{part.table}" if part.table else text
