"""What readings would say of a build, on the frequencies by which they are compared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.readings.readings import Readings


@dataclass(frozen=True, eq=False)
class Answers:
    """Of every response (Pa/V) and impedance (ohm), in the order of the readings, complex.

    Each of the shape of its row of `Bench.frequencies`. As measured, those without phase are real;
    as predicted, all have one.
    """

    responses: tuple[np.ndarray, ...]
    impedances: tuple[np.ndarray, ...]


class Bench(Protocol):
    """Where a design was measured: what was read there, and what would be read of any build."""

    @property
    def design(self) -> Built:
        """What should stand there."""
        ...

    @property
    def readings(self) -> Readings:
        """What was measured."""
        ...

    @property
    def frequencies(self) -> Answers:
        """Hz, at which each response and impedance is compared: within its band, real."""
        ...

    @property
    def measured(self) -> Answers:
        """The readings at these frequencies."""
        ...

    def answers(self, built: Built) -> Answers:
        """What the readings would be of a build, without noise and without unknown delay."""
        ...
