"""How much a surface sends back."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Surface
from acoustics.conventions import Air
from acoustics.room.porous import surface_impedance


def plane_wave_reflection(impedance: np.ndarray, cosine: np.ndarray) -> np.ndarray:
    """Pressure reflection factor of a locally reacting surface: (Z cos θ − 1)/(Z cos θ + 1).

    Kuttruff, Room Acoustics, ch. 2 (from memory). Plane waves: at grazing incidence over a soft
    surface a spherical wave is reflected somewhat differently.

    Args:
        impedance: over ρc, complex, shape broadcast with that of `cosine`.
        cosine: of the angle of incidence from the normal.
    """
    answer: np.ndarray = (impedance * cosine - 1) / (impedance * cosine + 1)
    return answer


def reflection_factor(
    surface: Surface, cosine: np.ndarray, frequency: np.ndarray, air: Air
) -> np.ndarray:
    """Pressure reflection factor of a surface of the case.

    Args:
        surface: with a reflection factor alike at all frequencies and angles, or an absorber.
        cosine: of the angle of incidence from the normal, shape (…).
        frequency: Hz, shape (frequency,).
        air: the medium.

    Returns:
        Complex, shape (…, frequency).
    """
    if surface.absorber is None:
        return np.full((*np.shape(cosine), frequency.size), complex(surface.reflection))
    impedance = surface_impedance(surface.absorber, frequency, air)
    return plane_wave_reflection(impedance, np.asarray(cosine)[..., None])
