"""A check of the parts of a passive crossover alone: whether they short the amplifier."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from acoustics.case.design.network_model import Element
from acoustics.case.design.network_nodes import AMPLIFIER, RETURN, wiring_of
from acoustics.case.design.network_parts import Part, element_relations, part_impedances, parts_of

LEAST = 0.5
"""Ohm: what parts alone leave between an amplifier's terminals, at the least. Below it current
limiters act and fuses blow (common practice, no source)."""

BAND = (20.0, 20_000.0)
PER_OCTAVE = 48


class Short(NamedTuple):
    """The way of least impedance through parts from one terminal of the amplifier to the other.

    elements: their numbers, from the amplifier on. impedance: the sum of their magnitudes, ohm, at
    its smallest, and the frequency of that, Hz.
    """

    elements: tuple[int, ...]
    impedance: float
    frequency: float


def least_way(elements: Sequence[Element]) -> Short | None:
    """The most nearly short circuit of one driver's parts, the driver left open.

    Magnitudes are added up, so a resonance counts within an element but not between two: drivers
    and wire damp those. None where no way through parts leads from terminal to terminal.
    """
    parts = parts_of([elements])
    frequency = np.unique([*_grid(), *_resonances(parts)])
    n, d = element_relations(elements, parts, part_impedances(parts, frequency))
    size = np.full(n.shape, np.inf)
    np.divide(np.abs(n), np.abs(d), out=size, where=d != 0)
    ends = wiring_of(elements).ends
    names = {AMPLIFIER, RETURN, *(name for pair in ends for name in pair)}
    far = {name: np.full(frequency.size, np.inf) for name in names}
    came = {name: np.full(frequency.size, -1) for name in names}
    far[AMPLIFIER] = np.zeros(frequency.size)
    # Bellman and Ford: shorter ways are put in place of longer ones until there are none.
    for _ in names:
        for row, (start, end) in enumerate(ends):
            for here, there in ((start, end), (end, start)):
                shorter = far[here] + size[row] < far[there]
                far[there] = np.where(shorter, far[here] + size[row], far[there])
                came[there] = np.where(shorter, row, came[there])
    at = int(np.argmin(far[RETURN]))
    if not np.isfinite(far[RETURN][at]):
        return None
    way, here = list[int](), RETURN
    while here != AMPLIFIER:
        way.append(int(came[here][at]))
        start, end = ends[way[-1]]
        here = end if here == start else start
    return Short(tuple(reversed(way)), float(far[RETURN][at]), float(frequency[at]))


def _grid() -> np.ndarray:
    octaves = np.log2(BAND[1] / BAND[0])
    return np.geomspace(*BAND, int(octaves * PER_OCTAVE) + 1)


def _resonances(parts: Sequence[Part]) -> list[float]:
    """Where coil and capacitor of an element cancel, Hz; between points of the grid it is sharp."""
    elements = dict[int, dict[str, float]]()
    for part in parts:
        elements.setdefault(part.element, {})[part.kind] = part.value
    found = [
        1 / (2 * np.pi * np.sqrt(own["inductor"] * own["capacitor"]))
        for own in elements.values()
        if {"inductor", "capacitor"} <= own.keys()
    ]
    return [each for each in found if BAND[0] <= each <= BAND[1]]
