"""Between which nodes the elements of a passive crossover and its driver lie."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from acoustics.case.design.network_model import Element

AMPLIFIER = "amplifier"
"""The amplifier's hot terminal."""
RETURN = "return"
"""Its other terminal: ground."""
DRIVER = "driver"
"""The driver's + terminal."""
DRIVER_RETURN = "driver return"
"""Its other terminal. Where no part names it, it is joined to the amplifier's."""
RESERVED = (AMPLIFIER, RETURN, DRIVER, DRIVER_RETURN)

Ends = tuple[str, str]


class Wiring(NamedTuple):
    """The two nodes of every element of one network, and those of its driver, + first."""

    ends: tuple[Ends, ...]
    driver: Ends


def wiring_of(elements: Sequence[Element]) -> Wiring:
    """Where the elements of one driver's network lie.

    A ladder gets a node after every element in the way of the signal, numbered from 1; at the last
    the driver hangs. Networks of other forms name their nodes; their driver hangs on "driver".
    """
    if elements and elements[0].between is not None:
        named = [element.between for element in elements if element.between is not None]
        floats = any(DRIVER_RETURN in ends for ends in named)
        return Wiring(tuple(named), (DRIVER, DRIVER_RETURN if floats else RETURN))
    ends, here = list[Ends](), AMPLIFIER
    for place, element in enumerate(elements, start=1):
        there = str(place) if element.place == "series" else RETURN
        ends.append((here, there))
        here = there if element.place == "series" else here
    return Wiring(tuple(ends), (here, RETURN))
