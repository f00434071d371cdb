"""Walls, air inside and boards of a cabinet, as far as a report tells them."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Case
from acoustics.report.cut_list import board_lines, boards_table, kilograms, weight_line
from acoustics.report.html.content import Block, Points, Table
from acoustics.report.html.plain_parts import table_of
from acoustics.studies.papers import Beside
from acoustics.studies.wording import hertz

MORE = (
    "How loud walls and standing waves are beside the drivers, what braces and lining would do, "
    "and how boards lie on sheets: `roundover structure` tells it."
)

MOST_WAVES = 6
"""standing waves that are told"""


def structure_blocks(case: Case, found: Beside) -> list[Block]:
    """Lowest modes, boards and weight; what is missing is said."""
    blocks: list[Block] = [Points((*_lines(found), MORE))]
    if found.walls:
        rows = [("wall", "lowest mode", "next")]
        rows += [(str(each.wall.name), *_lowest(each.frequency)) for each in found.walls]
        blocks.append(Table(tuple(rows), "Frequencies at which walls bend, braces counted in"))
    if found.boards is not None:
        blocks += [
            table_of(boards_table(found.boards), "Boards to cut, sizes in mm"),
            Points((*board_lines(found.boards), weight_line(case, found.boards))),
        ]
    return blocks


def _lines(found: Beside) -> list[str]:
    lines = []
    if found.walls:
        lowest = min(found.walls, key=lambda each: float(each.frequency[0]))
        lines.append(
            f"The lowest mode of a wall is that of the {lowest.wall.name}, at "
            f"{hertz(float(lowest.frequency[0]))}."
        )
    if found.air is not None and found.air.count:
        told = ", ".join(hertz(float(f)) for f in found.air.frequency[:MOST_WAVES])
        lines.append(f"The first standing waves of the air inside, undamped: {told}.")
    if found.assumed and found.walls:
        lines.append("The case does not say what it is built of: a usual board is taken.")
    return [*lines, *(f"Not told: {reason}." for reason in found.left_out)]


def _lowest(frequency: np.ndarray) -> tuple[str, str]:
    """The first two of some ascending frequencies in words."""
    first = [hertz(float(f)) for f in frequency[:2]]
    return first[0], first[1] if len(first) > 1 else "beyond the reach"


def weight(found: Beside) -> tuple[str, str] | None:
    """What a cabinet weighs, with its drivers where that is known; None where nothing is."""
    if found.boards is None:
        return None
    if found.boards.loaded is None:
        return "Empty cabinet", kilograms(found.boards.empty)
    return "Cabinet with drivers", kilograms(found.boards.loaded)
