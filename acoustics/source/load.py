"""What the air on this cabinet does to everything that moves on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import xarray as xr
from scipy.special import j1, struve

from acoustics.cabinet import Piston
from acoustics.case.design.model import Case
from acoustics.conventions import Air
from acoustics.field.impedance import radiation_impedance
from acoustics.source.pistons import Pistons, all_pistons
from acoustics.source.radiators import radiators_of

SOLVED_TO = 1000.0
"""Hz: up to here the cabinet counts."""

BAFFLED_FROM = 2000.0
"""Hz: from here on every piston is taken to sit in an infinite baffle. What the edges send back is
by then less than a hundredth of the mass of any cone; in between the one passes into the other."""

ACCURACY = 1.0
"""dB asked of the field solver."""


def radiation_load(
    case: Case, frequency: np.ndarray, *, solve: Callable[..., xr.DataArray] | None = None
) -> np.ndarray:
    """Radiation impedance of everything that moves on a cabinet, by the field solver.

    The pressure that a radiator feels, the mean over its pistons, for the volume velocity of
    another; on an open baffle the difference of both sides. Of a port only what this cabinet adds
    to the end correction of an infinite baffle.

    Args:
        case: the design; the cabinet stands free.
        frequency: Hz, ascending, shape (frequency,).
        solve: in place of `solve_field`.

    Returns:
        Pa s/m³, complex, shape (radiator, radiator, frequency), in the order of `radiators_of`.

    Raises:
        GeometryError: something that cannot be where the case puts it.
    """
    frequency = np.asarray(frequency, dtype=float)
    layout = all_pistons(case)
    shares = _shares(layout)
    flat = _in_infinite_baffle(layout.pistons, shares, frequency, case.air)
    load = flat.copy()
    low = frequency < BAFFLED_FROM
    if low.any():
        solved = radiation_impedance(
            layout.body,
            layout.pistons,
            frequency[low],
            air=case.air,
            accuracy=ACCURACY,
            solve=solve,
        )
        here = np.einsum("ri,ijf,sj->rsf", shares, solved.values, shares)
        fade = np.clip(np.log(frequency[low] / SOLVED_TO) / np.log(BAFFLED_FROM / SOLVED_TO), 0, 1)
        load[..., low] = (1 - fade) * here + fade * flat[..., low]
    return _without_port_ends(case, load, flat)


def baffled_load(case: Case, frequency: np.ndarray) -> np.ndarray:
    """`radiation_load` as if every radiator sat in an infinite baffle: roughly, and at once."""
    layout = all_pistons(case)
    flat = _in_infinite_baffle(layout.pistons, _shares(layout), np.asarray(frequency), case.air)
    return _without_port_ends(case, flat, flat)


def _without_port_ends(case: Case, load: np.ndarray, flat: np.ndarray) -> np.ndarray:
    """Of a port only what is added to the end correction of an infinite baffle."""
    answer = load.copy()
    for row, radiator in enumerate(radiators_of(case)):
        if radiator.kind == "port":
            answer[row, row] -= 1j * flat[row, row].imag
    return answer


def _shares(layout: Pistons) -> np.ndarray:
    """Share of each radiator's volume velocity in each piston, (radiator, piston)."""
    shares = np.zeros((len(layout.parts), len(layout.pistons)))
    for row, parts in enumerate(layout.parts):
        for piston, share in parts:
            shares[row, piston] = share
    return shares


def baffled_impedance(radius: float | np.ndarray, frequency: np.ndarray, air: Air) -> np.ndarray:
    """Radiation impedance of a piston in an infinite baffle, mean pressure over volume velocity.

    ρc/(πa²)·[1 − J₁(2ka)/ka + j·H₁(2ka)/ka], Rayleigh; Kinsler et al., Fundamentals of Acoustics
    (2000), 7.5 (from memory).

    Args:
        radius: m.
        frequency: Hz, shape (frequency,).
        air: the medium.

    Returns:
        Pa s/m³, complex, shape (frequency,).
    """
    ka = 2 * np.pi * frequency / air.speed_of_sound * radius
    area = np.pi * np.asarray(radius) ** 2
    resistance, reactance = 1 - j1(2 * ka) / ka, struve(1, 2 * ka) / ka
    answer: np.ndarray = air.density * air.speed_of_sound / area * (resistance + 1j * reactance)
    return answer


def _in_infinite_baffle(
    pistons: Sequence[Piston], shares: np.ndarray, frequency: np.ndarray, air: Air
) -> np.ndarray:
    """Of every radiator by itself, (radiator, radiator, frequency); discs of a slot act together.

    Discs apart by d add jωρ·exp(−jkd)/(2πd) to each other.
    """
    answer = np.zeros((*shares.shape[:1] * 2, frequency.size), dtype=complex)
    for row, share in enumerate(shares):
        own = np.flatnonzero(share).tolist()
        for i in own:
            for j in own:
                # The two sides of an open baffle do not hear each other in an infinite one.
                if share[i] * share[j] < 0:
                    continue
                if i == j:
                    mutual = baffled_impedance(pistons[i].radius, frequency, air)
                else:
                    apart = np.linalg.norm(np.subtract(pistons[i].centre, pistons[j].centre))
                    omega = 2 * np.pi * frequency
                    wave = np.exp(-1j * omega / air.speed_of_sound * apart)
                    mutual = 1j * omega * air.density * wave / (2 * np.pi * apart)
                answer[row, row] += share[i] * share[j] * mutual
    return answer
