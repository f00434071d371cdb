"""What one microphone heard of a driver on its cabinet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LevelUnit = Literal["dB re 20 uPa", "dB re 1 Pa", "Pa"]
"""What the second column of a table of responses is."""


@dataclass(frozen=True)
class MeasuredResponse:
    """A driver's response at one microphone, from a table.

    `frequency` in Hz, ascending; `real` and `imaginary` of the pressure per volt at the driver's
    terminals, Pa/V. The phase counts from the electrical signal, but for `removed_delay` (s) that
    was taken out of it; with `unknown_delay` it says nothing.

    The microphone stood `distance` (m) in front of the driver's centre, square to its face; or in
    front of the reference point or a `point` (x, y) of the front face, `distance` from the plane of
    that. The table holds in `band` (Hz). `uncertainty` is the standard deviation of its levels
    (dB), `noise` what is in each row (Pa/V, rms; 0 if not stated). `modelled` says whether
    small-signal parameters or a sensitivity tell what the driver does outside the band; else the
    source is carried on, if that may be. `source` is the table's file.
    """

    source: str
    frequency: tuple[float, ...]
    real: tuple[float, ...]
    imaginary: tuple[float, ...]
    distance: float
    at: Literal["driver", "reference axis", "point"]
    point: tuple[float, float] | None
    removed_delay: float
    unknown_delay: bool
    band: tuple[float, float]
    uncertainty: float
    noise: float
    modelled: bool
