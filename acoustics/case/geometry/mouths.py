"""What openings and frames cover of a face, and how far apart they are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from acoustics.case.design.enclosure_model import Port

RIM = 24
"""points of a round mouth's rim that are looked at"""


@dataclass(frozen=True)
class Mouth:
    """A disc or a rectangle on a face: centre [right, up] from the face's, m.

    `half` are half the width and half the height of a rectangle, `radius` is a disc's.
    """

    centre: tuple[float, float]
    half: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0

    @property
    def rim(self) -> np.ndarray:
        """Points of the rim, a rectangle's corners, shape (point, 2), m."""
        if self.radius:
            turns = 2 * np.pi * np.arange(RIM) / RIM
            around = self.radius * np.stack([np.cos(turns), np.sin(turns)], axis=1)
        else:
            around = np.array(self.half) * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        points: np.ndarray = np.array(self.centre) + around
        return points


def mouth_of(port: Mapping[str, Any]) -> Mouth:
    """The mouth of a port, from the values of its table."""
    right, up = port["position"]
    if port["diameter"] is not None:
        return Mouth((right, up), radius=port["diameter"] / 2)
    return Mouth((right, up), half=(port["width"] / 2, port["height"] / 2))


def port_mouth(port: Port) -> Mouth:
    """The mouth of a checked port."""
    if port.slot:
        return Mouth(port.position, half=(port.size[0] / 2, port.size[1] / 2))
    return Mouth(port.position, radius=port.size[0] / 2)


def gap(one: Mouth, other: Mouth) -> float:
    """Distance between two on one face, m; 0 or negative where they overlap."""
    across, up = (
        max(abs(one.centre[i] - other.centre[i]) - one.half[i] - other.half[i], 0.0) for i in (0, 1)
    )
    return math.hypot(across, up) - one.radius - other.radius
