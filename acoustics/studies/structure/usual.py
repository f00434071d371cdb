"""What a cabinet is taken to be built of where its case does not say."""

from __future__ import annotations

from acoustics.case.design.model import Case
from acoustics.case.design.structure_materials import board_named
from acoustics.case.design.structure_model import Structure
from acoustics.case.geometry.shape import faces_of
from acoustics.case.objects.structure_of import outer_order
from acoustics.conventions import RoundoverError

USUAL_BOARD = "MDF"
"""of walls of which nothing is said (common practice, no source)"""


def usual_structure(case: Case) -> Structure:
    """Walls of the usual board, as thick as the cabinet's, with neither braces nor lining.

    Args:
        case: the design.

    Raises:
        RoundoverError: an open baffle, or walls of unknown thickness.
    """
    require_walls(case)
    board = board_named(USUAL_BOARD)
    assert board is not None
    return Structure(
        material=board.name, materials=(board,), outer=outer_order(None, faces_of(case.cabinet))
    )


def require_walls(case: Case) -> None:
    """Refuse a cabinet of which no wall is known.

    Raises:
        RoundoverError: an open baffle, or walls of unknown thickness.
    """
    where = case.path or case.title
    if case.cabinet.shape == "plate":
        raise RoundoverError(
            f"{where}: cabinet.shape: a plate is an open baffle, without walls to brace and air to "
            "line; ask about a cabinet with an inside"
        )
    if case.cabinet.wall_thickness is None:
        raise RoundoverError(
            f"{where}: cabinet.wall_thickness: how thick the walls are is not stated, so nothing "
            'can be told of them; add it, for example wall_thickness = "18 mm"'
        )
