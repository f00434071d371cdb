"""What is found for a candidate."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Outcome:
    """Values of a candidate's parts, H, F and ohm, and what they cost, dB².

    `seconds` are the second pieces of those that are bought as two, within `values`; 0 for none.
    """

    values: tuple[float, ...]
    cost: float
    seconds: tuple[float, ...] = ()

    @property
    def pieces(self) -> int:
        """How many pieces there are to buy."""
        return len(self.values) + sum(second > 0 for second in self.seconds)
