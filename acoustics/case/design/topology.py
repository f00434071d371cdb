"""Passive crossovers by their shape: which parts stand where, whatever their values.

A shape is written as words joined by +: the sections in order from the amplifier to the driver,
then what is added to them. "low-pass 2 + compensation" is a coil in the way, a capacitor across,
and a resistor and a capacitor across the driver.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from acoustics.case.text.shown import short_name

MOST_ORDER = 4
"""of one section: more parts hardly pay (common practice, no source)"""

Side = Literal["low-pass", "high-pass"]

ADDITIONS = {
    "damping": "a resistor in series with the first part across",
    "resistor": "a resistor in the way, before all else",
    "trap in the way": "a coil, a capacitor and a resistor side by side, before all else",
    "attenuator": "a resistor in the way and one across, behind the sections",
    "trap across": "a coil, a capacitor and a resistor, one after the other, across the driver",
    "compensation": "a resistor and a capacitor, one after the other, across the driver",
}
"""What can be added to the sections, each at most once."""

_PARTS = {"damping": 1, "resistor": 1, "attenuator": 2, "compensation": 2}
_TRAP = 3

_SECTION = re.compile(rf"(low-pass|high-pass) ([1-{MOST_ORDER}])")


@dataclass(frozen=True)
class Topology:
    """A shape: its sections in order, each with its order, and what is added to them."""

    sections: tuple[tuple[Side, int], ...]
    additions: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """In words."""
        return " + ".join([*(f"{kind} {order}" for kind, order in self.sections), *self.additions])

    @property
    def parts(self) -> int:
        """How many parts it takes."""
        added = sum(_PARTS.get(word, _TRAP) for word in self.additions)
        return added + sum(order for _, order in self.sections)


def topology_of(words: str) -> Topology:
    """The shape that some words describe.

    Args:
        words: sections "low-pass N" and "high-pass N", N from 1 to `MOST_ORDER`, each kind at most
            once; then any of `ADDITIONS`; joined by +.

    Raises:
        ValueError: words that mean nothing, come twice, or in another order.

    Example:
        >>> topology_of("high-pass 2 + resistor").sections
        (('high-pass', 2),)
    """
    each = [" ".join(word.split()) for word in words.split("+")]
    sections = list[tuple[Side, int]]()
    while len(sections) < len(each) and (found := _SECTION.fullmatch(each[len(sections)])):
        side: Side = "low-pass" if found[1] == "low-pass" else "high-pass"
        sections.append((side, int(found[2])))
    added = each[len(sections) :]
    once = len({side for side, _ in sections}) == len(sections) and len(set(added)) == len(added)
    damped = "damping" not in added or any(order > 1 for _, order in sections)
    if not sections or not once or not damped or not set(added) <= ADDITIONS.keys():
        raise ValueError(
            f"'{short_name(words)}' is no crossover; write its sections, low-pass 1 to "
            f"{MOST_ORDER} or high-pass 1 to {MOST_ORDER} or one of each, then what is added, each "
            f"once: {', '.join(ADDITIONS)} (damping needs a second order); for example "
            '"high-pass 2 + attenuator"'
        )
    return Topology(tuple(sections), tuple(word for word in ADDITIONS if word in added))
