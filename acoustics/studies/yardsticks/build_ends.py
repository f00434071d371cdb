"""The ends of the band within which differences between builds lie."""

from __future__ import annotations

import numpy as np


def ends_of(differences: np.ndarray, band: float) -> tuple[np.ndarray, np.ndarray]:
    """Values between which a share of differences lies, as many below as above.

    A difference that is not known in some pair of builds counts as none there.

    Args:
        differences: shape (build, …).
        band: the share, 0 to 1.

    Returns:
        Both ends, shape (…), linear between the builds next to them.
    """
    known = np.where(np.isfinite(differences), differences, 0.0)
    # 5, not 4.999…
    shares = np.round(50 * np.array([1 - band, 1 + band]), 9)
    low, high = np.percentile(known, shares, axis=0, method="linear")
    return low, high
