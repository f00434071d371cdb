"""The papers that a builder takes to the workshop, in one folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.figures.drawing_pdf import save_drawing_pdf
from acoustics.figures.drawing_tiles import paper_size
from acoustics.figures.save import save_figure
from acoustics.figures.schematic import schematic_sheet
from acoustics.files import write_text
from acoustics.report.cautions import CAUTIONS, OF_BOARDS
from acoustics.report.crossover_papers import SCHEMATIC, WIRING, write_papers
from acoustics.report.cut_list import boards_csv
from acoustics.report.drawing_dxf import HOW_TO_INSTALL, can_write_dxf, drawing_dxf
from acoustics.report.drawing_svg import drawing_svg
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.wiring import wiring_csv
from acoustics.structure.cutting import cut_list
from acoustics.studies.drawings import (
    Drawing,
    board_drawings,
    brace_drawings,
    face_drawings,
    plain,
    safe_names,
)

INDEX, BOARDS = "drawings.txt", "boards.csv"
"""What the files are called that say what the others are, and what to cut."""


def drawings_of(case: Case) -> tuple[Drawing, ...]:
    """Faces that carry something; where the case has a structure its boards and braces, too."""
    if case.structure is None:
        return face_drawings(case)
    return (
        *face_drawings(case),
        *board_drawings(case, cut_list(case)),
        *brace_drawings(case),
    )


def write_drawings(
    case: Case, folder: Path, paper: str = "A4", prediction: xr.Dataset | None = None
) -> list[Path]:
    """Write every drawing of a case as SVG, DXF and PDF, with cut list, schematic and an index.

    Args:
        case: the design.
        folder: where to write; it is made if it is missing.
        paper: A4 or A3, of the PDF's sheets.
        prediction: of that same design; without it there is no list of the crossover's parts, as
            what they must stand follows from it.

    Returns:
        All files. Without the extra `cad` there are none in DXF, and the index says how to get it.

    Raises:
        RoundoverError: another paper, or a file that cannot be written.
    """
    paper_size(paper)
    drawings = drawings_of(case)
    written, lines = list[Path](), list[str]()
    for name, drawing in zip(safe_names(each.name for each in drawings), drawings, strict=True):
        files = [write_text(drawing_svg(drawing), folder / f"{name}.svg")]
        if can_write_dxf():
            files.append(write_text(drawing_dxf(drawing), folder / f"{name}.dxf"))
        files.append(save_drawing_pdf(drawing, folder / f"{name}.pdf", paper))
        endings = ", ".join(file.suffix.removeprefix(".") for file in files)
        lines.append(f"{name} ({endings}): {plain(drawing.title)}")
        written += files
    tables = list(_tables(case, folder, prediction))
    lines += [file.name for file in tables]
    return [*written, *tables, write_text(_index(case, lines), folder / INDEX)]


def _tables(case: Case, folder: Path, prediction: xr.Dataset | None) -> Iterator[Path]:
    """The cut list, and the papers of a passive crossover."""
    if case.structure is not None:
        yield write_text(boards_csv(cut_list(case)), folder / BOARDS)
    if prediction is not None:
        yield from (folder / name for name in write_papers(case, prediction, folder))
        return
    sheet = schematic_sheet(case)
    if sheet is not None:
        yield write_text(wiring_csv(case), folder / WIRING)
        yield from save_figure(sheet, folder / SCHEMATIC)


def _index(case: Case, lines: list[str]) -> str:
    """What the files are, how to print them, and the usual cautions."""
    print_so = (
        "The PDF files are to be printed at 100 %, without any fit to the page. Every sheet has a "
        "square of 100 mm: measure it before you trust the sheet. Of a plain rectangle the first "
        "page is enough."
    )
    formats = (
        "SVG and DXF are in millimetres at true size. Layers: outline and holes are cut, reference "
        "and text are only shown. Whoever cuts from them adds the tool's own width."
    )
    check = "Measure every driver and part that you have before you cut its hole."
    missing = () if can_write_dxf() else (f"No DXF here: {HOW_TO_INSTALL}.",)
    known = (
        ()
        if case.structure
        else ("Boards and braces are not drawn: the case has no table [structure].",)
    )
    points = (print_so, formats, check, *known, *missing)
    return (
        "\n\n".join(
            (
                paragraph(f"{plain(case.title)}: drawings for the workshop"),
                "\n".join(map(bullet, lines)),
                f"{heading('Before you use them')}\n" + "\n".join(map(bullet, points)),
                f"{heading('Before you cut')}\n"
                + "\n".join(map(bullet, (*OF_BOARDS, CAUTIONS[-1]))),
            )
        )
        + "\n"
    )
