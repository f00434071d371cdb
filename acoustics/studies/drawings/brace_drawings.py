"""Where braces are glued: every wall seen from inside, with what stands on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from acoustics.cabinet.names import face_words
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Brace
from acoustics.case.geometry.brace_solids import inside_of, region_of
from acoustics.case.geometry.shell import Shell, shell_in
from acoustics.case.geometry.wall_boards import WallBoard, frame_in, wall_boards
from acoustics.structure.holes import WallHole, wall_holes
from acoustics.structure.outlines import outline_of
from acoustics.studies.drawings.face_drawings import ROUND_IT, cut_of, letters, places, rectangular
from acoustics.studies.drawings.face_outline import seen_in
from acoustics.studies.drawings.model import Drawing, Line, Point, Ring
from acoustics.studies.wording import tenths

KEEP_CLEAR = (
    "What bears no letter is a hole, also where a driver reaches in: glue no brace across it."
)

MIRRORED = np.array([-1.0, 1.0])
"""a wall seen from inside: its right is on the left"""


def brace_drawings(case: Case) -> tuple[Drawing, ...]:
    """Every wall on which a brace stands, seen from inside; none where no braces are stated.

    The outline is that of the inside, between the neighbouring walls' inner faces.
    """
    if case.structure is None or not case.structure.braces:
        return ()
    shell = shell_in(case)
    walls = wall_boards(shell, case.structure.joint, case.structure.outer)
    holes = list(wall_holes(case, shell.faces))
    drawn = (_wall(case.title, shell, wall, case.structure.braces, holes) for wall in walls)
    return tuple(each for each in drawn if each is not None)


def _wall(
    subject: str, shell: Shell, wall: WallBoard, braces: Sequence[Brace], holes: Sequence[WallHole]
) -> Drawing | None:
    frame = frame_in(shell, wall.face)

    def seen(points: np.ndarray) -> np.ndarray:
        return seen_in(frame, points) * MIRRORED

    inside = inside_of(shell).solid()
    assert inside is not None  # the checks of the case see to that
    inner = seen(inside.points[list(inside.loops[wall.face])])
    corner, size = inner.min(axis=0), np.ptp(inner, axis=0)
    standing = list(_standing(shell, wall.face, braces))
    if not standing:
        return None
    feet = [
        (letter, brace, outline_of(seen(points) - corner))
        for letter, (brace, points) in zip(letters(len(standing)), standing, strict=True)
    ]
    (left, low), (right, high) = wall.corners
    # From inside, the board's right end is on the left.
    beyond = (
        corner[0] + right,
        -left - corner[0] - size[0],
        corner[1] - low,
        high - corner[1] - size[1],
    )
    return Drawing(
        name=f"braces {wall.name}",
        title=f"braces on the {face_words(wall.name)}, seen from inside",
        subject=subject,
        size=(float(size[0]), float(size[1])),
        middle=(float(-corner[0]), float(-corner[1])),
        outline=outline_of(inner - corner),
        rings=tuple(_rings(wall.name, holes, corner)),
        lines=(
            *(Line(brace.name, points, letter) for letter, brace, points in feet),
            *_slots(wall.name, holes, corner),
        ),
        across=places(x for *_, points in feet for x in _ends(points, 0, size[0])),
        upward=places(y for *_, points in feet for y in _ends(points, 1, size[1])),
        notes=(
            *(_foot_words(letter, brace, points) for letter, brace, points in feet),
            "The outline is the inside of the wall: its board goes on by "
            + ", ".join(
                f"{tenths(max(float(more), 0.0))} {side}"
                for more, side in zip(beyond, ("left", "right", "below", "above"), strict=True)
            )
            + ".",
            *(() if rectangular(inner) else (ROUND_IT,)),
            *([KEEP_CLEAR] if any(hole.face == wall.name for hole in holes) else []),
        ),
    )


def _standing(
    shell: Shell, face: int, braces: Sequence[Brace]
) -> Iterator[tuple[Brace, np.ndarray]]:
    """Braces that touch a wall, with the corners (corner, 3) of where they do."""
    for brace in braces:
        solid = region_of(shell, brace).solid()
        if solid is not None and solid.loops[face]:
            yield brace, solid.points[list(solid.loops[face])]


def _rings(name: str, holes: Sequence[WallHole], corner: np.ndarray) -> Iterator[Ring]:
    """Round holes of a wall; from inside their right is on the left."""
    for hole in holes:
        if hole.face == name and len(hole.size) == 1:
            x, y = np.array(hole.centre) * MIRRORED - corner
            yield Ring(hole.what, (float(x), float(y)), hole.size[0] / 2)


def _slots(name: str, holes: Sequence[WallHole], corner: np.ndarray) -> Iterator[Line]:
    """Holes of a wall that are not round, likewise."""
    for hole in holes:
        if hole.face == name and len(hole.size) > 1:
            x, y = np.array(hole.centre) * MIRRORED - corner
            yield Line(hole.what, cut_of("", hole, (x, y)).outline)


def _ends(points: Sequence[Point], axis: int, whole: float) -> Iterator[float]:
    """From where to where a brace reaches, without what the wall's own ends say."""
    values = [point[axis] for point in points]
    yield from (each for each in (min(values), max(values)) if 1e-4 < each < whole - 1e-4)


def _foot_words(letter: str, brace: Brace, points: Sequence[Point]) -> str:
    across, up = zip(*points, strict=True)
    return (
        f"{letter}  {brace.name}: from {tenths(min(across))} to {tenths(max(across))} from left, "
        f"{tenths(min(up))} to {tenths(max(up))} from bottom"
    )
