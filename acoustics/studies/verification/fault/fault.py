"""What a fault of a build is: a change of what stands on the bench, its size, and words for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from acoustics.studies.verification.bench.built import Built


@dataclass(frozen=True)
class Sizes:
    """How large a fault may be: any value of what it changes, between two ends.

    Attributes:
        lowest, highest: in SI units, both possible.
        design: the value that is no fault, within the two.
        least: relative to the design where `by_factor` (0.2: a fifth more, or 1/1.2 of it), else
            the difference: a smaller change is not called a fault.
        by_factor: whether equal factors are equally likely (volumes, values of parts, Q), or equal
            differences (lengths that may be 0, levels).
        unit: SI, for the data; the words have units of their own.
    """

    lowest: float
    highest: float
    design: float
    least: float
    by_factor: bool
    unit: str


@dataclass(frozen=True)
class Fault:
    """Something that may have gone wrong with one thing.

    Attributes:
        kind: what it is, the same for all things it may befall: "part off in value".
        subject: what it befell: "capacitor C1 of the tweeter".
        changed: what stands on the bench with it, from what stands there without, and its size (SI;
            whatever number for one without sizes). Faults follow each other, so it must leave what
            others have changed.
        words: the fault of a size as the end of "most likely …": "C1 of the tweeter is about
            14 µF, not 10 µF".
        remedy: what to look at or do, a sentence.
        sizes: None for a fault that is there or not.
        odds: how often it is met relative to other faults, 1 for most (common practice, no source).
    """

    kind: str
    subject: str
    changed: Callable[[Built, float], Built]
    words: Callable[[float], str]
    remedy: str
    sizes: Sizes | None = None
    odds: float = 1.0

    @property
    def name(self) -> str:
        """Kind and subject, distinct among the faults of a design."""
        return f"{self.kind}: {self.subject}"
