"""One way in which readings may have come about, and how well it explains them."""

from __future__ import annotations

from dataclasses import dataclass

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.size_scale import on_scale
from acoustics.studies.verification.misfit.evidence import Fit


@dataclass(frozen=True)
class Blame:
    """A fault as it was found: its likeliest size and the ends of 95 %, SI; None without sizes."""

    fault: Fault
    size: float | None
    low: float | None = None
    high: float | None = None

    @property
    def place(self) -> float:
        """Of its size on the scale of its sizes; 0 without sizes."""
        sizes = self.fault.sizes
        return 0.0 if sizes is None or self.size is None else on_scale(sizes, self.size)

    @property
    def words(self) -> str:
        """As a person reads it."""
        return self.fault.words(0.0 if self.size is None else self.size)


@dataclass(frozen=True, eq=False)
class Explanation:
    """Faults and their sizes, none for the design as it is.

    Attributes:
        blames: the faults.
        evidence: log density of the readings, sizes integrated over.
        prior: log of its odds before.
        fit: at the likeliest sizes.
    """

    blames: tuple[Blame, ...]
    evidence: float
    prior: float
    fit: Fit

    @property
    def weight(self) -> float:
        """Log of evidence times prior, to be compared with others'."""
        return self.evidence + self.prior

    def built(self, design: Built) -> Built:
        """What stands there if it is right."""
        return with_faults(design, self.blames)


def with_faults(design: Built, blames: tuple[Blame, ...]) -> Built:
    """What stands there with some faults, one after the other."""
    for blame in blames:
        design = blame.fault.changed(design, 0.0 if blame.size is None else blame.size)
    return design
