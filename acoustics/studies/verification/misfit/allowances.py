"""What a diagnosis takes for granted before it sees a reading: errors it allows, and odds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Allowances:
    """All that is assumed rather than measured (common practice, no source).

    Attributes:
        response: dB by which a predicted level may be off (standard deviation), the phase by as
            many nepers in radians: the program is not the world.
        beyond: dB an octave and more above where a flat piston can be trusted.
        impedance: share by which a predicted impedance may be off.
        octaves: over which these errors are alike.
        level: dB by which an uncalibrated level may be off.
        delay: s by which a clock may be off from where it is looked for.
        unknown: dB of a deviation that no fault explains, small and large.
        unknown_impedance: likewise, a share.
        unknown_octaves: over which such a deviation is alike: half of its variance each.
        healthy, single, pair, other: odds before the measurement that the build is the design, has
            one fault, has two, or has what is not on the list.
        seen: times the standard deviation by which two explanations' readings must differ, all in
            all, to be told apart.
        sure: probability from which one explanation is called sure.
        unlikely: share of explained readings that would fit worse: below it, nothing is explained.
    """

    response: float = 0.3
    beyond: float = 1.0
    impedance: float = 0.01
    octaves: float = 0.5
    level: float = 10.0
    delay: float = 1e-3
    unknown: tuple[float, ...] = (1.0, 3.0)
    unknown_impedance: tuple[float, ...] = (0.03, 0.1)
    unknown_octaves: tuple[float, ...] = (1 / 3, 1 / 24)
    healthy: float = 0.5
    single: float = 0.4
    pair: float = 0.05
    other: float = 0.05
    seen: float = 3.0
    sure: float = 0.95
    unlikely: float = 1e-3


USUAL = Allowances()
