"""What a crossover's filters are made of, in SI units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

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


@dataclass(frozen=True)
class AllPass:
    """A section that turns the phase and leaves the magnitude, of order 1 or 2.

    At `frequency` (Hz) it has turned by half of what it turns in all, 180° for each order. `q` is
    None for order 1.
    """

    order: int
    frequency: float
    q: float | None = None


@dataclass(frozen=True)
class Biquad:
    """A second-order section by its coefficients: y = Σ b[k] x[n−k] − a[1] y[n−1] − a[2] y[n−2].

    a[0] is 1.
    """

    b: tuple[float, float, float]
    a: tuple[float, float, float]


@dataclass(frozen=True)
class Fir:
    """A filter by its impulse response, one number a sample."""

    taps: tuple[float, ...]


Section = PassFilter | ParametricSection | AllPass | Biquad | Fir


@dataclass(frozen=True)
class Processor:
    """What realises the active part of the crossover: a digital one.

    `sampling_rate` in Hz. With `taps` the filters that acoustic slopes need are realised by an
    impulse response of so many samples; None leaves them as they are needed.
    """

    sampling_rate: float
    taps: int | None = None


def whole_samples(delay: float, rate: float) -> int:
    """A delay (s) in samples at a rate (Hz), rounded."""
    return math.floor(delay * rate + 0.5)
