"""What was set right before anything was compared, as a Dataset."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.conventions import Variable
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.healthy.aligned import Aligned

_EACH = ("aligned",)

ALIGNED: dict[str, Variable] = {
    "aligned": Variable(_EACH, "1", "what was set right before the comparison"),
    "aligned_value": Variable(_EACH, "1", "value that was found, in its unit"),
    "aligned_deviation": Variable(_EACH, "1", "standard deviation of that, in its unit"),
    "aligned_unit": Variable(_EACH, "1", "unit of both"),
    "aligned_words": Variable(_EACH, "1", "what lies outside what is stated of it, else nothing"),
}
"""Variables and coordinates of `aligned_dataset`."""


def aligned_dataset(found: Aligned) -> xr.Dataset:
    """Level, delays and microphone with how well they are known, dims (aligned)."""
    return labelled(
        {
            "aligned": np.array([each.name for each in found.unknowns], dtype=str),
            "aligned_value": np.array([each.value for each in found.unknowns], dtype=float),
            "aligned_deviation": np.array([each.deviation for each in found.unknowns], dtype=float),
            "aligned_unit": np.array([each.unit for each in found.unknowns], dtype=str),
            "aligned_words": np.array([each.words for each in found.unknowns], dtype=str),
        },
        {},
        {},
        ALIGNED,
    )
