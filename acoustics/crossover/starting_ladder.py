"""Where a passive crossover starts: the filter that a driver needs, and a ladder near to it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.case.design.model import Branch, PassFilter, Section
from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.crossover.acoustic import full_with_low_end, needed_filter, target_pressure
from acoustics.crossover.compensation import (
    Peak,
    attenuator,
    fitted_coil_compensation,
    resonance_compensation,
)
from acoustics.crossover.network import solve_network
from acoustics.crossover.textbook import Kind, band_pass_gain, textbook_ladder


def ideal_filter(
    slopes: PassFilter | Sequence[Section],
    level: float,
    frequency: np.ndarray,
    unfiltered: np.ndarray,
    *,
    distance: float,
    speed_of_sound: float,
    inverted: bool = False,
    latency: float = 0.0,
    low_end: np.ndarray | float = 1.0,
    most_gain: float = 0.0,
) -> np.ndarray:
    """The filter that gives a driver's sound an alignment's slopes about a level.

    That of acoustic slopes, without the gain that a passive crossover has not; polarity is that of
    the sound, whichever way the driver is wired.

    Args:
        slopes: that are to be heard: a section, or several in cascade.
        level: dB at 1 m for 2.83 V, of the driver's band.
        frequency: Hz, shape (frequency,).
        unfiltered: the driver's pressure at the reference point with a filter of 1 and 2.83 V, Pa,
            complex, shape (frequency,). For a listening window its level and the phase of the
            reference axis.
        distance: of the reference point, m.
        speed_of_sound: m/s.
        inverted: whether the sound is to be turned.
        latency: s, as for `target_pressure`.
        low_end: how the driver falls toward low frequencies, as there.
        most_gain: dB, as for `needed_filter`.

    Returns:
        V/V, complex, shape (frequency,).
    """
    sections = (slopes,) if isinstance(slopes, PassFilter) else tuple(slopes)
    branch = Branch("", sections, inverted=inverted, slopes="acoustic", level=level)
    target = target_pressure(
        branch,
        frequency,
        distance=distance,
        speed_of_sound=speed_of_sound,
        latency=latency,
        low_end=low_end,
    )
    full = full_with_low_end(branch, distance, np.asarray(low_end))
    return needed_filter(target, unfiltered, most_gain, full)


def start_ladder(
    kind: Kind,
    alignment: str,
    order: int,
    frequency: np.ndarray,
    impedance: np.ndarray,
    *,
    low_corner: float | None = None,
    high_corner: float | None = None,
    attenuation: float | None = None,
    flat_from: float | None = None,
    peak: Peak | None = None,
) -> tuple[Element, ...]:
    """A textbook ladder for a driver, with what makes the driver fit for one.

    From the amplifier on, as builders place them: pass filter, attenuator, what is to be across the
    driver. The load that the ladder is made for is what is seen of the driver and what is across
    it, |Z| at the corner, of a band-pass between the corners (geometric mean of both |Z|). It is
    exact for a resistance; of a real driver it is a place to start a fit from.

    Args:
        kind: of slopes.
        alignment: of the slopes.
        order: of each slope.
        frequency: Hz, rising, shape (frequency,).
        impedance: of the driver, ohm, complex, shape (frequency,).
        low_corner: Hz, of a high-pass or band-pass.
        high_corner: Hz, of a low-pass or band-pass.
        attenuation: dB, of the pass band: the attenuator takes up a band-pass's own gain as well,
            and is left out where nothing is to be taken. None: no attenuator, whatever the gain.
        flat_from: Hz; from there to the highest frequency resistor and capacitor across the driver
            keep its impedance from rising, if it does. None: no such element.
        peak: of the driver, if its resonance is to be taken away.

    Raises:
        RoundoverError: a corner at which the impedance is not known, or what `textbook_ladder`
            refuses.
    """
    across = compensation_of(frequency, impedance, flat_from=flat_from, peak=peak)
    corners = [corner for corner in (low_corner, high_corner) if corner is not None]
    if not all(frequency[0] <= corner <= frequency[-1] for corner in corners):
        raise RoundoverError(
            f"the impedance is known from {frequency[0]:g} Hz to {frequency[-1]:g} Hz, and the "
            f"corner is at {' and '.join(f'{corner:g} Hz' for corner in corners)}"
        )
    load = load_at(corners, frequency, seen(across, frequency, impedance))
    ladder = textbook_ladder(
        kind, alignment, order, load, low_corner=low_corner, high_corner=high_corner
    )
    if attenuation is None:
        return (*ladder, *across)
    if low_corner is not None and high_corner is not None:
        gain = band_pass_gain(alignment, order, low_corner, high_corner)
        attenuation += 20 * math.log10(gain)
    pad = attenuator(attenuation, load) if attenuation > 0 else ()
    return (*ladder, *pad, *across)


def compensation_of(
    frequency: np.ndarray,
    impedance: np.ndarray,
    *,
    flat_from: float | None = None,
    peak: Peak | None = None,
) -> tuple[Element, ...]:
    """What lies across a driver to make it a resistance; arguments as for `start_ladder`."""
    across = () if peak is None else (resonance_compensation(peak),)
    if flat_from is None:
        return across
    left = seen(across, frequency, impedance)
    flat = fitted_coil_compensation(frequency, left, (flat_from, float(frequency[-1])))
    return across if flat is None else (*across, flat)


def seen(across: Sequence[Element], frequency: np.ndarray, impedance: np.ndarray) -> np.ndarray:
    """Impedance of a driver with elements across it, ohm, complex, shape (frequency,)."""
    return solve_network([across], 1 / impedance[None, None], frequency).input_impedance


def load_at(corners: Sequence[float], frequency: np.ndarray, impedance: np.ndarray) -> float:
    """|Z| at some frequencies (Hz), their geometric mean, ohm."""
    size = np.log(np.abs(impedance))
    return math.exp(float(np.interp(np.log(corners), np.log(frequency), size).mean()))
