"""The walls of a cabinet as boards."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from acoustics.cabinet import face_frame
from acoustics.cabinet.convex import Region
from acoustics.cabinet.joints import Joint, WallPart, wall_parts
from acoustics.cabinet.place import FaceFrame
from acoustics.case.geometry.brace_solids import inside_of
from acoustics.case.geometry.shell import Shell


class WallBoard(NamedTuple):
    """A wall: its name, the index of its face, its thickness (m) and its part of the shell.

    `neighbours` are the walls that each plane of the part belongs to.
    `corners` are those of the smallest rectangle round it, [right, up] from the face's centre as
    one sees it from outside: lower left and upper right, m.
    """

    name: str
    face: int
    thickness: float
    part: WallPart
    neighbours: tuple[str, ...]
    corners: tuple[tuple[float, float], tuple[float, float]]

    @property
    def size(self) -> tuple[float, float]:
        """Longer and shorter side of that rectangle, m."""
        (left, low), (right, high) = self.corners
        shorter, longer = sorted((right - left, high - low))
        return longer, shorter

    @property
    def upright(self) -> bool:
        """Whether the longer side runs upward, and its grain; yes if both are alike."""
        (left, low), (right, high) = self.corners
        return high - low >= (right - left) * (1 - 1e-9)


def wall_boards(shell: Shell, joint: Joint, outer: Sequence[str]) -> tuple[WallBoard, ...]:
    """A board for every wall, in the order of the faces.

    Cut or rounded edges that leave the inside square are no walls: they are made after gluing,
    and boards are those of the edge before.

    Args:
        shell: the cabinet, with walls of a known thickness.
        joint: how boards meet.
        outer: names of the walls from the one that runs past the others on.
    """
    kept = walls_kept(shell)
    outside = Region(shell.body.normals[kept], shell.body.offsets[kept])
    names = [wall_names(shell)[face] for face in kept]
    order = [names.index(name) for name in outer if name in names]
    order += [index for index in range(len(names)) if index not in order]
    parts = wall_parts(outside, shell.thicknesses[kept], joint, order)
    return tuple(
        WallBoard(
            name=names[part.face],
            face=kept[part.face],
            thickness=float(shell.thicknesses[kept[part.face]]),
            part=part,
            neighbours=tuple(names[owner] for owner in part.owners),
            corners=_corners(shell, kept[part.face], part.region),
        )
        for part in parts
    )


def walls_kept(shell: Shell) -> list[int]:
    """Indices of the faces that are walls: all but cuts that the inside does not show."""
    solid = inside_of(shell).solid()
    assert solid is not None
    whole = len(shell.faces.whole.faces)
    return [face for face in range(len(shell.body.faces)) if face < whole or solid.loops[face]]


def wall_names(shell: Shell) -> tuple[str, ...]:
    """What the walls behind all faces of the body are called; of a rounded edge, its edge."""
    rounded = shell.faces.edges[len(shell.faces.cut.faces) - len(shell.faces.whole.faces) :]
    return (*shell.faces.names, *(f"{edge} rounding" for edge in rounded))


def frame_in(shell: Shell, face: int) -> FaceFrame:
    """Coordinates in a face of the body, see `face_frame`."""
    names = shell.faces.names
    return shell.faces.frame(names[face]) if face < len(names) else face_frame(shell.body, face)


def _corners(
    shell: Shell, face: int, region: Region
) -> tuple[tuple[float, float], tuple[float, float]]:
    frame, solid = frame_in(shell, face), region.solid()
    assert solid is not None
    points = solid.points - frame.centre
    across, along = points @ frame.right, points @ frame.up
    return (float(across.min()), float(along.min())), (float(across.max()), float(along.max()))
