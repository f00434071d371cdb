"""What is told of a passive crossover's starting points, driver by driver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.case.design.model import Alignment
from acoustics.case.design.network_model import Element
from acoustics.crossover.compensation import Peak
from acoustics.crossover.starting_ladder import load_at
from acoustics.studies.crossover_start.slopes import Slopes

Treatment = Literal["straight", "compensated", "standard values"]

TREATMENTS: tuple[Treatment, ...] = ("straight", "compensated", "standard values")
"""A ladder made for the driver and straight before it; one made for the driver with its
compensation; and that in standard values, with the losses of such parts."""

ABOUT = 1.0
"""octaves on either side of a corner over which a ladder is judged: beyond, the other driver leads
by 20 dB and more with usual slopes"""


@dataclass(frozen=True)
class Ladder:
    """A textbook ladder, and how far it is from what the driver needs.

    sections, attenuator, compensation: the elements from the amplifier on. transfer: V/V, complex
    (frequency,), into the driver. deviation: the largest within `ABOUT` octaves of a corner, dB,
    positive where the ladder gives more than is needed; at `where`, Hz. of_load: how much of that
    the load makes, dB: what the ladder gives the driver over what it would give a resistance. The
    rest is the driver's own curve and slopes of another order.
    """

    alignment: Alignment
    order: int
    treatment: Treatment
    sections: tuple[Element, ...]
    attenuator: tuple[Element, ...]
    compensation: tuple[Element, ...]
    transfer: np.ndarray
    deviation: float
    where: float
    of_load: float

    @property
    def elements(self) -> tuple[Element, ...]:
        """All from the amplifier to the driver."""
        return (*self.sections, *self.attenuator, *self.compensation)


@dataclass(frozen=True)
class Start:
    """Where one driver's branch starts.

    level: to be had, own: of the driver in its band without a filter on the reference axis, both
    dB at 1 m for 2.83 V. low: whether it is what the others come down to, its own level then that
    below the baffle step. attenuation: dB to be taken off, None where nothing is. impedance:
    at its terminals, flattened: with its compensation, ohm, complex (frequency,). ideal: the filter
    that it needs, V/V, likewise. band: Hz, over which ladders are judged. ladders: by order, each
    in every treatment.
    """

    slopes: Slopes
    level: float
    own: float
    low: bool
    attenuation: float | None
    impedance: np.ndarray
    flattened: np.ndarray
    peak: Peak | None
    compensation: tuple[Element, ...]
    ideal: np.ndarray
    band: tuple[float, float]
    ladders: tuple[Ladder, ...]

    def best(self, treatment: Treatment) -> Ladder:
        """The ladder nearest to what is needed."""
        chosen = (ladder for ladder in self.ladders if ladder.treatment == treatment)
        return min(chosen, key=lambda ladder: abs(ladder.deviation))

    def load(self, frequency: np.ndarray, treatment: Treatment) -> float:
        """The resistance that a treatment's ladders are made for, ohm; `frequency` in Hz."""
        impedance = self.impedance if treatment == "straight" else self.flattened
        return load_at(self.slopes.corners, frequency, impedance)
