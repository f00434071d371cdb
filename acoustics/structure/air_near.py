"""How much of the air mass close to an opening a finite sum of standing waves accounts for."""

from __future__ import annotations

import numpy as np
from scipy.special import sici

from acoustics.structure.air_modes import AirModes
from acoustics.structure.air_places import Opening


def near_masses(modes: AirModes, openings: tuple[Opening, ...]) -> np.ndarray:
    """Mass of the air near each opening that the terms of a sum hold, kg/m⁴, shape (opening,).

    Far below the highest terms, a sum of standing waves as far as the wavenumber k is one over
    mirror images, ρ/(4πr)·(2/π) Si(kr) each: what the sum leaves of the mass between two points
    (∫ sin kr/kr over all waves shorter than k; Poisson's summation, own derivation). The opening's
    own part, and on a wall that of its image behind it, is the air that moves with it in free air,
    too. As k grows it becomes the 8ρ/3π²a of a disc in a wall; how much of that a sum holds is an
    accident of where it ends.

    A driver's moving mass and a port's end correction have this air already.

    Args:
        modes: whose terms are summed.
        openings: drivers and passive radiators in a wall, ports that open before one.
    """
    top = 2 * np.pi * float(modes.terms[-1]) / modes.air.speed_of_sound
    answer = []
    for opening in openings:
        apart = np.linalg.norm(opening.points[:, None] - opening.points, axis=-1)
        far = apart > 0
        held = np.where(far, sici(top * apart)[0] / np.where(far, apart, 1.0), top)
        images = 1.0 if opening.kind == "port" else 2.0
        mean = float(opening.weights @ held @ opening.weights)
        answer.append(images * modes.air.density / (2 * np.pi**2) * mean)
    return np.array(answer)
