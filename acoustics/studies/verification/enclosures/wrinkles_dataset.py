"""Narrow wrinkles of impedances as a Dataset."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import xarray as xr

from acoustics.conventions import Variable
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.enclosures.wrinkles_found import WrinkleFound

_WRINKLE = ("wrinkle",)

WRINKLES: dict[str, Variable] = {
    "wrinkle": Variable(_WRINKLE, "1", "number of a narrow wrinkle of an impedance"),
    "wrinkle_reading": Variable(_WRINKLE, "1", "the impedance that shows it"),
    "wrinkle_frequency": Variable(_WRINKLE, "Hz", "where it is"),
    "wrinkle_size": Variable(_WRINKLE, "ohm", "its size"),
    "wrinkle_share": Variable(_WRINKLE, "1", "its size as a share of the impedance there"),
    "wrinkle_q": Variable(_WRINKLE, "1", "its Q"),
    "wrinkle_words": Variable(_WRINKLE, "1", "what may make it, in words"),
}
"""Variables and coordinates of narrow wrinkles."""


def wrinkles_dataset(found: Sequence[WrinkleFound]) -> xr.Dataset:
    """Narrow wrinkles of impedances, dims (wrinkle)."""

    def numbers(value: Callable[[WrinkleFound], float]) -> np.ndarray:
        return np.array([value(each) for each in found], dtype=float)

    return labelled(
        {
            "wrinkle": np.arange(1, len(found) + 1),
            "wrinkle_reading": np.array([each.reading for each in found], dtype=str),
            "wrinkle_frequency": numbers(lambda each: each.wrinkle.frequency),
            "wrinkle_size": numbers(lambda each: each.wrinkle.size),
            "wrinkle_share": numbers(lambda each: each.wrinkle.share),
            "wrinkle_q": numbers(lambda each: each.wrinkle.q),
            "wrinkle_words": np.array([each.words for each in found], dtype=str),
        },
        {},
        {},
        WRINKLES,
    )
