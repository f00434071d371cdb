"""Porous materials: their effective density and compressibility, and a layer on a wall."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Absorber
from acoustics.conventions import Air
from acoustics.room.porous import characteristic, surface_impedance

LINING_RESISTIVITY = 10_000.0
"""Pa s/m²: of felt or wool boards for lining, where none is stated (common practice, no source)."""

LOOSE_RESISTIVITY = 4_000.0
"""Likewise of loose fibre, teased out (common practice, no source)."""

THIN = 10.0
"""Below the frequency at which a layer is a wavelength over this thick it does less and less:
beside a hard wall the air hardly moves (common practice, no source; it moves most a quarter of a
wavelength away)."""


def absorption_coefficient(
    thickness: float, flow_resistivity: float, frequency: np.ndarray, air: Air
) -> np.ndarray:
    """Share of the power of a wave square to the wall that a porous layer on it takes.

    α = 1 − |(Z − 1)/(Z + 1)|², Z = −j Zc cot(kc d) (Miki, J. Acoust. Soc. Jpn (E) 11, 1990, 19;
    Kuttruff, Room Acoustics, ch. 2).

    Args:
        thickness: of the layer, on a hard backing, m.
        flow_resistivity: Pa s/m².
        frequency: Hz, shape (frequency,).
        air: before it.

    Returns:
        shape (frequency,), 0 to 1.
    """
    impedance = surface_impedance(Absorber(thickness, flow_resistivity), frequency, air)
    answer: np.ndarray = 1 - np.abs((impedance - 1) / (impedance + 1)) ** 2
    return answer


def density_and_compressibility(
    flow_resistivity: float, frequency: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Of the air in a porous material over those of free air: Zc·kc and kc/Zc, complex.

    Args:
        flow_resistivity: Pa s/m².
        frequency: Hz, real or complex, any shape (…,).

    Returns:
        two arrays of shape (…,).
    """
    impedance, wave = characteristic(flow_resistivity, frequency)
    return impedance * wave, wave / impedance


def layer_slope(
    thickness: float,
    flow_resistivity: float,
    wave: np.ndarray,
    along: np.ndarray,
    air: Air,
    *,
    share: float = 1.0,
) -> np.ndarray:
    """Slope of the pressure into a layer over the pressure at its surface, 1/m, complex.

    Sound runs in the layer in all directions, not straight in alone: with the wavenumber `along`
    the wall, straight in it is q = √((kc k)² − along²), and the slope is −(ρ/ρ') q tan qd. For
    along = 0 this is jkβ with the admittance β = j tan(kc k d)/Zc of the layer.

    Args:
        thickness: m.
        flow_resistivity: Pa s/m².
        wave: k = ω/c, complex of waves that die away, shape (…), 1/m.
        along: squared wavenumber along the wall, shape (…), 1/m².
        air: before it.
        share: 0 for air in place of the material, up to 1 for the material.
    """
    frequency = wave * air.speed_of_sound / (2 * np.pi)
    density, compressibility = density_and_compressibility(flow_resistivity, frequency)
    density = 1 + share * (density - 1)
    compressibility = 1 + share * (compressibility - 1)
    inward = np.sqrt(wave**2 * density * compressibility - along + 0j)
    answer: np.ndarray = -inward * np.tan(inward * thickness) / density
    return answer


def thin_below(thickness: float, air: Air) -> float:
    """Frequency (Hz) below which a layer (m) on a wall does less and less: c/(10 d)."""
    return air.speed_of_sound / (THIN * thickness)
