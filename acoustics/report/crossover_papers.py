"""The papers from which a passive crossover is bought and soldered."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.crossover.connections import ladders_of
from acoustics.figures.save import save_figure
from acoustics.figures.schematic import schematic_sheet
from acoustics.files import write_text
from acoustics.report.cautions import CAUTIONS, OF_PASSIVE_PARTS, OF_WIRING
from acoustics.report.parts_list import (
    loudspeakers,
    parts_csv,
    parts_table,
    parts_words,
)
from acoustics.report.passive_crossover import impedance_words
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.wiring import polarity_words, wiring_csv, wiring_words

PARTS, WIRING, SCHEMATIC = "parts.csv", "wiring.csv", "schematic"
"""What the files are called, the last without its ending."""


def write_papers(case: Case, prediction: xr.Dataset, folder: Path) -> list[str]:
    """Write the parts list, the wiring table and the schematic of a passive crossover.

    Args:
        case: the design.
        prediction: of that same design.
        folder: where to write; it is made if it is missing.

    Returns:
        Names of the files, none where the design has no passive crossover.

    Raises:
        RoundoverError: a file cannot be written.
    """
    sheet = schematic_sheet(case)
    if sheet is None:
        return []
    write_text(parts_csv(case, prediction), folder / PARTS)
    write_text(wiring_csv(case), folder / WIRING)
    drawn = save_figure(sheet, folder / SCHEMATIC)
    return [PARTS, WIRING, *(path.name for path in drawn)]


def papers_text(case: Case, prediction: xr.Dataset) -> str:
    """Parts, wiring and cautions in plain text; empty without a passive crossover."""
    if not ladders_of(case):
        return ""
    both = " (for each of the pair)" if loudspeakers(case) > 1 else ""
    table = parts_table(case, prediction)
    load = (impedance_words(case, prediction),)
    sections = [
        f"{case.title}: the passive crossover\n"
        + paragraph(f"The schematic is in {SCHEMATIC}.svg, the tables in {PARTS} and {WIRING}."),
        _section("Parts", parts_words(case, prediction), table) if table else "",
        _section(
            f"Wiring{both}",
            [
                "All that stands in one line is joined. Parts have no plus and minus and may be "
                "turned round; electrolytic capacitors must be of the kind without polarity.",
                *wiring_words(case),
            ],
        ),
        _section("Polarity of the drivers", polarity_words(case)),
        _section(
            "Before you solder and before first power",
            [*load, *OF_PASSIVE_PARTS, *OF_WIRING, CAUTIONS[-1]],
        ),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _section(title: str, points: Sequence[str], before: str = "") -> str:
    text = "\n".join(map(bullet, points))
    return f"{heading(title)}\n{before}\n\n{text}" if before else f"{heading(title)}\n{text}"
