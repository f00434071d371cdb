"""Whether there is a floor at all, and which of its dips deserves a word."""

from __future__ import annotations

import xarray as xr

WORTH_TELLING = 1.0
"""dB: a deepest dip that is deeper than the first by no more is left unsaid"""


def has_floor(prediction: xr.Dataset) -> bool:
    """Whether sound comes back from a floor; one that reflects nothing counts as none."""
    return float(prediction.attrs["floor_reflection"]) != 0


def deeper(answers: xr.Dataset) -> xr.DataArray:
    """Tell at which ear heights the floor's deepest dip is worth telling beside the first.

    Args:
        answers: as `first_answers` gives them.

    Returns:
        Boolean, dims as `dip_depth`.
    """
    first = answers.dip_depth.fillna(0.0)
    return answers.deepest_dip_depth > first + WORTH_TELLING
