"""Which surfaces reflect at all, and which of their dips deserve a word."""

from __future__ import annotations

import xarray as xr

from acoustics.conventions import DIRECT

WORTH_TELLING = 1.0
"""dB: a deepest dip that is deeper than the first by no more is left unsaid"""


def surfaces_of(prediction: xr.Dataset) -> tuple[str, ...]:
    """Names of the surfaces from which sound comes back; one that reflects nothing counts as none.

    Args:
        prediction: as `predict` makes it, or as one listener hears it.
    """
    names = (str(name) for name in prediction.path.values if name != DIRECT)
    return tuple(name for name in names if bool((prediction.reflection.sel(path=name) != 0).any()))


def deeper(answers: xr.Dataset) -> xr.DataArray:
    """Tell where a surface's deepest dip is worth telling beside its first.

    Args:
        answers: as `key_figures` gives them.

    Returns:
        Boolean, dims as `dip_depth`.
    """
    first = answers.dip_depth.fillna(0.0)
    return answers.deepest_dip_depth > first + WORTH_TELLING
