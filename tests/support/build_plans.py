"""What one build has that others do not, and what of it is left to chance."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from support.edited_text import NORMAL_95, Edit

MICROPHONE, LEVEL = 0.010, 1.0
"""m each way and dB, within 95 %"""

LONGEST_DELAY = 0.5e-3
"""s"""


@dataclass(frozen=True)
class Plan:
    """What one build has that others do not.

    edit: what is built otherwise, in the case's text. moved: m by which the microphone stands off
    beside its usual error. gain: dB likewise. heard: what the sound of all drivers is multiplied
    by at Hz, shape (frequency,). fixed: keys of parts whose value does not stray, because it is
    that of the fault.
    """

    seed: int
    edit: Edit | None = None
    moved: tuple[float, float, float] = (0.0, 0.0, 0.0)
    gain: float = 0.0
    heard: Callable[[np.ndarray], np.ndarray] | None = None
    fixed: tuple[str, ...] = ()
    drivers_stray: bool = False
    each_alone: bool = False
    with_phase: bool = True
    off_axis: bool = False

    @cached_property
    def drawn(self) -> Drawn:
        """Everything about it that is left to chance, but for noise and parts."""
        rng = np.random.default_rng([self.seed, 1])
        error = rng.normal(0, MICROPHONE / NORMAL_95, (2, 3))
        return Drawn(
            error + np.array(self.moved),
            float(rng.normal(0, LEVEL / NORMAL_95)) + self.gain,
            rng.uniform(-LONGEST_DELAY, LONGEST_DELAY, 2),
        )


@dataclass(frozen=True)
class Drawn:
    """m by which the microphone is off on and off the axis, dB of all levels, s of each clock."""

    off: np.ndarray
    gain: float
    delays: np.ndarray
