"""Ladders of a given shape: values to begin with, and the same ladder with other values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from acoustics.case.design.network_model import Element
from acoustics.case.design.topology import Topology
from acoustics.crossover.compensation import attenuator
from acoustics.crossover.textbook import textbook_ladder

START = "butterworth"
"""Alignment of the sections to begin with."""

LEAST_EXCESS = 1.0
"""dB: a resistor to begin with takes at least so much, so that there is something to fit"""

KINDS = ("inductor", "capacitor", "resistor")

_BEFORE = ("resistor", "trap in the way")
"""Additions between the amplifier and the sections."""


def first_ladder(
    topology: Topology, corners: tuple[float, float], load: float, excess: float
) -> tuple[Element, ...]:
    """A lossless ladder of some shape to begin a fit with: textbook sections into a resistance.

    Args:
        topology: the shape.
        corners: of the high-pass and of the low-pass, Hz; one that it does not have is not used.
        load: what the driver draws about there, as a resistance, ohm.
        excess: by how much the driver is too loud, dB.

    Returns:
        Elements from the amplifier to the driver.
    """
    low, high = corners
    ladder = list[Element]()
    for side, order in topology.sections:
        if side == "low-pass":
            ladder += textbook_ladder(side, START, order, load, high_corner=high)
        else:
            ladder += textbook_ladder(side, START, order, load, low_corner=low)
    if "damping" in topology.additions:
        first = next(n for n, element in enumerate(ladder) if element.place == "across")
        ladder[first] = replace(ladder[first], resistor=load / 8)
    used = [low if side == "high-pass" else high for side, _ in topology.sections]
    makes = _additions(2 * np.pi * float(np.prod(used) ** (1 / len(used))), load, excess)
    before = [e for word in topology.additions if word in _BEFORE for e in makes[word]]
    after = [e for word in topology.additions if word not in _BEFORE for e in makes.get(word, ())]
    return (*before, *ladder, *after)


def _additions(omega: float, load: float, excess: float) -> dict[str, tuple[Element, ...]]:
    """What the words for whole elements stand for, to begin with."""
    excess = max(excess, LEAST_EXCESS)
    inductor, capacitor = load / (3 * omega), 3 / (load * omega)
    trap = Element("across", inductor, capacitor, load)
    return {
        "resistor": (Element("series", resistor=load * (10 ** (excess / 20) - 1)),),
        "trap in the way": (replace(trap, place="series", joined="side by side"),),
        "attenuator": attenuator(excess, load),
        "trap across": (trap,),
        "compensation": (Element("across", resistor=load, capacitor=1 / (2 * omega * load)),),
    }


def kinds_of(ladder: Sequence[Element]) -> tuple[str, ...]:
    """What each part of a ladder is, in the order of `values_of`."""
    return tuple(kind for e in ladder for kind in KINDS if getattr(e, kind) is not None)


def values_of(ladder: Sequence[Element]) -> np.ndarray:
    """The values of a ladder's parts, H, F and ohm, shape (part,)."""
    return np.array(
        [value for e in ladder for kind in KINDS if (value := getattr(e, kind)) is not None]
    )


def with_values(
    ladder: Sequence[Element], values: Sequence[float] | np.ndarray
) -> tuple[Element, ...]:
    """The same ladder with other values, in the order of `values_of`."""
    left = iter(values)

    def taken(old: float | None) -> float | None:
        return None if old is None else float(next(left))

    return tuple(
        replace(
            e,
            inductor=taken(e.inductor),
            capacitor=taken(e.capacitor),
            resistor=taken(e.resistor),
        )
        for e in ladder
    )


def in_pieces(ladder: Sequence[Element], seconds: Sequence[float]) -> tuple[Element, ...]:
    """The same ladder, some of its capacitors and resistors each in two pieces.

    Args:
        ladder: its values are those of both pieces together.
        seconds: the second piece of every part in the order of `values_of`, 0 for none.
    """
    left = iter(seconds)

    def split(element: Element) -> Element:
        if element.inductor is not None:
            next(left)
        if element.capacitor is not None and (second := float(next(left))):
            first = element.capacitor - second
            element = replace(element, capacitor=first, second_capacitor=second)
        if element.resistor is not None and (second := float(next(left))):
            first = element.resistor - second
            element = replace(element, resistor=first, second_resistor=second)
        return element

    return tuple(split(element) for element in ladder)
