"""How far the upper drivers move at their crossover for the level that is wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.case.design.model import Branch, Case, PassFilter
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover import branch_response, branches_of
from acoustics.source.alignments import closed_response
from acoustics.source.cone import driven_q
from acoustics.source.motion import Motion
from acoustics.source.radiators import cone_area
from acoustics.studies.compatibility.bands import resonance_of
from acoustics.studies.compatibility.electrical import GRID, passes_of
from acoustics.studies.compatibility.line import Line, at_most
from acoustics.studies.compatibility.ways import Ways

HEADROOM = 1 / math.sqrt(2)
"""Displacement over the most there may be: 3 dB are left."""

OF_A_PAIR = 10 * math.log10(2)
"""dB: what the second cabinet of a pair adds at the seat, powers adding."""


def displacement_lines(case: Case, motion: Motion, ways: Ways) -> Iterator[Line]:
    """Largest displacement of every upper driver through its high-pass, for the brief's level.

    A simple source in half space: peak volume displacement √2·p·2πr/(ρω²) for the rms pressure p
    at the distance r (Small, J. Audio Eng. Soc. 20, 1972, 383, from memory). A steady sine at the
    seat, direct sound alone.
    """
    if case.brief is None or case.brief.seat_level is None:
        return
    frequency = GRID.values()
    branches = branches_of(case)
    distance = case.brief.distance or case.seat.main.distance
    level = case.brief.seat_level - (OF_A_PAIR if case.placement.pair else 0.0)
    pressure = REFERENCE_PRESSURE * 10 ** (level / 20)
    for members in ways.groups:
        for number in members:
            driver = case.drivers[number]
            share = output_share(case, motion, number, branches[number], frequency)
            volume = peak_volume(pressure, distance, frequency, case.air.density) * share
            moved = volume / len(members) / cone_area(driver)
            place = int(np.argmax(moved))
            most = driver.most_displacement
            yield Line(
                "displacement",
                (driver.name,),
                {
                    "displacement": float(moved[place]),
                    "at": float(frequency[place]),
                    "most": math.nan if most is None else most,
                    "level": case.brief.seat_level,
                    "distance": distance,
                },
                "not known" if most is None else at_most(float(moved[place]) / most, HEADROOM, 1.0),
                missing=() if most else (f"drivers.{driver.name}.most_displacement",),
            )


def output_share(
    case: Case, motion: Motion, number: int, branch: Branch, frequency: np.ndarray
) -> np.ndarray:
    """What a driver gives over what it gives in its band, shape (frequency,).

    Acoustic slopes say it; with electrical ones the driver's own resonance joins in. Where that is
    not known, nothing is said of what lies more than an octave below the high-pass: 0.
    """
    passed = np.abs(branch_response(passes_of(branch), frequency))
    signal = case.drivers[number].small_signal
    if branch.slopes == "acoustic":
        return passed
    if signal is None:
        corners = [one.low_corner for one in branch.sections if isinstance(one, PassFilter)]
        start = max(corner for corner in corners if corner is not None)
        return np.where(frequency >= start / 2, passed, 0.0)
    resonance = resonance_of(case, motion, number)
    system_q = driven_q(case, signal) * resonance / signal.resonance
    return passed * np.abs(closed_response(frequency, resonance, system_q))


def peak_volume(
    pressure: float, distance: float, frequency: np.ndarray, density: float
) -> np.ndarray:
    """Peak volume displacement (m³) of a simple source in half space for a rms pressure (Pa)."""
    omega = 2 * np.pi * frequency
    answer: np.ndarray = math.sqrt(2) * pressure * 2 * math.pi * distance / (density * omega**2)
    return answer
