"""Checks of [structure] against the cabinet: its walls and materials."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from acoustics.cabinet.convex import Region
from acoustics.case.checks.brace_checks import brace_problems
from acoustics.case.checks.outside import Outside
from acoustics.case.checks.structure_sound import has_wall, sound_braces, sound_shell
from acoustics.case.design.faces import Faces
from acoustics.case.design.structure_materials import BOARDS, LININGS, board_named, lining_named
from acoustics.case.geometry.brace_solids import inside_of
from acoustics.case.geometry.shell import Shell
from acoustics.case.geometry.wall_boards import wall_boards
from acoustics.case.messages.faults import Problem
from acoustics.case.objects.structure_of import (
    material_of,
    missing_of,
    outer_order,
    wall_name,
    walls_meant,
)
from acoustics.case.tables.sound import Values
from acoustics.case.tables.structure_table import AllBut, MaterialTable, SheetTable
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice, listed
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError

AT: Path = ("structure",)


def structure_problems(
    outside: Outside,
    values: Values,
    drivers: Mapping[str, Values],
    enclosures: Sequence[str],
) -> Iterator[Problem]:
    """What is wrong with the sound `values` of [structure] on this cabinet.

    `drivers` have the names of their faces; `enclosures` are the names of all. What braces do to
    ports and to volumes is for the checks of the enclosures.
    """
    if outside.shape == "plate":
        yield Problem(
            AT,
            "a plate is an open baffle and has no inside to brace or line; take the table out, or "
            "give the cabinet another shape",
        )
        return
    if outside.values.get("wall_thickness", 0.0) is None:
        yield Problem(
            AT,
            "the table says what walls are made of, and nothing says how thick they are; add it, "
            'for example cabinet.wall_thickness = "18 mm"',
        )
        return
    yield from _material_problems(values)
    if outside.faces is not None:
        yield from _wall_problems(outside.faces, values)
    yield from _lining_problems(values)
    shell = sound_shell(outside, values)
    if shell is not None and shell.inside:
        yield from brace_problems(shell, [*sound_braces(shell, values)], drivers, enclosures)
        yield from _space_problems(shell, values)
        yield from _sheet_problems(shell, values)


def _wall_problems(faces: Faces, values: Values) -> Iterator[Problem]:
    """Names of walls that are no face of the cabinet."""
    for path, name in _walls_named(values):
        try:
            wall_name(faces, name)
        except GeometryError as error:
            told = str(error) if name in faces.names else ""
            yield Problem((*AT, *path), told or _no_wall(faces, name))


def _no_wall(faces: Faces, name: str) -> str:
    return f"the cabinet has no wall '{short_name(name)}'; {choice(faces.names, name)}"


def _walls_named(values: Values) -> Iterator[tuple[Path, str]]:
    """Every name of a wall, and where it stands."""
    for name in values.get("walls") or {}:
        yield ("walls", name), name
    for index, name in enumerate(values.get("outer") or ()):
        yield ("outer", index), name
    for index, brace in enumerate(values.get("braces") or ()):
        for place, name in enumerate(brace.walls or ()):
            yield ("braces", index, "walls", place), name
    for index, lining in enumerate(values.get("linings") or ()):
        if isinstance(lining.walls, AllBut):
            for name in lining.walls.names:
                yield ("linings", index, "walls"), name
        else:
            for place, name in enumerate(lining.walls):
                yield ("linings", index, "walls", place), name


def _material_problems(values: Values) -> Iterator[Problem]:
    """Materials that nobody knows, or of which too little is known."""
    tables: Mapping[str, MaterialTable] | None = values.get("materials")
    if tables is None:
        return
    for name, table in tables.items():
        lacking = missing_of(name, table)
        if lacking:
            yield Problem(
                (*AT, "materials", name),
                f"'{short_name(name)}' is none of the usual boards, and {listed(lacking)} "
                f"{'is' if len(lacking) == 1 else 'are'} missing; add {_FOR_EXAMPLE[lacking[0]]}",
            )
            continue
        board = material_of(name, tables)
        if board.poisson**2 * board.across >= board.along:
            yield Problem(
                (*AT, "materials", name, "poisson_ratio"),
                f"{board.poisson:g} is too much for a board that is stiffer across than along its "
                f"grain: no such material is stable; write less than "
                f"{math.sqrt(board.along / board.across):.2g}, or swap the moduli",
            )
    known = [*tables, *(board.name for board in BOARDS)]
    for path, name in _materials_named(values):
        if name not in tables and board_named(name) is None:
            yield Problem(
                (*AT, *path),
                f"there is no material '{short_name(name)}'; {choice(known, name)}, or add a table "
                f"[structure.materials.{name}] with its density and youngs_modulus",
            )


_FOR_EXAMPLE = {
    "density": 'for example density = "700 kg/m3"',
    "youngs_modulus": 'for example youngs_modulus = "4 GPa"',
    "youngs_modulus_along": 'for example youngs_modulus_along = "9 GPa"',
    "youngs_modulus_across": 'for example youngs_modulus_across = "7 GPa"',
    "shear_modulus": 'for example shear_modulus = "0.65 GPa"',
}


def _materials_named(values: Values) -> Iterator[tuple[Path, str]]:
    """Every name of a material, and where it stands."""
    if "material" in values:
        yield ("material",), values["material"]
    for name, wall in (values.get("walls") or {}).items():
        if wall.material is not None:
            yield ("walls", name, "material"), wall.material
    for index, brace in enumerate(values.get("braces") or ()):
        if brace.material is not None:
            yield ("braces", index, "material"), brace.material


def _lining_problems(values: Values) -> Iterator[Problem]:
    """Linings of which too little is known."""
    for index, lining in enumerate(values.get("linings") or ()):
        if lining.material is not None and lining_named(lining.material) is not None:
            continue
        lacking = [key for key in ("flow_resistivity", "density") if getattr(lining, key) is None]
        if not lacking:
            continue
        if lining.material is None:
            yield Problem(
                (*AT, "linings", index),
                f'nothing says what the lining is; add material = "mineral wool" or another '
                f"usual one ({', '.join(LININGS)}), or its {listed(lacking)}",
            )
        else:
            yield Problem(
                (*AT, "linings", index, "material"),
                f"'{short_name(lining.material)}' is none of the usual linings; "
                f"{choice(LININGS, lining.material)}, or add its {listed(lacking)}",
            )


def _sheet_problems(shell: Shell, values: Values) -> Iterator[Problem]:
    """Walls that are larger than the sheets they are to be cut from."""
    if not {"joint", "outer", "sheet"} <= values.keys():
        return
    try:
        outer = outer_order(values["outer"], shell.faces)
    except GeometryError:
        return
    sheet: SheetTable = values["sheet"]
    sides = [side - 2 * sheet.trim for side in (sheet.length, sheet.width)]
    if min(sides) <= 0:
        yield Problem(
            (*AT, "sheet", "trim"),
            f"{in_unit(sheet.trim, 'mm')} off every edge leave nothing of a sheet of "
            f"{_by(sheet.length, sheet.width)}; write less, or the size of a larger sheet",
        )
        return
    if float(np.linalg.norm(np.ptp(shell.body.points, axis=0))) <= min(sides):
        return
    for wall in wall_boards(shell, values["joint"], outer):
        longer, shorter = wall.size
        fits = longer <= sides[0] + FITS and shorter <= sides[1] + FITS
        turned = longer <= sides[1] + FITS and shorter <= sides[0] + FITS
        if not (fits or (sheet.turn and turned)):
            yield Problem(
                (*AT, "sheet"),
                f"the board '{wall.name}' takes {_by(longer, shorter)}, and a sheet has "
                f"{_by(*sides)}"
                + (" after trimming" if sheet.trim else "")
                + "; write the size of a larger sheet, or of one that is glued up with a joint",
            )


FITS = 1e-6
"""m: a board larger by less than this fits"""


def _by(length: float, width: float) -> str:
    return f"{in_unit(length, 'mm', digits=4)} x {in_unit(width, 'mm', digits=4)}"


def _space_problems(shell: Shell, values: Values) -> Iterator[Problem]:
    """Linings for which there is no room."""
    planes = inside_of(shell)
    solid = planes.solid()
    if solid is None:
        return
    covered = np.zeros(len(planes.offsets))
    for index, table in enumerate(values.get("linings") or ()):
        names = table.walls.names if isinstance(table.walls, AllBut) else table.walls
        if not all(has_wall(shell.faces, name) for name in names):
            continue
        meant = walls_meant(table.walls, shell.faces)
        if not meant:
            yield Problem(
                (*AT, "linings", index, "walls"),
                "every wall is left out; leave out fewer, or take the lining out",
            )
        for name in meant:
            wall = shell.faces.index(name)
            covered[wall] += table.thickness
            depth = float(np.ptp(solid.points @ planes.normals[wall]))
            if covered[wall] > depth:
                yield Problem(
                    (*AT, "linings", index, "thickness"),
                    f"{in_unit(covered[wall], 'mm')} of lining on the {name} are thicker than the "
                    f"inside is deep there, {in_unit(depth, 'mm', digits=3)}; take a thinner one",
                )
                return
        if Region(planes.normals, planes.offsets - covered).solid() is None:
            yield Problem(
                (*AT, "linings", index, "thickness"),
                "with this lining those of opposite walls leave no air between them; take thinner "
                "ones, or write enclosures.NAME.fill = 1.0 for a cabinet that is filled",
            )
            return
