"""How flat a map is round its best place: how exactly the hole must be where it is best."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import ndimage

from acoustics.studies.driver_map.face_places import FacePlaces

LEAST_WORSE, SHARE_WORSE = 0.1, 0.1
"""dB, and of the best figure: places worse by no more than the larger of the two are as good"""


@dataclass(frozen=True)
class Best:
    """The best place of a map and the places round it that are as good, connected to it.

    index (up, right) in the map; `within` dB makes places as good; `left`, `right`, `down` and `up`
    are how far the region reaches from the best place, m, along the rows through it; `area` m².
    """

    index: tuple[int, int]
    within: float
    left: float
    right: float
    down: float
    up: float
    area: float

    def attributes(self) -> dict[str, Any]:
        """For a Dataset's attributes."""
        sizes = ("within", "left", "right", "down", "up", "area")
        return {f"best_{name}": getattr(self, name) for name in sizes}


def best_place(lattice: FacePlaces, metric: np.ndarray, sense: int) -> Best:
    """Find the best allowed place, and how far one may go from it.

    Of places that are equally good the one nearest the middle of the face is taken.

    Args:
        lattice: the places.
        metric: dB, (up, right).
        sense: 1 where less is better, −1 where more is.
    """
    cost = np.where(lattice.allowed & np.isfinite(metric), sense * metric, np.inf)
    least = float(cost.min())
    away = np.hypot(*np.meshgrid(lattice.right, lattice.up))
    alike = cost <= least + 1e-9
    index = np.unravel_index(np.argmin(np.where(alike, away, np.inf)), cost.shape)
    row, column = int(index[0]), int(index[1])
    within = max(LEAST_WORSE, SHARE_WORSE * abs(least) if sense > 0 else 0.0)
    regions, _ = ndimage.label(cost <= least + within)
    region = regions == regions[row, column]
    across, along = _stretch(region[row], column), _stretch(region[:, column], row)
    return Best(
        index=(row, column),
        within=within,
        left=float(lattice.right[column] - lattice.right[across[0]]),
        right=float(lattice.right[across[1]] - lattice.right[column]),
        down=float(lattice.up[row] - lattice.up[along[0]]),
        up=float(lattice.up[along[1]] - lattice.up[row]),
        area=float(region.sum() * _step(lattice.right) * _step(lattice.up)),
    )


def _stretch(line: np.ndarray, place: int) -> tuple[int, int]:
    """First and last index of the unbroken run of true values round a place."""
    low = high = place
    while low > 0 and line[low - 1]:
        low -= 1
    while high < line.size - 1 and line[high + 1]:
        high += 1
    return low, high


def _step(line: np.ndarray) -> float:
    return float(line[1] - line[0]) if line.size > 1 else 0.0
