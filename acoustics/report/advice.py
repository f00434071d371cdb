"""What usually moves a figure that misses its aim."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.listening import AimVerdict

MOVES = {
    "ripple": "a filter evens out what all directions have in common; the rest takes other driver "
    "positions, which spread the echoes of the cabinet's edges",
    "tilt": "the gains of the branches against each other, or a shelf, tip the balance",
    "level": "the branches' gains or acoustic levels and the drivers' sensitivity set it",
    "beamwidth": "smaller pistons and lower crossovers widen the beam",
    "floor dip": "other heights of ears and woofer move it; a thick carpet or absorber where the "
    "floor reflects makes it shallower",
    "lobe window": "drivers closer together and lower crossovers make it higher",
}
"""Measure of an aim → what moves it (common practice, no source)."""


def advice(verdicts: Sequence[AimVerdict]) -> list[str]:
    """One sentence for each measure of which an aim is missed, marked as common practice."""
    missed = dict.fromkeys(verdict.aim.measure for verdict in verdicts if verdict.met is False)
    return [f"{measure.capitalize()}: {MOVES[measure]} (common practice)." for measure in missed]
