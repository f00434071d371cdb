"""A checked design: frozen objects in SI units. Nothing here reads text or knows acoustics."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.conventions import Air


@dataclass(frozen=True)
class Cabinet:
    """A rectangular box; the front face is centred on the origin, in the plane z = 0.

    Lengths in metres. `base_height` is the height of the cabinet's base above the floor.
    """

    width: float
    height: float
    depth: float
    base_height: float
    shape: Literal["box"] = "box"

    @property
    def floor_level(self) -> float:
        """The floor's y coordinate (m)."""
        return -self.height / 2 - self.base_height


@dataclass(frozen=True)
class Driver:
    """A driver as the field sees it: a flat piston on the front face.

    Lengths in metres; `position` is (x, y) of the piston's centre on the front face.
    `acoustic_depth` is how far the acoustic centre lies behind the face (positive away from the
    listener), a pure delay. `sensitivity` is the level in dB at 1 m for 2.83 V into half space.
    """

    name: str
    piston_diameter: float
    frame_diameter: float
    position: tuple[float, float]
    acoustic_depth: float
    sensitivity: float
    inverted: bool


Alignment = Literal["butterworth", "linkwitz-riley", "bessel"]


@dataclass(frozen=True)
class PassFilter:
    """A low-, high- or band-pass of a named alignment.

    Corners in Hz; `low_corner` is None for a low-pass, `high_corner` None for a high-pass.
    `order` is that of each slope.
    """

    kind: Literal["low-pass", "high-pass", "band-pass"]
    alignment: Alignment
    order: int
    low_corner: float | None
    high_corner: float | None


@dataclass(frozen=True)
class ParametricSection:
    """A second-order peak or shelf: centre or corner in Hz, gain in dB, quality factor."""

    kind: Literal["peak", "low-shelf", "high-shelf"]
    frequency: float
    gain: float
    q: float


Section = PassFilter | ParametricSection


@dataclass(frozen=True)
class Branch:
    """What the crossover does to one driver: sections in cascade, gain (dB), delay (s)."""

    driver: str
    sections: tuple[Section, ...] = ()
    gain: float = 0.0
    delay: float = 0.0
    inverted: bool = False


@dataclass(frozen=True)
class ReferenceAxis:
    """The line through `point` (x, y on the front face, m) along +z; `distance` in metres."""

    point: tuple[float, float]
    distance: float


@dataclass(frozen=True)
class Seat:
    """Where the listener sits: straight ahead of the cabinet's centre line (x = 0).

    `distance` is measured from the plane of the front face, `ear_heights` from the floor (m).
    """

    distance: float
    ear_heights: tuple[float, ...]


@dataclass(frozen=True)
class Floor:
    """A plane floor with a pressure reflection factor (1: hard)."""

    reflection: float = 1.0


Measure = Literal["ripple", "tilt", "level", "beamwidth", "floor dip", "lobe window"]


BAND = (300.0, 10_000.0)
"""Hz: over which a design is judged unless an aim says otherwise."""

SMOOTHING = 6.0
"""Likewise the smoothing: 1/6 octave."""


@dataclass(frozen=True)
class Aim:
    """A figure the design is held against.

    `measure` at `where` over `band` (Hz), between `at_least` and `at_most` (dB, dB per octave,
    degrees or metres, as the measure has it). `smoothing` is the fraction's denominator
    (6: 1/6 octave). Band and smoothing are None where the measure has none.
    """

    name: str
    measure: Measure
    where: Literal["reference axis", "seat"]
    band: tuple[float, float] | None
    smoothing: float | None
    at_least: float | None
    at_most: float | None


@dataclass(frozen=True)
class FrequencyGrid:
    """Frequencies 1000·2^(n/per_octave) Hz between `lowest` and `highest` (Hz)."""

    lowest: float = 20.0
    highest: float = 20_000.0
    per_octave: int = 24

    def values(self) -> np.ndarray:
        """The frequencies, ascending, shape (frequency,), Hz."""
        first = int(np.ceil(self.per_octave * np.log2(self.lowest / 1000.0) - 1e-9))
        last = int(np.floor(self.per_octave * np.log2(self.highest / 1000.0) + 1e-9))
        return 1000.0 * 2.0 ** (np.arange(first, last + 1) / self.per_octave)


@dataclass(frozen=True)
class Case:
    """A complete design, checked.

    `digest` is a SHA-256 of what a prediction rests on: all but title, note, aims and the file's
    path and layout.
    """

    title: str
    note: str
    path: str
    digest: str
    temperature: float
    air: Air
    cabinet: Cabinet
    drivers: tuple[Driver, ...]
    crossover: tuple[Branch, ...]
    reference: ReferenceAxis
    seat: Seat
    floor: Floor | None
    aims: tuple[Aim, ...]
    frequencies: FrequencyGrid
    arc_step: float
    """degrees between the receivers of an arc; divides 360"""
    accuracy: float
    """dB asked of the field solver"""

    def driver(self, name: str) -> Driver:
        """The driver called `name`."""
        return next(driver for driver in self.drivers if driver.name == name)
