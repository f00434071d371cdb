"""Size of the pistons and their distance against the wavelength at the crossover."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.case.design.model import MOST_KA, Case
from acoustics.prediction.layout import layout_of
from acoustics.studies.compatibility.line import Line, at_least, at_most
from acoustics.studies.compatibility.ways import Ways

HALF = 2.211785
"""x at which the pattern 2J₁(x)/x of a piston in an infinite baffle is 6 dB down (Kinsler, Frey,
Coppens & Sanders, Fundamentals of Acoustics, ch. 7)."""

ALL_SIDES = 180.0
"""degrees: a beam that nowhere in front is 6 dB down"""

GOOD_KA = 2.0
"""At the crossover, of the lower driver; up to `MOST_KA` at a second look."""

ALIKE, FAR_APART = 2 / 3, 1 / 2
"""Narrower beam over wider one: alike within a third, within a half at a second look."""

CLOSE, FAR = 1.0, 1.5
"""wavelengths between the drivers' centres"""


def beamwidth(diameter: float, frequency: float, speed_of_sound: float) -> float:
    """Width of the beam of a piston in an infinite baffle between its −6 dB angles, degrees.

    2 asin(x/ka), the same source as `HALF`; 180 where it is nowhere 6 dB down.

    Args:
        diameter: of the piston, m.
        frequency: Hz.
        speed_of_sound: m/s.
    """
    size = ka_of(diameter, frequency, speed_of_sound)
    return ALL_SIDES if size <= HALF else 2 * math.degrees(math.asin(HALF / size))


def ka_of(diameter: float, frequency: float, speed_of_sound: float) -> float:
    """Circumference of a piston in wavelengths, ka; diameter in m."""
    return math.pi * diameter * frequency / speed_of_sound


def directivity_lines(case: Case, ways: Ways) -> Iterator[Line]:
    """How wide both drivers of a pair radiate where one hands over to the other."""
    speed = case.air.speed_of_sound
    for pair in ways.pairs:
        both = case.drivers[pair.lower], case.drivers[pair.upper]
        sizes = [ka_of(driver.piston_diameter, pair.frequency, speed) for driver in both]
        widths = [beamwidth(driver.piston_diameter, pair.frequency, speed) for driver in both]
        subject = (both[0].name, both[1].name)
        yield Line(
            "piston size",
            subject,
            {"ka": sizes[0], "upper_ka": sizes[1], "frequency": pair.frequency},
            at_most(sizes[0], GOOD_KA, MOST_KA),
        )
        yield Line(
            "beamwidth",
            subject,
            {
                "difference": abs(widths[0] - widths[1]),
                "lower": widths[0],
                "upper": widths[1],
                "frequency": pair.frequency,
            },
            at_least(min(widths) / max(widths), ALIKE, FAR_APART),
        )


def spacing_lines(case: Case, ways: Ways) -> Iterator[Line]:
    """How far apart the drivers of a pair are, in wavelengths at their crossover.

    `behind` is how far the lower one's acoustic centre lies behind the upper one's, along the
    reference axis.
    """
    centres = layout_of(case).centres
    for pair in ways.pairs:
        lower, upper = case.drivers[pair.lower], case.drivers[pair.upper]
        apart = float(np.linalg.norm(centres[pair.lower] - centres[pair.upper]))
        ahead = float(centres[pair.upper][2] - centres[pair.lower][2])
        wavelength = case.air.speed_of_sound / pair.frequency
        yield Line(
            "spacing",
            (lower.name, upper.name),
            {
                "wavelengths": apart / wavelength,
                "distance": apart,
                "wavelength": wavelength,
                "behind": lower.acoustic_depth - upper.acoustic_depth + ahead,
                "frequency": pair.frequency,
            },
            at_most(apart / wavelength, CLOSE, FAR),
        )
