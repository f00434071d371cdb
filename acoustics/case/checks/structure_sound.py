"""The walls and braces of [structure] as far as they are described soundly, for checks."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case.checks.outside import Outside
from acoustics.case.design.faces import Faces
from acoustics.case.design.structure_model import Brace
from acoustics.case.geometry.cabinet_of import cabinet_of
from acoustics.case.geometry.shell import Shell, shell_of
from acoustics.case.objects.structure_of import braces_of, wall_name
from acoustics.case.tables.sound import Values
from acoustics.conventions import GeometryError


def sound_shell(outside: Outside, structure: Values) -> Shell | None:
    """The cabinet's shell; None where too little is known of it, or it has none."""
    if outside.faces is None or outside.shape == "plate":
        return None
    if "wall_thickness" not in outside.values:
        return None
    own = tuple(
        (wall_name(outside.faces, name), wall.thickness)
        for name, wall in (structure.get("walls") or {}).items()
        if wall.thickness is not None and has_wall(outside.faces, name)
    )
    return shell_of(cabinet_of(outside.values), own)


def sound_braces(shell: Shell, structure: Values) -> Iterator[tuple[int, Brace]]:
    """Braces on walls that are there, each with the index of its table."""
    for index, table in enumerate(structure.get("braces") or ()):
        if all(has_wall(shell.faces, name) for name in table.walls or ()):
            for brace in braces_of(index + 1, table, shell.faces, shell.wall or 0.0):
                yield index, brace


def has_wall(faces: Faces, name: str) -> bool:
    """Whether the cabinet has one wall of this name."""
    try:
        wall_name(faces, name)
    except GeometryError:
        return False
    return True
