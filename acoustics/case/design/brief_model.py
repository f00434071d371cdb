"""What is wanted of a loudspeaker before anything is bought."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Brief:
    """What is wanted before anything is bought; what is None is not asked for.

    level: dB at 1 m for 2.83 V in the listening window, at least. tilt: dB per octave there, least
    and most. reach: Hz, the lowest frequency at which the listening window is within 6 dB of that
    level. seat_level: dB at the main seat from there upward, at least. width, height, depth (m):
    at most. distance and ear_height (m): of the main seat. surfaces: which must be reckoned with.
    budget: for all drivers of all cabinets, in the currency of their prices.
    """

    level: float | None = None
    tilt: tuple[float, float] | None = None
    reach: float | None = None
    seat_level: float | None = None
    width: float | None = None
    height: float | None = None
    depth: float | None = None
    distance: float | None = None
    ear_height: float | None = None
    surfaces: tuple[str, ...] = ()
    budget: float | None = None
