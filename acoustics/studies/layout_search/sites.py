"""The moved drivers and the faces they move on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet import edge_distances
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.model import Case, Driver
from acoustics.case.design.place_model import Moved
from acoustics.case.geometry.shape import faces_of, flat_body_of
from acoustics.studies.driver_map.face_places import LEAST_ROOM, FacePlaces, is_rectangle


@dataclass(frozen=True)
class Site:
    """A moved driver and its face.

    `index` among the drivers, coordinates of the face, `spans` of its flat part in these, m, and
    whether that part is a rectangle along them.
    """

    driver: Driver
    index: int
    asked: Moved
    face: int
    frame: FaceFrame
    spans: tuple[tuple[float, float], tuple[float, float]]
    rectangle: bool


def sites_of(case: Case, moved: Sequence[Moved]) -> tuple[Site, ...]:
    """The faces on which drivers are moved, as they are with the edges of a case."""
    solid = flat_body_of(case.cabinet)
    names = [driver.name for driver in case.drivers]
    found = []
    for asked in moved:
        index = names.index(asked.driver)
        driver = case.drivers[index]
        frame = faces_of(case.cabinet).frame(driver.face)
        # By name, as the present place need not fit on what other edges leave of the face.
        face = faces_of(case.cabinet).index(driver.face)
        corners = solid.points[list(solid.faces[face].corners)] - frame.centre
        across, along = corners @ frame.right, corners @ frame.up
        spans = (float(across.min()), float(across.max())), (float(along.min()), float(along.max()))
        along_axes = is_rectangle(corners, frame)
        found.append(Site(driver, index, asked, face, frame, spans, along_axes))
    return tuple(found)


def fits(case: Case, site: Site, right: np.ndarray, up: np.ndarray) -> np.ndarray:
    """Where the piston fits on the flat part of its face."""
    solid = flat_body_of(case.cabinet)
    points = site.frame.points(right, up)
    room = site.driver.piston_diameter / 2 + 0.5 * LEAST_ROOM
    answer: np.ndarray = edge_distances(solid, site.face, points).min(axis=-1) >= room
    return answer


def bare_lattice(site: Site) -> FacePlaces:
    """The face of a driver without places or zones: rules say here where a driver may be."""
    none = np.empty(0)
    return FacePlaces(
        site.index, site.face, site.frame, np.empty((0, 2)), none, none,
        np.empty((0, 0), dtype=int), np.empty((0, 0), dtype=bool),
    )  # fmt: skip
