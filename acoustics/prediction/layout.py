"""What radiates, from which body: the pistons of a case on its cabinet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import (
    Body,
    Piston,
    RoundedBody,
    face_frame,
    face_named,
    flat_parts,
    mirrored_in_floor,
    mirrored_piston,
)
from acoustics.cabinet.place import FaceFrame
from acoustics.case.model import Case
from acoustics.case.shape import body_of, faces_of, pistons_of, uncut_body

SYMMETRIC = 1e-9
"""m: corners that agree this closely with their mirror images make a body its own mirror image."""

FACETS_SHOWN = 8
"""of each rounded edge where a body's corners are stated: fine enough to look round"""


@dataclass(frozen=True)
class Layout:
    """A body and everything that radiates on it.

    `pistons`: one for each driver, then the rear sides of those in `open_backs`, in its order
    (indices of drivers). `side` is where the layout is lopsided, see `drawn_side`.
    """

    body: Body | RoundedBody
    pistons: tuple[Piston, ...]
    open_backs: tuple[int, ...]
    side: float

    @property
    def drivers(self) -> int:
        """How many drivers there are."""
        return len(self.pistons) - len(self.open_backs)

    @property
    def centres(self) -> np.ndarray:
        """Centre of each driver, m, shape (driver, 3)."""
        return np.array([piston.centre for piston in self.pistons[: self.drivers]])

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

    def per_driver(self, field: np.ndarray, rear: float = -1.0) -> np.ndarray:
        """Field of each driver, its rear side in opposite phase: (piston, …) → (driver, …).

        `rear` is what the rear side counts; errors of both sides add: 1.
        """
        drivers = np.array(field[: self.drivers])
        for place, driver in enumerate(self.open_backs, start=self.drivers):
            drivers[driver] += rear * field[place]
        return drivers


def layout_of(case: Case) -> Layout:
    """The layout of a case.

    Raises:
        GeometryError: a driver that cannot be where the case puts it.
    """
    body = body_of(case.cabinet)
    pistons = pistons_of(case)
    open_backs = tuple(i for i, driver in enumerate(case.drivers) if driver.both_sides)
    backs = tuple(_rear_side(body, pistons[i]) for i in open_backs)
    everything = (*pistons, *backs)
    return Layout(body, everything, open_backs, drawn_side(body, everything))


def face_frames(case: Case) -> dict[str, FaceFrame]:
    """Coordinates in the front face and in every other that carries a driver, by its name."""
    faces = faces_of(case.cabinet)
    names = dict.fromkeys(["front", *(driver.face for driver in case.drivers)])
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


def _rear_side(body: Body | RoundedBody, piston: Piston) -> Piston:
    """The same piston on the back of a plate."""
    solid = body if isinstance(body, Body) else body.base
    back = face_named(solid, "back")
    x, y, _ = piston.centre
    # The back looks to −z, so its offset along its normal is the plate's thickness.
    centre = (x, y, -float(solid.offsets[back]))
    return replace(piston, centre=centre, face=back, profile=piston.profile.from_behind)


def _own_image(body: Body) -> bool:
    """Whether a body is its own mirror image from left to right."""
    mirrored = body.points * [-1.0, 1.0, 1.0]
    apart = np.linalg.norm(body.points[:, None] - mirrored[None], axis=-1)
    return bool(apart.min(axis=1).max() <= SYMMETRIC)
