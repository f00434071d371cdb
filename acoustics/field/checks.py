"""What the field solver refuses before it starts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from acoustics.cabinet import Body, Piston
from acoustics.cabinet.corner_list import point_text
from acoustics.conventions import GeometryError
from acoustics.field.grid import EdgeTable, feet_on_edge
from acoustics.field.resolution import TIERS

LEAST_EDGE_DISTANCE = 1e-4
"""m: nearer to an edge than this the pressure itself varies without bound in direction."""

FARTHEST = 1e6
"""m: beyond it distances lose the digits that phases need."""

LEAST_APART = 1e-6
"""m: centres nearer than this are one and the same."""


def checked_receivers(receivers: np.ndarray) -> np.ndarray:
    """A float copy of receivers, shape (receiver, 3), m.

    Raises:
        ValueError: no receiver, another shape, or one that is not finite or too far away.
    """
    receivers = np.array(receivers, dtype=float)
    if receivers.ndim != 2 or receivers.shape[1] != 3 or receivers.shape[0] == 0:
        raise ValueError(
            f"receivers must be at least one point, shape (n, 3), not {receivers.shape}"
        )
    if not (np.abs(receivers) <= FARTHEST).all():
        raise ValueError(f"receivers must be finite, within {FARTHEST:g} m")
    return receivers


def checked_frequency(frequency: np.ndarray) -> np.ndarray:
    """A float copy of frequencies in Hz, shape (frequency,).

    Raises:
        ValueError: no frequency, another shape, or one that is not positive and finite.
    """
    frequency = np.array(frequency, dtype=float)
    if frequency.ndim != 1 or frequency.size == 0:
        raise ValueError(f"frequency must be at least one, shape (m,), not {frequency.shape}")
    if not (np.isfinite(frequency).all() and (frequency > 0).all()):
        raise ValueError("frequencies must be positive and finite, in Hz")
    return frequency


def checked_accuracy(accuracy: float) -> float:
    """The accuracy, dB.

    Raises:
        ValueError: finer than the finest there is, or no number.
    """
    if not (math.isfinite(accuracy) and accuracy >= min(TIERS) * (1 - 1e-9)):
        raise ValueError(f"accuracy must be {min(TIERS):g} dB or more, not {float(accuracy):g}")
    return accuracy


def refuse_inside(body: Body, edges: EdgeTable, receivers: np.ndarray) -> None:
    """Refuse receivers inside the body or on an edge."""
    inside = np.flatnonzero(body.heights_above_faces(receivers).max(axis=1) < 0.0)
    if inside.size:
        raise GeometryError(
            f"receiver {inside[0]} at {point_text(receivers[inside[0]])} is inside the body; "
            "move it outside"
        )
    for edge in range(edges.length.size):
        foot, rho = feet_on_edge(edges, edge, receivers)
        beyond = np.maximum(np.maximum(-foot, foot - edges.length[edge]), 0.0)
        on = np.flatnonzero(np.hypot(rho, beyond) < LEAST_EDGE_DISTANCE)
        if on.size:
            raise GeometryError(
                f"receiver {on[0]} at {point_text(receivers[on[0]])} lies on an edge of the body; "
                f"move it at least {LEAST_EDGE_DISTANCE * 1e3:g} mm away"
            )


def refuse_coincident(pistons: Sequence[Piston]) -> None:
    """Refuse one and the same piston twice. Alternatives for one place may overlap."""
    for index, one in enumerate(pistons):
        for other in pistons[:index]:
            apart = float(np.linalg.norm(np.subtract(one.centre, other.centre)))
            if apart < LEAST_APART and replace(one, centre=other.centre) == other:
                raise GeometryError(
                    f"two pistons coincide at {point_text(np.array(one.centre))}; move one of "
                    "them, or leave it out and give the other the volume velocity of both"
                )
