"""Every number by which designs are compared, each beside its uncertainty."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.listening import Listener, key_figures
from acoustics.listening.to_the_sides import side_ripple
from acoustics.listening.uncertainty import answer_uncertainty

UNCERTAINTY = "_uncertainty"
"""ends the name of the variable that holds a number's uncertainty"""

ABOVE = "_above"
"""stands before that where a number may be larger by something else than it may be smaller"""


def numbers_of(case: Case, prediction: xr.Dataset) -> xr.Dataset:
    """The first answers, the ripple to the sides, and how far each number may be off.

    Args:
        case: the design.
        prediction: the prediction of that same design.

    Returns:
        `plain_numbers`, and for each number a variable of the same dims and unit whose name ends in
        "_uncertainty"; for depths of dips that is how much shallower they may be, and how much
        deeper ends in "_above_uncertainty".

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    answers = plain_numbers(case, prediction)
    spreads = answer_uncertainty(prediction, answers)
    return answers.assign({f"{name}{UNCERTAINTY}": spreads[name] for name in spreads.data_vars})


def plain_numbers(
    case: Case, prediction: xr.Dataset, who: Sequence[Listener] | None = None
) -> xr.Dataset:
    """The same without how far they may be off.

    Args:
        case: the design.
        prediction: the prediction of that same design.
        who: the listeners; all of them if left out.

    Returns:
        `listening.key_figures` with side_ripple (side_angle), dB. A surface that makes no dip has
        one of depth 0. Lobes between arc angles too far apart for them are NaN.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    answers = key_figures(case, prediction, who).assign(side_ripple=side_ripple(prediction))
    if "surface" in answers.dims:
        for name in ("dip", "deepest_dip"):
            depth = answers[f"{name}_depth"]
            unknown = answers[f"{name}_note"] != ""
            answers[f"{name}_depth"] = depth.where(depth.notnull() | unknown, 0.0)
    for name in ("lobe_direction", "lobe_gain", "aside_direction", "aside_gain"):
        answers[name] = answers[name].where(answers.lobe_sampled)
    return answers
