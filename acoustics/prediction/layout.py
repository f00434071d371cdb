"""What radiates, from which body, and how the fields of its pistons add up."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import (
    Body,
    Piston,
    RoundedBody,
    face_frame,
    flat_parts,
    mirrored_in_floor,
    mirrored_piston,
)
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import faces_of, uncut_body
from acoustics.source.pistons import all_pistons
from acoustics.source.radiators import radiators_of

SYMMETRIC = 1e-9
"""m: corners that agree this closely with their mirror images make a body its own mirror image."""

FACETS_SHOWN = 8
"""of each rounded edge where a body's corners are stated: fine enough to look round"""


@dataclass(frozen=True)
class Layout:
    """A body and everything that radiates on it; see `Pistons`.

    `drivers` is how many of the radiators are drivers; they come first. `side` is where the layout
    is lopsided, see `drawn_side`.
    """

    body: Body | RoundedBody
    pistons: tuple[Piston, ...]
    parts: tuple[tuple[tuple[int, float], ...], ...]
    drivers: int
    side: float

    @property
    def centres(self) -> np.ndarray:
        """Centre of each driver, m, shape (driver, 3)."""
        return self.radiator_centres[: self.drivers]

    @property
    def radiator_centres(self) -> np.ndarray:
        """Centre of each radiator, of a driver on its own face, m, shape (radiator, 3)."""
        fronts = [[self.pistons[n].centre for n, share in part if share > 0] for part in self.parts]
        return np.array([np.mean(centres, axis=0) for centres in fronts])

    @property
    def corners(self) -> np.ndarray:
        """Corners of the body, its rounded edges in `FACETS_SHOWN` facets, shape (corner, 3), m."""
        body = self.body
        return body.points if isinstance(body, Body) else body.corners(FACETS_SHOWN)

    @property
    def turned(self) -> tuple[Piston, ...]:
        """The pistons as they are solved: mirrored if the layout is lopsided to the left."""
        if self.side >= 0:
            return self.pistons
        return tuple(replace(p, centre=(-p.centre[0], *p.centre[1:])) for p in self.pistons)

    def front_outline(self, case: Case) -> np.ndarray:
        """Corners of the front face, its flat part, (right, up) from its centre, (corner, 2), m."""
        frame = face_frame(uncut_body(case.cabinet), 0)
        solid = flat_parts(self.body)
        corners = solid.points[list(solid.faces[0].corners)] - frame.centre
        return np.stack([corners @ frame.right, corners @ frame.up], axis=-1)

    def per_radiator(self, field: np.ndarray, *, size: bool = False) -> np.ndarray:
        """Field of each radiator from that of its pistons: (piston, …) → (radiator, …).

        Rear sides are in opposite phase; where `field` is the `size` of errors they add up.
        """
        answer = []
        for (first, share), *others in self.parts:
            sent = share * field[first]
            for piston, share in others:
                sent = sent + (abs(share) if size else share) * field[piston]
            answer.append(sent)
        return np.stack(answer)


def layout_of(case: Case) -> Layout:
    """The layout of a case.

    Raises:
        GeometryError: a driver that cannot be where the case puts it.
    """
    found = all_pistons(case)
    side = drawn_side(found.body, found.pistons)
    return Layout(found.body, found.pistons, found.parts, len(case.drivers), side)


def face_frames(case: Case) -> dict[str, FaceFrame]:
    """Coordinates in the front face and in every other that carries something, by its name."""
    faces = faces_of(case.cabinet)
    names = dict.fromkeys(["front", *(radiator.face for radiator in radiators_of(case))])
    return {name: faces.frame(name) for name in names}


def drawn_side(body: Body | RoundedBody, pistons: tuple[Piston, ...]) -> float:
    """On which side a layout is lopsided: 1 right, −1 left, 0 for one that is its mirror image.

    By the first piston that is not in the middle. On a body that is its own mirror image, a layout
    and its mirror image are solved as one, so that they get the same numbers to the last digit; on
    any other body the answer is 1, which leaves everything as it is.
    """
    solid = flat_parts(body)
    if not _own_image(solid):
        return 1.0
    sides = (float(np.sign(piston.centre[0])) for piston in pistons)
    return next((side for side in sides if side), 0.0)


def over_the_floor(layout: Layout, floor_level: float) -> Layout:
    """The layout with its mirror image in a hard floor on which the cabinet stands: one body.

    The mirror twins follow the pistons.

    Raises:
        GeometryError: a base that does not stand flat on the floor, an edge of it that is rounded,
            or a driver in it.
    """
    twins = tuple(mirrored_piston(piston, floor_level) for piston in layout.pistons)
    body = mirrored_in_floor(layout.body, floor_level)
    return replace(layout, body=body, pistons=(*layout.pistons, *twins))


def _own_image(body: Body) -> bool:
    """Whether a body is its own mirror image from left to right."""
    mirrored = body.points * [-1.0, 1.0, 1.0]
    apart = np.linalg.norm(body.points[:, None] - mirrored[None], axis=-1)
    return bool(apart.min(axis=1).max() <= SYMMETRIC)
