"""Where drivers, ports and passive radiators meet the air in a cabinet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.polynomial.legendre import leggauss

from acoustics.cabinet.place import FaceFrame
from acoustics.cabinet.ports import effective_length
from acoustics.case.design.enclosure_model import port_part
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.case.geometry.mouths import Mouth, port_mouth
from acoustics.case.geometry.shell import shell_of
from acoustics.structure.air_inside import Inside, structure_of, the_enclosure, wall_depths
from acoustics.structure.air_modes import AirModes

OpeningKind = Literal["driver", "port", "passive radiator"]

RINGS = 3
TURNS = 8
"""A mean over a disc takes so many points a ring: exact for a parabola and far beyond."""

HEIGHTS = 401
"""places along a face that are looked at for quiet heights"""


@dataclass(frozen=True)
class Opening:
    """Where something moves or feels the air of a space: points (point, 3), m, and weights.

    The weights add up to 1. `mass` is that of the air in a port, kg/m⁴; None of anything else.
    """

    name: str
    kind: OpeningKind
    points: np.ndarray
    weights: np.ndarray
    mass: float | None = None


def openings_of(
    case: Case, inside: Inside, structure: Structure | None = None
) -> tuple[Opening, ...]:
    """What meets the air inside: drivers, then ports, then passive radiators.

    A driver counts at the inner side of its wall, as a flat disc; a port at the inner end of its
    duct, straight in. Where no enclosure is stated all drivers count, open at the back or not.
    """
    shell = shell_of(case.cabinet)
    depths = wall_depths(shell, structure_of(case, structure))
    enclosure = the_enclosure(case)
    names = [driver.name for driver in case.drivers] if enclosure is None else enclosure.drivers

    def opening(
        name: str,
        kind: OpeningKind,
        face: str,
        mouth: Mouth,
        length: float | None = None,
        mass: float | None = None,
    ) -> Opening:
        inward = depths[shell.faces.index(face)] if length is None else length
        across, weights = mouth_rule(mouth)
        points = behind(shell.faces.frame(face), across, float(inward))
        return Opening(name, kind, inside.moved_in(points), weights, mass)

    found = []
    for name in names:
        driver = case.driver(name)
        disc = Mouth(driver.position, radius=driver.piston_diameter / 2)
        found.append(opening(name, "driver", driver.face, disc))
    for port in () if enclosure is None else enclosure.ports:
        area = np.pi / 4 * port.size[0] ** 2 if len(port.size) == 1 else np.prod(port.size)
        long = effective_length(port.length, float(area), (port.outer_end, port.inner_end))
        mass = case.air.density * long / float(area)
        title = port_part(port.name)
        found.append(opening(title, "port", port.face, port_mouth(port), port.length, mass))
    for passive in () if enclosure is None else enclosure.passive_radiators:
        disc = Mouth(passive.position, radius=passive.piston_diameter / 2)
        title = f"passive radiator {passive.name}"
        found.append(opening(title, "passive radiator", passive.face, disc))
    return tuple(found)


def behind(frame: FaceFrame, across: np.ndarray, depth: float) -> np.ndarray:
    """Points [right, up] of a face, so far behind it, (point, 3), m."""
    answer: np.ndarray = frame.points(across[:, 0], across[:, 1]) - depth * frame.outward
    return answer


def mouth_rule(mouth: Mouth) -> tuple[np.ndarray, np.ndarray]:
    """Points [right, up] and weights of a mean over a disc or a rectangle."""
    places, weights = leggauss(RINGS)
    if mouth.radius:
        radii = mouth.radius * np.sqrt((places + 1) / 2)
        turns = 2 * np.pi * np.arange(TURNS) / TURNS
        points = np.stack([np.outer(radii, np.cos(turns)), np.outer(radii, np.sin(turns))], -1)
        shares = np.repeat(weights / 2, TURNS) / TURNS
    else:
        grid = np.stack(np.meshgrid(places, places, indexing="ij"), axis=-1)
        points = grid * np.array(mouth.half)
        shares = np.outer(weights, weights).ravel() / 4
    answer: np.ndarray = np.array(mouth.centre) + points.reshape(-1, 2)
    return answer, shares


def felt(modes: AirModes, openings: tuple[Opening, ...]) -> np.ndarray:
    """Mean of every term's shape over each opening, shape (opening, term)."""
    return np.array([modes.term_shapes(each.points) @ each.weights for each in openings])


@dataclass(frozen=True)
class QuietHeights:
    """At which heights a driver leaves standing waves alone, on its vertical through its place.

    Args:
        driver: its name.
        modes: numbers of the standing waves that change along the height, shape (mode,).
        heights: for each, where its mean over the piston is 0, m up from the middle of the face.
        best: height at which the driver excites the first of them least, taken together.
        loudness: mean square of what it excites there over that at the present height; 1: as loud.
    """

    driver: str
    modes: tuple[int, ...]
    heights: tuple[tuple[float, ...], ...]
    best: float
    loudness: float


def quiet_heights(
    case: Case,
    modes: AirModes,
    driver: str,
    structure: Structure | None = None,
    *,
    first: int = 3,
) -> QuietHeights:
    """At which heights on its face a driver leaves the first standing waves alone.

    It leaves one alone where the mean of its shape over the piston is 0. Heights go as far as the
    frame stays before the inside; whether it fits beside what else is there, a check of places
    tells.

    Args:
        case: the design.
        modes: of its air.
        driver: its name.
        structure: as `air_modes`.
        first: how many of the waves that change along the height are to be left alone together.
    """
    shell, one = shell_of(case.cabinet), case.driver(driver)
    frame = shell.faces.frame(one.face)
    depth = float(wall_depths(shell, structure_of(case, structure))[shell.faces.index(one.face)])
    corners = modes.inside.solid.points
    along = (corners - frame.centre) @ frame.up
    half = one.frame_diameter / 2
    heights = np.linspace(along.min() + half, along.max() - half, HEIGHTS)
    disc, weights = mouth_rule(Mouth((one.position[0], 0.0), radius=one.piston_diameter / 2))
    upward = heights[:, None, None] * np.array([0.0, 1.0])
    points = modes.inside.moved_in(behind(frame, (disc + upward).reshape(-1, 2), depth))
    shapes = modes.term_shapes(points)[1 : 1 + modes.count]
    means = shapes.reshape(modes.count, heights.size, weights.size) @ weights
    changing = np.flatnonzero(np.ptp(means, axis=1) > CHANGES)
    sought = (means[changing[:first]] ** 2).sum(axis=0)
    best = int(sought.argmin())
    present = float(np.interp(one.position[1], heights, sought))
    return QuietHeights(
        driver,
        tuple(int(mode) for mode in changing),
        tuple(_zeros(heights, means[mode]) for mode in changing),
        float(heights[best]),
        float(sought[best] / present) if present > 0 else 1.0,
    )


CHANGES = 0.2
"""Of a shape whose mean square is 1: what changes less along the height has no nodes there."""


def _zeros(places: np.ndarray, values: np.ndarray) -> tuple[float, ...]:
    """Where values change their sign, interpolated."""
    before = np.flatnonzero(np.sign(values[:-1]) * np.sign(values[1:]) < 0)
    share = values[before] / (values[before] - values[before + 1])
    found = places[before] + share * (places[before + 1] - places[before])
    exact = places[values == 0.0]
    return tuple(float(place) for place in np.sort(np.concatenate([found, exact])))
