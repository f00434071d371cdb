"""From a case with a structure to the boards it is cut from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from acoustics.cabinet.half_spaces import Solid
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.case.geometry.shell import Shell, shell_in
from acoustics.case.geometry.wall_boards import WallBoard, frame_in, wall_boards, wall_names
from acoustics.conventions import RoundoverError
from acoustics.structure.board_model import Board, BoardEdge, Hole
from acoustics.structure.brace_boards import brace_board
from acoustics.structure.holes import WallHole, wall_holes
from acoustics.structure.outlines import bevel_of, lopsided, outline_of
from acoustics.structure.walls import material_named


def boards_of(case: Case) -> tuple[Board, ...]:
    """The boards of one cabinet of a case: its walls in the order of the faces, then its braces.

    Of a pair every count is 2. Cut and rounded edges that leave the inside square are made after
    gluing: boards are those of the edge before. Where braces cross, both are told whole.

    Raises:
        RoundoverError: the case does not say what the cabinet is built of.
    """
    structure = structure_in(case)
    shell = shell_in(case)
    holes = list(wall_holes(case, shell.faces))
    walls = wall_boards(shell, structure.joint, structure.outer)
    boards = [
        *(
            _wall(shell, structure, wall, [each for each in holes if each.face == wall.name])
            for wall in walls
        ),
        *(brace_board(shell, structure, brace) for brace in structure.braces),
    ]
    if not case.placement.pair:
        return tuple(boards)
    return tuple(replace(board, count=2, mirrored=lopsided(board)) for board in boards)


def structure_in(case: Case) -> Structure:
    """What the cabinet of a case is built of.

    Raises:
        RoundoverError: nothing is said of that.
    """
    if case.structure is None:
        raise RoundoverError(
            f"{case.title}: nothing says what the cabinet is built of; add a table [structure], "
            'with for example material = "MDF", and cabinet.wall_thickness'
        )
    return case.structure


def _wall(shell: Shell, structure: Structure, wall: WallBoard, holes: Sequence[WallHole]) -> Board:
    own = {name: material for name, material, _ in structure.wall_materials}
    material = material_named(structure, own.get(wall.name, ""))
    (left, low), (right, high) = wall.corners
    solid = wall.part.region.solid()
    assert solid is not None
    frame = frame_in(shell, wall.face)
    points = solid.points - frame.centre
    flat = np.stack([points @ frame.right - left, points @ frame.up - low], axis=1)
    volume = wall.part.volume
    cut = sum(hole.area for hole in holes) * wall.thickness
    return Board(
        name=wall.name,
        size=(right - left, high - low),
        thickness=wall.thickness,
        material=material.name,
        outline=outline_of(flat),
        volume=volume,
        mass=material.density * (volume - cut),
        edges=tuple(_edges(wall, solid, frame.outward, shell)),
        holes=tuple(_hole(hole, left, low) for hole in holes),
        notes=tuple(_notes(shell, wall, holes)),
    )


def _notes(shell: Shell, wall: WallBoard, holes: Sequence[WallHole]) -> Iterator[str]:
    if wall.name not in shell.faces.names:
        yield "a rounded edge: bend it, or shape it from thicker wood; the flat board is told"
    for hole in holes:
        if hole.guessed:
            yield f"the size of the hole for {hole.what} is not stated: its piston's is told"


def _hole(hole: WallHole, left: float, low: float) -> Hole:
    return Hole(
        what=hole.what,
        kind="round" if len(hole.size) == 1 else "rectangle",
        centre=(hole.centre[0] - left, hole.centre[1] - low),
        size=hole.size,
        area=hole.area,
    )


def _edges(wall: WallBoard, solid: Solid, outward: np.ndarray, shell: Shell) -> Iterator[BoardEdge]:
    """Every edge of a wall's board, in the order of its neighbours."""
    thick = dict(zip(wall_names(shell), shell.thicknesses, strict=True))
    rebated = {wall.neighbours[other] for other in wall.part.rebated}
    for plane, (owner, loop) in enumerate(zip(wall.neighbours, solid.loops, strict=True)):
        normal = wall.part.region.normals[plane]
        if owner == wall.name or not loop:
            continue
        along = np.cross(normal, outward)
        reach = np.ptp(solid.points[list(loop)] @ along) / np.linalg.norm(along)
        cut = owner in rebated
        yield BoardEdge(
            at=owner,
            length=float(reach),
            bevel=bevel_of(normal, outward),
            rebate_depth=wall.thickness / 2 if cut else 0.0,
            rebate_width=float(thick.get(owner, 0.0)) if cut else 0.0,
        )
