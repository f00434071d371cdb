"""Room coordinates and each cabinet's own.

In the room, x counts to the right from the middle (between the cabinets of a pair, else the single
cabinet), y up from the floor, z from the plane of the front-face centres toward the listener. The
right cabinet of a pair is the mirror image of the left one, so what it sends to a point is what
the left one sends to that point's mirror image: its coordinates are those of the mirrored point.
"""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Cabinet, Placement
from acoustics.case.geometry.shape import uncut_body
from acoustics.conventions import SINGLE, SPEAKERS


def speakers(placement: Placement) -> tuple[str, ...]:
    """The cabinets that play, by name."""
    return SPEAKERS if placement.pair else (SINGLE,)


def to_cabinet(
    points: np.ndarray, speaker: str, placement: Placement, cabinet: Cabinet
) -> np.ndarray:
    """Points of the room in a cabinet's own coordinates.

    Args:
        points: m, shape (…, 3).
        speaker: which cabinet, one of `speakers`.
        placement: where it stands and how far it is turned.
        cabinet: for its height above the floor.

    Returns:
        m, shape (…, 3); the right cabinet's are mirrored.
    """
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    across = _side(speaker) * x + placement.spacing / 2
    cosine, sine = _turn(placement)
    return np.stack(
        [across * cosine - z * sine, y + cabinet.floor_level, across * sine + z * cosine], axis=-1
    )


def to_room(points: np.ndarray, speaker: str, placement: Placement, cabinet: Cabinet) -> np.ndarray:
    """Undo `to_cabinet`."""
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    cosine, sine = _turn(placement)
    across = x * cosine + z * sine - placement.spacing / 2
    return np.stack(
        [_side(speaker) * across, y - cabinet.floor_level, z * cosine - x * sine], axis=-1
    )


def clear_of(points: np.ndarray, cabinet: Cabinet, margin: float) -> np.ndarray:
    """Whether points are clear of a cabinet's outline in plan, at whatever height.

    Args:
        points: in the cabinet's own coordinates, m, shape (…, 3).
        cabinet: the cabinet.
        margin: m.

    Returns:
        Boolean, shape (…).
    """
    corners = uncut_body(cabinet).points[:, [0, 2]]
    plan = points[..., [0, 2]]
    outside = (plan > corners.max(axis=0) + margin) | (plan < corners.min(axis=0) - margin)
    answer: np.ndarray = outside.any(axis=-1)
    return answer


def _side(speaker: str) -> float:
    return -1.0 if speaker == SPEAKERS[1] else 1.0


def _turn(placement: Placement) -> tuple[float, float]:
    angle = np.deg2rad(placement.toe_in)
    return float(np.cos(angle)), float(np.sin(angle))
