"""From [structure] to what a cabinet is built of: materials, walls and braces by name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from acoustics.case.design.faces import Faces
from acoustics.case.design.structure_materials import LOSS, POISSON, board_named, lining_named
from acoustics.case.design.structure_model import Brace, Lining, Material, Sheet, Structure
from acoustics.case.tables.structure_table import (
    AllBut,
    BraceTable,
    LiningTable,
    MaterialTable,
    StructureTable,
)


def structure_of(text: StructureTable, faces: Faces, thickness: float) -> Structure:
    """What a checked table says, in SI units, its walls called as the cabinet's faces are.

    Args:
        text: the table.
        faces: of the cabinet.
        thickness: of walls and shelves of which nothing else is said, m.

    Raises:
        GeometryError: a wall that the cabinet does not have.
    """
    used = [text.material, *(wall.material for wall in text.walls.values())]
    used += [brace.material for brace in text.braces]
    names = dict.fromkeys(name for name in used if name)
    plain = text.model_dump(include={"fill_resistivity", "joint", "reach"})
    return Structure(
        material=text.material,
        materials=tuple(material_of(name, text.materials) for name in names),
        wall_materials=tuple(
            (wall_name(faces, name), wall.material or text.material, wall.thickness or thickness)
            for name, wall in text.walls.items()
        ),
        fixity=text.edges,
        braces=tuple(
            brace
            for number, table in enumerate(text.braces, 1)
            for brace in braces_of(number, table, faces, thickness)
        ),
        linings=tuple(lining_of(lining, faces) for lining in text.linings),
        outer=outer_order(text.outer, faces),
        sheet=Sheet(**text.sheet.model_dump()),
        **plain,
    )


def wall_name(faces: Faces, name: str) -> str:
    """What the cabinet's face of this name is called, where it has several names.

    Raises:
        GeometryError: no face is called so, or two may be meant.
    """
    return faces.names[faces.index(name)]


def outer_order(outer: Sequence[str] | None, faces: Faces) -> tuple[str, ...]:
    """All walls from the one that runs past all others on: those named, then the others.

    Raises:
        GeometryError: as `wall_name`.
    """
    first = Structure.outer if outer is None else outer
    known = [name for name in first if outer is not None or name in faces.names]
    return tuple(dict.fromkeys((*(wall_name(faces, name) for name in known), *faces.names)))


def walls_meant(walls: Sequence[str] | AllBut, faces: Faces) -> tuple[str, ...]:
    """What the walls of a list, or all but some, are called.

    Raises:
        GeometryError: as `wall_name`.
    """
    if isinstance(walls, AllBut):
        left_out = {wall_name(faces, name) for name in walls.names}
        return tuple(name for name in faces.names if name not in left_out)
    return tuple(dict.fromkeys(wall_name(faces, name) for name in walls))


def material_of(name: str, tables: Mapping[str, MaterialTable]) -> Material:
    """The board of this name: the case's own, a usual one, or the one completed by the other."""
    table, known = tables.get(name, MaterialTable()), board_named(name) or _UNKNOWN
    poisson = _first(table.poisson_ratio, known.poisson)
    along, across, shear = known.along, known.across, known.shear
    alike = math.isclose(shear, along / (2 * (1 + known.poisson)))
    if table.youngs_modulus is not None:
        along = across = table.youngs_modulus
    # A board that is as stiff one way as the other stays so with another Poisson's ratio.
    if table.youngs_modulus is not None or (alike and along == across):
        shear = along / (2 * (1 + poisson))
    return Material(
        name=name,
        density=_first(table.density, known.density),
        along=_first(table.youngs_modulus_along, along),
        across=_first(table.youngs_modulus_across, across),
        shear=_first(table.shear_modulus, shear),
        poisson=poisson,
        loss=_first(table.loss_factor, known.loss),
    )


_UNKNOWN = Material("", *4 * (math.nan,), POISSON, LOSS)


def missing_of(name: str, table: MaterialTable) -> list[str]:
    """The keys that a board still needs; none where a usual board is called so."""
    if board_named(name) is not None:
        return []
    missing = ["density"] if table.density is None else []
    if table.youngs_modulus is None:
        ways = ("youngs_modulus_along", "youngs_modulus_across", "shear_modulus")
        lacking = [key for key in ways if getattr(table, key) is None]
        missing += ["youngs_modulus"] if len(lacking) == len(ways) else lacking
    return missing


def _first(stated: float | None, known: float) -> float:
    return known if stated is None else stated


def braces_of(number: int, table: BraceTable, faces: Faces, thickness: float) -> Iterator[Brace]:
    """The braces of the table of this number: one bar for each of its walls, else one brace.

    Raises:
        GeometryError: as `wall_name`.
    """
    name = table.name or f"{table.kind} {number}"
    walls = tuple(wall_name(faces, wall) for wall in table.walls or ())
    if table.kind == "bar" and len(walls) > 1:
        for wall in walls:
            yield _brace(f"{name} {wall}", table, (wall,), thickness)
    else:
        yield _brace(name, table, walls, thickness)


def _brace(name: str, table: BraceTable, walls: tuple[str, ...], thickness: float) -> Brace:
    right, up = table.position or (0.0, 0.0)
    return Brace(
        name=name,
        kind=table.kind,
        walls=walls,
        width=table.width or 0.0,
        height=(table.thickness or thickness) if table.kind == "shelf" else table.height or 0.0,
        run=table.run or "crosswise",
        at=table.at or 0.0,
        position=(right, up),
        open=(0.5 if table.open is None else table.open) if table.kind == "shelf" else 0.0,
        material=table.material or "",
        enclosure=table.enclosure or "",
    )


def lining_of(table: LiningTable, faces: Faces) -> Lining:
    """The lining of a table.

    Raises:
        GeometryError: as `wall_name`.
    """
    resistivity, density = lining_named(table.material or "") or (math.nan, math.nan)
    return Lining(
        walls=walls_meant(table.walls, faces),
        thickness=table.thickness,
        flow_resistivity=_first(table.flow_resistivity, resistivity),
        density=_first(table.density, density),
    )
