"""What a report tells besides the prediction, as far as it is found in a second or two."""

from __future__ import annotations

from dataclasses import dataclass, replace

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.structure.air_inside import AirError
from acoustics.structure.air_modes import AirModes, air_modes
from acoustics.structure.cutting import CutList, cut_list
from acoustics.structure.wall_modes import WallModes, groups_of, modes_of, panels_of
from acoustics.studies.box.study import box_study
from acoustics.studies.structure.usual import require_walls, usual_structure


@dataclass(frozen=True)
class Beside:
    """What is known besides a prediction, and why the rest is not.

    Args:
        box: the study of the enclosures; None where there are none.
        box_left_out: why not.
        walls: modes of every wall with its braces, up to the reach of the structure.
        air: standing waves inside, without what damps them; None where the inside is parted.
        boards: the cut list.
        assumed: whether walls are of a usual board, because the case does not say.
        left_out: why walls, air or boards are missing.
    """

    box: xr.Dataset | None
    box_left_out: str
    walls: tuple[WallModes, ...]
    air: AirModes | None
    boards: CutList | None
    assumed: bool
    left_out: tuple[str, ...]


def beside(case: Case) -> Beside:
    """Box, modes of walls and air, and boards of a design.

    How loud walls are takes some seconds and is `structure_study`'s to tell.
    """
    box, without_box = None, ""
    try:
        box = box_study(case)
    except RoundoverError as error:
        without_box = str(error)
    walls: tuple[WallModes, ...] = ()
    air = boards = None
    left_out: list[str] = []
    assumed = case.structure is None
    try:
        require_walls(case)
        structure = usual_structure(case) if case.structure is None else case.structure
        built = replace(case, structure=structure)
        with one_blas_thread():
            groups = groups_of(panels_of(built, structure), structure)
            walls = modes_of(groups, structure.reach)
        boards = cut_list(built)
    except RoundoverError as error:
        left_out.append(str(error))
    if walls:
        try:
            air = air_modes(built)
        except AirError as error:
            left_out.append(str(error))
    return Beside(box, without_box, walls, air, boards, assumed, tuple(left_out))
