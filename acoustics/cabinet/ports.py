"""A port and the air behind it as a resonator: end corrections, tuning, length."""

from __future__ import annotations

import math
from collections.abc import Sequence

FLUSH = 0.8217
"""End correction over radius of a duct that ends flush in a wall: the flanged limit of low
frequencies (Nomura, Yamamura & Inawashiro, J. Phys. Soc. Japan 15, 1960, 510; Norris & Sheng, J.
Sound Vib. 135, 1989, 85; from memory)."""

FREE = 0.6127
"""Of one that ends freely: the integral of Levine & Schwinger, Phys. Rev. 73 (1948) 383, whose
printed value is 0.6133."""

END_CORRECTIONS = {"flush": FLUSH, "free": FREE}


def effective_length(length: float, area: float, ends: Sequence[str]) -> float:
    """Length (m) of a duct with what moves along at its ends, each `flush` or `free`.

    `area` in m²; a slot counts as a round duct of its area.
    """
    radius = math.sqrt(area / math.pi)
    return length + radius * sum(END_CORRECTIONS[end] for end in ends)


def port_tuning(
    volume: float, areas: Sequence[float], lengths: Sequence[float], speed_of_sound: float
) -> float:
    """Frequency (Hz) at which ports of effective `lengths` (m) resonate with a volume (m³).

    c/2π · √(Σ S/(l V)), Helmholtz.
    """
    inverse = sum(area / length for area, length in zip(areas, lengths, strict=True))
    return speed_of_sound / (2 * math.pi) * math.sqrt(inverse / volume)
