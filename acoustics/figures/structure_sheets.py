"""The figures of a study of the structure."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.figure import Figure

from acoustics.case.design.model import Case
from acoustics.figures.air_sheets import lining_sheet, standing_waves_sheet
from acoustics.figures.cut_sheets import boards_sheet, cut_plan_sheet
from acoustics.figures.wall_loudness_sheet import wall_loudness_sheet
from acoustics.figures.wall_sheets import walls_sheet
from acoustics.studies.structure.found import StructureFound

Sheet = Callable[[StructureFound], Figure | None]


def structure_sheets(case: Case) -> dict[str, Sheet]:
    """The sheets of a study of a case by the names of their files."""
    title = case.title
    return {
        "walls": lambda found: walls_sheet(title, found),
        "wall-loudness": lambda found: wall_loudness_sheet(title, found),
        "standing-waves": lambda found: standing_waves_sheet(case, found),
        "lining": lambda found: lining_sheet(case, found),
        "boards": lambda found: (
            None if found.cut_list is None else boards_sheet(title, found.cut_list)
        ),
        "cut-plan": lambda found: cut_plan_sheet(title, found.sheets) if found.sheets else None,
    }
