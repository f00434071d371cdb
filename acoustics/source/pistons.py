"""The pistons of everything that moves air, on the body of the cabinet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import Body, Piston, RoundedBody, face_named
from acoustics.case.design.enclosure_model import PassiveRadiator, Port
from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import body_of, faces_of, pistons_of


@dataclass(frozen=True)
class Pistons:
    """A body and the pistons on it.

    `pistons`: one for each driver, then those of ports and passive radiators, then the rear sides
    of drivers that radiate from both sides of a plate. `parts` says of each radiator, in the order
    of `radiators_of`, which pistons it has, and the share of its volume velocity in each: −1 for a
    rear side.
    """

    body: Body | RoundedBody
    pistons: tuple[Piston, ...]
    parts: tuple[tuple[tuple[int, float], ...], ...]


def all_pistons(case: Case) -> Pistons:
    """The pistons of a case.

    Raises:
        GeometryError: a driver, port or passive radiator that cannot be where the case puts it.
    """
    body, faces = body_of(case.cabinet), faces_of(case.cabinet)
    pistons = list(pistons_of(case))
    parts = [[(number, 1.0)] for number in range(len(pistons))]
    for enclosure in case.enclosures:
        others: tuple[Port | PassiveRadiator, ...]
        others = (*enclosure.ports, *enclosure.passive_radiators)
        for other in others:
            discs = _discs(faces, other)
            numbers = range(len(pistons), len(pistons) + len(discs))
            parts.append([(number, 1 / len(discs)) for number in numbers])
            pistons += discs
    for number, driver in enumerate(case.drivers):
        if driver.both_sides:
            parts[number].append((len(pistons), -1.0))
            pistons.append(_rear_side(body, pistons[number]))
    return Pistons(body, tuple(pistons), tuple(tuple(part) for part in parts))


def _discs(faces: Faces, other: Port | PassiveRadiator) -> list[Piston]:
    """A passive radiator or a round port is one disc, a slot a row of them as wide as it is."""
    frame = faces.frame(other.face)
    index = faces.index(other.face) if faces.whole.thin else None
    if isinstance(other, PassiveRadiator):
        size: tuple[float, ...] = (other.piston_diameter,)
    else:
        size = other.size
    diameter, along = min(size), max(size)
    count = int(along / diameter + 1e-9)  # none may reach beyond the slot, nor over another
    steps = (np.arange(count) - (count - 1) / 2) * along / count
    upright = len(size) == 2 and size[1] > size[0]
    right, up = other.position
    places = [(right, up + step) if upright else (right + step, up) for step in steps.tolist()]
    return [Piston(diameter / 2, frame.point(*place), face=index) for place in places]


def _rear_side(body: Body | RoundedBody, piston: Piston) -> Piston:
    """The same piston on the back of a plate."""
    solid = body if isinstance(body, Body) else body.base
    back = face_named(solid, "back")
    x, y, _ = piston.centre
    # The back looks to −z, so its offset along its normal is the plate's thickness.
    centre = (x, y, -float(solid.offsets[back]))
    return replace(piston, centre=centre, face=back, profile=piston.profile.from_behind)
