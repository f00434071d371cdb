"""The band in which a reading can be trusted."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import FrequencyGrid
from acoustics.case.files.curve_files import band_words
from acoustics.conventions import RoundoverError

FEWEST = 5
"""frequencies of a reading within its band: fewer say nothing of a shape"""


def trusted_band(
    frequency: np.ndarray, stated: tuple[float, float] | None, grid: FrequencyGrid
) -> tuple[float, float]:
    """Where a reading is held against a prediction, Hz: as stated, and where both have something.

    Args:
        frequency: of the reading, Hz, ascending, shape (frequency,).
        stated: Hz, None for all of it.
        grid: of the prediction.

    Raises:
        RoundoverError: nothing in common, or too little.
    """
    own = float(frequency[0]), float(frequency[-1])
    asked = stated or own
    low = max(own[0], asked[0], grid.lowest)
    high = min(own[1], asked[1], grid.highest)
    count = int(np.count_nonzero((frequency >= low) & (frequency <= high)))
    if count >= FEWEST:
        return low, high
    many = "nothing" if count == 0 else f"only {count} frequenc{'y' if count == 1 else 'ies'}"
    limits = "" if stated is None else f", the band stated for it from {band_words(*stated)}"
    raise RoundoverError(
        f"goes from {band_words(*own)}{limits} and the case from "
        f"{band_words(grid.lowest, grid.highest)}: {many} in common, and {FEWEST} are needed; "
        "measure there, or change band, frequencies.lowest or frequencies.highest"
    )
