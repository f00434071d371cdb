"""Files that are not what they are taken for: another driver's, turned over, without phase."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from scipy.optimize import linear_sum_assignment

from acoustics.curves import Curve
from acoustics.curves.minimum_phase import FEWEST
from acoustics.listening.bands import in_band
from acoustics.measurement.excess_delay import straight_phase
from acoustics.measurement.findings import Finding

SWAPPED = 1.0
"""Octaves that files change by towards their drivers' bands when they are exchanged."""

ELSEWHERE = 1.5
"""Octaves between the middle of a band and where it is expected: something else was measured."""

STRAIGHT = 45.0
"""Degrees rms that a phase may be off a straight line for its polarity to be believed."""

TURNED = 1e-6
"""Radians: phases that vary by less are none."""


def band_centroid(frequency: np.ndarray, response: np.ndarray) -> float:
    """Middle of the band in which a response is strong, Hz: mean over octaves, weighted by power.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: complex or magnitude, shape (frequency,); not a number where it is unknown.
    """
    known = np.isfinite(response)
    place = np.log2(frequency[known])
    weight = np.abs(response[known]) ** 2 * np.gradient(place)
    return float(2 ** (np.sum(weight * place) / np.sum(weight)))


def swapped_files(
    frequency: np.ndarray, measured: Mapping[str, np.ndarray], expected: Mapping[str, np.ndarray]
) -> tuple[Finding, ...]:
    """Drivers whose file looks like another driver's, or like none of them.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        measured: response by driver, (frequency,), not a number where it was not measured.
        expected: as predicted, likewise.
    """
    names = [name for name in measured if name in expected]
    known = np.all([np.isfinite(measured[n]) & np.isfinite(expected[n]) for n in names], axis=0)
    if not names or np.count_nonzero(known) < FEWEST:
        return ()
    used = frequency[known]
    found = {n: math.log2(band_centroid(used, measured[n][known])) for n in names}
    wanted = {n: math.log2(band_centroid(used, expected[n][known])) for n in names}
    cost = np.array([[abs(found[file] - wanted[driver]) for driver in names] for file in names])
    files, drivers = linear_sum_assignment(cost)
    gained = float(np.trace(cost) - cost[files, drivers].sum())
    findings = []
    exchanged = {names[f]: names[d] for f, d in zip(files, drivers, strict=True) if f != d}
    if exchanged and gained > SWAPPED * len(exchanged) / 2:
        said = ", ".join(
            f"the {file}'s looks like the {like}'s" for file, like in exchanged.items()
        )
        findings.append(
            Finding(
                what=f"The files of {' and '.join(exchanged)} seem to be exchanged: {said}",
                where=_centres(exchanged, found, wanted),
                certain=False,
                advice="Exchange them, or look which driver was playing.",
            )
        )
        return tuple(findings)
    for name in names:
        away = found[name] - wanted[name]
        if abs(away) > ELSEWHERE:
            findings.append(
                Finding(
                    what=(
                        f"The {name}'s file is strongest {abs(away):.1f} octaves "
                        f"{'above' if away > 0 else 'below'} where the driver is"
                    ),
                    where=_centres([name], found, wanted),
                    certain=False,
                    advice="Look whether it is that driver's file, and that of a level.",
                )
            )
    return tuple(findings)


def turned_over(
    frequency: np.ndarray, response: np.ndarray, expected: np.ndarray, band: tuple[float, float]
) -> Finding | None:
    """Whether a driver's polarity is not the expected one, by its phase over a band.

    Whatever delay lies between both is allowed for, so the band should be an octave or more.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: as measured, complex, (frequency,).
        expected: as predicted with its polarity, or as another measurement has it, (frequency,).
        band: Hz, where both are strong.
    """
    inside = in_band(frequency, band) & np.isfinite(response) & np.isfinite(expected)
    if np.count_nonzero(inside) < FEWEST:
        return None
    used = frequency[inside]
    ratio = response[inside] / expected[inside]
    weight = np.gradient(np.log(used))
    delay, polarity = straight_phase(used, ratio, weight)
    left = np.angle(polarity * ratio * np.exp(2j * np.pi * used * delay))
    off = math.degrees(math.sqrt(float(np.average(left**2, weights=weight))))
    if polarity > 0 or off > STRAIGHT:
        return None
    return Finding(
        what="The polarity is the opposite of the expected one",
        where=f"{band[0]:.0f} to {band[1]:.0f} Hz",
        certain=off < STRAIGHT / 2,
        advice=(
            "Look whether the leads were swapped, at the driver, the amplifier or the microphone's "
            "input; if the driver is meant so, write it into the case."
        ),
    )


def phase_missing(curve: Curve) -> Finding | None:
    """Whether a curve has no phase, or one that is the same everywhere."""
    turns = np.angle(curve.values * np.conj(curve.values[0]))
    flat = bool(np.ptp(np.abs(turns)) < TURNED)
    if curve.has_phase and not flat:
        return None
    return Finding(
        what=(
            f"{curve.source} has no phase"
            if not curve.has_phase
            else f"The phase in {curve.source} is the same at all frequencies: it is none"
        ),
        where="",
        certain=True,
        advice=(
            "Export it with phase. Without, minimum phase is all that can be had, and when the "
            "sound arrives must come from elsewhere: the geometry, or a measurement of both "
            "drivers together."
        ),
    )


def _centres(
    names: Mapping[str, str] | list[str], found: Mapping[str, float], wanted: Mapping[str, float]
) -> str:
    return ", ".join(
        f"{name} about {2 ** found[name]:.0f} Hz, expected {2 ** wanted[name]:.0f} Hz"
        for name in names
    )
