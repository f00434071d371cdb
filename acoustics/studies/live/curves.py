"""What is heard of a draft: everything that the live page draws of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

State = Literal["exact", "live", "coarse"]
"""exact: as `predict` has it, to the last digit. live: the same equations, fields as they are for
this layout, sources as they were for the last exact one. coarse: something is left out, see
`missing`."""


@dataclass(frozen=True)
class DraftCurves:
    """Levels are dB re 20 µPa (rms) for 2.83 V; frequencies in Hz."""

    state: State
    missing: str
    """in words, what is left out of coarse ones; empty for others"""
    frequency: np.ndarray
    """(frequency,)"""
    axis: np.ndarray
    """on the reference axis, (frequency,)"""
    each: np.ndarray
    """every driver by itself there, through its filter, (driver, frequency)"""
    window: np.ndarray
    """listening window of ANSI/CTA-2034-A, (frequency,)"""
    seat: np.ndarray
    """first cabinet at the main seat: direct sound, and with every reflection, (2, frequency)"""
    angles: np.ndarray
    """degrees to the right of the reference axis, (angle,); 0 is not among them"""
    aside: np.ndarray
    """(angle, frequency)"""
    heights: np.ndarray
    """m above the floor, at the main seat, (height,)"""
    crossovers: np.ndarray
    """Hz, where one driver hands over to the next, (crossover,)"""
    looks: np.ndarray
    """Hz, where lobes are looked at: see `looks.py`, (look,)"""
    lobes: np.ndarray
    """direct sound of the first cabinet over height, (look, height)"""
    figures: Mapping[str, float]
    """dB but where said, by the name of what is judged: see `figures.py`; NaN where there is
    none; empty where none were asked for"""
