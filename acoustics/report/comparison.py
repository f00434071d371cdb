"""A comparison as text and as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io

import numpy as np
import xarray as xr

from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.compare import Comparison
from acoustics.studies.wording import UNITS, number


def comparison_text(comparison: Comparison) -> str:
    """The verdict first, then what is better where, the numbers that differ, and the caveats.

    Returns:
        Text ending in a newline; paragraphs have 88 columns, the table as many as it needs.
    """
    verdict, *rest = comparison.sentences
    names = [
        f"{label}: {title}"
        for label, title in zip(comparison.labels, comparison.titles, strict=True)
    ]
    parts = [
        f"Comparison\n{'=' * len('Comparison')}",
        paragraph(verdict),
        "\n".join(bullet(name) for name in names),
        "\n".join([heading("Which is better for what"), *(bullet(point) for point in rest)]),
        f"{heading('Numbers that differ')}\n{_table(comparison.table)}",
        "\n".join([heading("To keep in mind"), *(bullet(note) for note in comparison.notes)]),
    ]
    return "\n\n".join(parts) + "\n"


def comparison_csv(table: xr.Dataset) -> str:
    """Every number compared, one row each, as comma-separated values (RFC 4180).

    Columns: quantity, place, unit, one per design, difference, uncertainty, and whether they
    differ ("yes", or "no" where the difference is not larger than the uncertainty).
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(
        ["quantity", "place", "unit", *table.design.values, "difference", "uncertainty", "differs"]
    )
    for i in range(table.row.size):
        row = table.isel(row=i)
        numbers = [*row.value.values, row.difference.values, row.difference_uncertainty.values]
        writer.writerow(
            [
                *(str(row[name].values) for name in ("quantity", "place", "unit")),
                *(f"{number:.6g}" for number in numbers),
                "yes" if row.differs else "no",
            ]
        )
    return text.getvalue()


def _table(table: xr.Dataset) -> str:
    """The rows that differ: each quantity with its unit on a line, its places below it."""
    rows = [["", *(str(design) for design in table.design.values), "difference", "uncertainty"]]
    quantities: list[str] = []
    for i in np.flatnonzero(table.differs.values):
        row = table.isel(row=int(i))
        unit = str(row.unit.values)
        numbers = [*row.value.values, row.difference.values, row.difference_uncertainty.values]
        cells = [number(float(figure), unit, finer=1) for figure in numbers]
        rows.append([f"  {row.place.values}", *cells])
        quantities.append(f"{row.quantity.values} [{UNITS.get(unit, unit).strip()}]")
    alike = int((~table.differs).sum())
    rest = f"{alike} more numbers differ by no more than their uncertainty; table.csv lists them."
    if not quantities:
        return f"None.\n\n{rest}"
    text, *lines = columns(rows).splitlines()
    last = ""
    for quantity, line in zip(quantities, lines, strict=True):
        text += f"\n{line}" if quantity == last else f"\n{quantity}\n{line}"
        last = quantity
    return f"{text}\n\n{rest}"
