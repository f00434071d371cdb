"""The walls of a cabinet as plates between each other: outlines, boards, cut-outs, linings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet import walled
from acoustics.cabinet.half_spaces import solid_behind
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Case, Driver
from acoustics.case.design.structure_model import Material, Structure
from acoustics.case.geometry.brace_solids import runs_upward
from acoustics.case.geometry.shape import body_of, faces_of
from acoustics.case.geometry.shell import own_walls, shell_of
from acoustics.case.geometry.wall_boards import wall_boards
from acoustics.conventions import GeometryError
from acoustics.source.radiators import radiators_of

THINNEST = 2.0
"""A wall's free width over its thickness below which it is a block, not a plate that bends."""


@dataclass(frozen=True)
class CutOut:
    """A round opening in a wall: of a driver, a passive radiator, or a port (a slot's equal area).

    `centre` (right, up) from the middle of the wall, `radius` and `rim` in metres: a driver's
    `mass` (kg) hangs on its screws, on a circle of the radius `rim` half-way between the cut-out
    and the frame's edge. `driver` is its number in the case, None of anything else. The frame
    itself is not counted as stiff.
    """

    name: str
    centre: tuple[float, float]
    radius: float
    rim: float = 0.0
    mass: float = 0.0
    driver: int | None = None


@dataclass(frozen=True)
class Wall:
    """A wall between the walls round it.

    Points on it are (right, up) in metres from the middle of its outer face as one sees it from
    outside (`frame`). `corners` is its free outline, where the inner sides of its neighbours meet
    its own, counter-clockwise, shape (corner, 2). `upright` says that its longer side runs upward,
    by its outer size, as bars count it; `grain_up` that the grain of its board does, along the
    longer side of that. Between thick neighbours neither need be the longer side of the outline.
    `lining` is the mass of what lies on it, kg/m².
    """

    name: str
    frame: FaceFrame
    corners: np.ndarray
    thickness: float
    material: Material
    upright: bool
    grain_up: bool
    cutouts: tuple[CutOut, ...] = ()
    lining: float = 0.0

    @property
    def size(self) -> tuple[float, float]:
        """Free width (to the right) and height (upward), m."""
        width, height = np.ptp(self.corners, axis=0)
        return float(width), float(height)

    @property
    def point_inside(self) -> np.ndarray:
        """Middle of its inner side, below the middle of the outer one, (3,), m."""
        return np.asarray(self.frame.centre - self.thickness * self.frame.outward)


def walls_of(case: Case, structure: Structure) -> tuple[Wall, ...]:
    """The walls that bend, in the order of the cabinet's faces.

    Left out are chamfers and the like that the walls' thickness leaves nothing of, or a strip too
    narrow to be a plate (`THINNEST`); a cabinet without an inside has none. A driver without a
    stated cut-out has one as wide as its piston; without a stated mass it weighs nothing.

    Args:
        case: the design.
        structure: what its walls are made of.

    Raises:
        GeometryError: no wall thickness stated, or a wall or board that is not there.
    """
    faces = faces_of(case.cabinet)
    body = walled(body_of(case.cabinet))
    boards = _boards(case, structure, faces)
    if body.thin:
        return ()
    usual = case.cabinet.wall_thickness
    depths = [boards[name][1] for name in faces.names]
    # Rounds are cut into the corner of two walls: what stands for one is as thick as they are.
    depths += [usual if usual is not None else max(depths)] * (len(body.faces) - len(depths))
    solid = solid_behind(body.normals, body.offsets - np.array(depths))
    if solid is None:
        return ()
    shell = shell_of(case.cabinet, own_walls(structure.wall_materials))
    grain_up = {
        board.name: board.upright for board in wall_boards(shell, structure.joint, structure.outer)
    }
    cutouts = {name: tuple(_cutouts(case, faces, name)) for name in faces.names}
    walls = []
    for name, loop in zip(faces.names, solid.loops, strict=False):
        frame, (material, thickness) = faces.frame(name), boards[name]
        over = solid.points[list(loop)] - frame.centre
        corners = np.stack([over @ frame.right, over @ frame.up], axis=1)
        if len(corners) >= 3 and np.ptp(corners, axis=0).min() >= THINNEST * thickness:
            lining = sum(
                lining.density * lining.thickness
                for lining in structure.linings
                if name in lining.walls
            )
            walls.append(
                Wall(
                    name,
                    frame,
                    corners,
                    thickness,
                    material,
                    upright=runs_upward(shell, name),
                    grain_up=grain_up[name],
                    cutouts=cutouts[name],
                    lining=lining,
                )
            )
    return tuple(walls)


def material_named(structure: Structure, name: str) -> Material:
    """The board that is called so; "" is the one of the walls.

    Raises:
        GeometryError: there is none.
    """
    wanted = name or structure.material
    for material in structure.materials:
        if material.name == wanted:
            return material
    known = ", ".join(repr(material.name) for material in structure.materials)
    raise GeometryError(f"no material is called {wanted!r}; there are {known or 'none'}")


def wall_named(walls: tuple[Wall, ...], name: str) -> Wall:
    """The wall that is called so.

    Raises:
        GeometryError: there is none that bends.
    """
    for wall in walls:
        if wall.name == name:
            return wall
    known = ", ".join(wall.name for wall in walls)
    raise GeometryError(
        f"there is no {name} wall, or it is too narrow to bend; walls that bend are "
        f"{known or 'none'}"
    )


def _boards(case: Case, structure: Structure, faces: Faces) -> dict[str, tuple[Material, float]]:
    """Material and thickness (m) of the wall at each face."""
    own = {name: (material, thickness) for name, material, thickness in structure.wall_materials}
    strange = sorted(own.keys() - set(faces.names))
    if strange:
        raise GeometryError(f"no wall is called {strange[0]!r}; walls are {', '.join(faces.names)}")
    boards = {}
    for name in faces.names:
        material, thickness = own.get(name, ("", case.cabinet.wall_thickness))
        if thickness is None:
            raise GeometryError(
                f'the {name} wall has no thickness; state cabinet.wall_thickness, such as "18 mm"'
            )
        boards[name] = (material_named(structure, material), thickness)
    return boards


def _cutouts(case: Case, faces: Faces, wall: str) -> Iterator[CutOut]:
    for each in radiators_of(case):
        if faces.index(each.face) != faces.index(wall):
            continue
        if each.driver is not None:
            yield driver_cutout(case.drivers[each.driver], each.driver)
        elif each.kind == "port":
            yield CutOut(f"port {each.name}", each.position, math.sqrt(each.area / math.pi))
        else:
            yield CutOut(f"{each.kind} {each.name}", each.position, each.size[0] / 2)


def driver_cutout(driver: Driver, number: int) -> CutOut:
    """What a driver does to the wall it is screwed to."""
    cutout = driver.cutout_diameter or driver.piston_diameter
    rim = max(cutout, (cutout + driver.frame_diameter) / 2) / 2
    return CutOut(driver.name, driver.position, cutout / 2, rim, driver.mass or 0.0, number)
