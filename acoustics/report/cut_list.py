"""The boards of a cabinet in words and as a table: what to cut, out of what, and what it weighs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from acoustics.case.design.model import Case
from acoustics.case.text.units import in_unit
from acoustics.report.phrases import sentence_start
from acoustics.report.plain_text import COLUMNS, clipped, columns
from acoustics.report.spreadsheet import csv_text
from acoustics.structure.cutting import CutList, CutRow
from acoustics.structure.nest_model import SheetPlan
from acoustics.studies.board_words import edge_words, hole_words, note_words
from acoustics.studies.wording import listed, tenths

NAMES_LETTERS, MATERIAL_LETTERS = 44, 20
"""of a row's names in the table, the others are told as more; of its material"""

BESIDE = 38
"""letters of what stands before the material, and between the last columns"""

COLUMN_NAMES = (
    "row", "count", "length mm", "width mm", "thickness mm", "material", "boards", "holes",
    "edges", "notes",
)  # fmt: skip


def boards_csv(cut: CutList) -> str:
    """Every row of the cut list for a spreadsheet; the grain runs along the length."""
    boards = {board.name: board for board in cut.boards}
    rows: list[Sequence[object]] = [COLUMN_NAMES]
    rows += [
        (
            number,
            row.count,
            tenths(row.length),
            tenths(row.width),
            tenths(row.thickness),
            row.material,
            row.name,
            "; ".join(map(hole_words, row.holes)),
            "; ".join(edge_words(row)),
            "; ".join(note_words(row, boards[row.names[0]])),
        )
        for number, row in enumerate(cut.rows, start=1)
    ]
    return csv_text(rows)


def boards_table(cut: CutList) -> str:
    """Rows with number, count, sizes, board and names."""
    room = COLUMNS - BESIDE - max(len(clipped(row.material, MATERIAL_LETTERS)) for row in cut.rows)
    table = [["", "count", "length", "width", "thick", "material", "boards"]]
    table += [
        [
            str(number),
            str(row.count),
            tenths(row.length),
            tenths(row.width),
            tenths(row.thickness),
            clipped(row.material, MATERIAL_LETTERS),
            clipped(_names(row, min(room, NAMES_LETTERS)), room),
        ]
        for number, row in enumerate(cut.rows, start=1)
    ]
    # Names and material read from the left, numbers stand under each other.
    widths = [max(len(line[i]) for line in table) for i in (5, 6)]
    padded = [
        [*line[:5], *(cell.ljust(w) for cell, w in zip(line[5:], widths, strict=True))]
        for line in table
    ]
    return columns(padded)


def _names(row: CutRow, letters: int = NAMES_LETTERS) -> str:
    """The names of a row as far as there is room; the first in any case."""
    shown: list[str] = []
    for name in row.names:
        if shown and len(", ".join([*shown, name])) > letters:
            return f"{', '.join(shown)} and {len(row.names) - len(shown)} more"
        shown.append(name)
    return ", ".join(shown)


def board_lines(cut: CutList) -> Iterator[str]:
    """What is done to boards besides cutting them to size."""
    boards = {board.name: board for board in cut.boards}
    for number, row in enumerate(cut.rows, start=1):
        parts = [
            *(f"hole for {hole_words(hole)}" for hole in row.holes if hole.kind != "opening"),
            *(hole_words(hole) for hole in row.holes if hole.kind == "opening"),
            *edge_words(row),
            *note_words(row, boards[row.names[0]]),
        ]
        if parts:
            yield f"{number} ({_names(row)}): {'; '.join(parts)}."
    for note in cut.notes:
        yield f"{sentence_start(note)}."


def sheet_lines(sheets: Sequence[SheetPlan]) -> Iterator[str]:
    """How many sheets it takes, and what is left of them."""
    for number, plan in enumerate(sheets, start=1):
        size = f"{tenths(plan.sheet.length)} x {tenths(plan.sheet.width)} mm"
        rest = plan.largest_left
        left = (
            f"; the largest off-cut is {tenths(rest.length)} x {tenths(rest.width)} mm"
            if rest is not None
            else ""
        )
        yield (
            f"Sheet {number}, {tenths(plan.thickness)} mm {plan.material}, {size}: "
            f"{counted(len(plan.placed), 'board')} in {counted(len(plan.cuts), 'cut')}, "
            f"{100 * plan.used:.0f} % of it used{left}."
        )


def counted(count: int, thing: str) -> str:
    """So many things: "1 board", "12 boards"."""
    return f"{count} {thing}{'' if count == 1 else 's'}"


def grain_line(sheets: Sequence[SheetPlan], grained: set[str]) -> str:
    """Which boards lie across the grain of a material that has one; "" if none do."""
    across = sum(
        placed.turned for plan in sheets if plan.material in grained for placed in plan.placed
    )
    if not across:
        return ""
    return (
        f"Boards that lie across the grain of their sheet: {across}; structure.sheet.turn = false "
        "keeps all along it, and may take more sheets."
    )


def weight_line(case: Case, cut: CutList) -> str:
    """What a cabinet weighs."""
    text = f"A cabinet weighs {kilograms(cut.empty)} empty, by its boards"
    if cut.loaded is not None:
        text += f", and {kilograms(cut.loaded)} with its drivers"
    elif cut.unweighed:
        text += (
            f"; with drivers it is not known: nothing states the mass of {listed(cut.unweighed)}"
        )
    each = " The list is for both cabinets." if case.placement.pair else ""
    return f"{text}. Glue, lining and parts come on top.{each}"


def kilograms(mass: float) -> str:
    """A mass (kg), below 10 kg to two figures: no board is as dense as it is said to be."""
    return in_unit(mass, "kg", digits=2 if mass < 9.95 else 3)
