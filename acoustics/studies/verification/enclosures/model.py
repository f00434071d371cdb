"""What an impedance tells of an enclosure, held against the design."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from acoustics.measurement.tuning import Figure, TuningFit

Within = Literal["yes", "no", "not known"]


@dataclass(frozen=True)
class FigureFound:
    """One figure of an enclosure.

    Attributes:
        name: of `measurement.tuning.FIGURES`.
        unit: its unit.
        measured: of the circuit fitted to what was measured.
        designed: of that fitted to the impedance that the design has.
        difference: measured less designed; NaN if either is not known.
        allowed: within how much of the designed value the tolerances of the case keep 95 % of the
            builds, to either side, and no less than is usual; NaN where nothing is known.
        within: whether what is measured may be such a build, the uncertainty of both counted in.
    """

    name: str
    unit: str
    measured: Figure
    designed: Figure
    difference: float
    allowed: float
    within: Within


@dataclass(frozen=True, eq=False)
class EnclosureFound:
    """What one reading tells of one enclosure.

    Attributes:
        enclosure: its name.
        reading: of the impedance.
        drivers: names of those whose impedance was fitted, several as one.
        measured, designed: the fits; None where `reason` says why nothing could be fitted.
        trusted: Hz, between which the impedance at the driver is known well enough.
        figures: what is told.
        words: each a sentence, the most telling first.
        reason: why nothing is told; "" if something is.
    """

    enclosure: str
    reading: str
    drivers: tuple[str, ...]
    measured: TuningFit | None = None
    designed: TuningFit | None = None
    trusted: tuple[float, float] = (0.0, 0.0)
    figures: tuple[FigureFound, ...] = ()
    words: tuple[str, ...] = ()
    reason: str = ""

    def figure(self, name: str) -> FigureFound:
        """The figure of a name."""
        return next(each for each in self.figures if each.name == name)
