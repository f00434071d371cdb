"""A comparison as text and as a table for a spreadsheet."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.report.spreadsheet import csv_text
from acoustics.studies.comparison.compare import Comparison
from acoustics.studies.comparison.verdicts import figure
from acoustics.studies.wording import UNITS, amount, dip_depth, number
from acoustics.studies.yardsticks.qualities import Ranking
from acoustics.studies.yardsticks.seats import at_another_seat

MOST_ROWS = 8
"""Further numbers that differ: of more, only the clearest of each kind are shown."""

ENDS = ("window_low", "window_high")
"""Answers whose difference another one tells."""

DEPTHS = ("dip_depth", "deepest_dip_depth")


def comparison_text(comparison: Comparison) -> str:
    """Say whether the designs sound different and which is better for what; figures; caveats.

    Returns:
        Text ending in a newline; paragraphs have 88 columns, tables as many as they need.
    """
    verdict, *points = comparison.sentences
    names = [
        f"{label}: {title}"
        for label, title in zip(comparison.labels, comparison.titles, strict=True)
    ]
    parts = [
        f"Comparison\n{'=' * len('Comparison')}",
        paragraph(verdict),
        "\n".join(bullet(name) for name in names),
        f"{heading('Which is better for what')}\n{_rankings(comparison)}",
        "\n".join(bullet(point) for point in points),
        f"{heading('Further numbers that differ')}\n{_further(comparison)}",
        "\n".join([heading("To keep in mind"), *(bullet(note) for note in comparison.notes)]),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def comparison_csv(table: xr.Dataset) -> str:
    """Every number compared, one row each, as comma-separated values (RFC 4180).

    Columns: quantity, place, unit, one per design, difference, uncertainty, and whether they
    differ ("yes", or "no" where the difference is not larger than the uncertainty). Held against
    builds, also between which ends the band of the same differences between builds lies.
    """
    ends = ["band_low", "band_high"] if "band_low" in table else []
    builds = ["builds from", "builds to"] if ends else []
    rows: list[list[object]] = [
        [
            *("quantity", "place", "unit", *table.design.values, "difference", "uncertainty"),
            *(*builds, "differs"),
        ]
    ]
    for i in range(table.row.size):
        row = table.isel(row=i)
        numbers = [
            *row.value.values,
            *(row[name].values for name in ("difference", "difference_uncertainty", *ends)),
        ]
        rows.append(
            [
                *(row[name].values for name in ("quantity", "place", "unit")),
                *(f"{number:.6g}" for number in numbers),
                "yes" if row.differs else "no",
            ]
        )
    return csv_text(rows)


def _rankings(comparison: Comparison) -> str:
    """One line per quality, the best marked."""
    if not comparison.rankings:
        return "Nothing could be compared."
    rows = [["", *comparison.labels, "difference"]]
    rows += [_ranking(ranking) for ranking in comparison.rankings]
    best = "better" if len(comparison.labels) == 2 else "best"
    than = "the uncertainty" if comparison.pairs is None else "builds stray by"
    legend = f"* {best} by more than {than}; where none is marked, they cannot be told apart"
    if comparison.pairs is not None:
        legend += (
            "\n± takes a difference to the lower end of what it is between builds, or is the "
            "calculation's\nuncertainty, whichever is more"
        )
    if any(at_another_seat(place) for place in comparison.table.place.values.astype(str)):
        legend += "\nFigures at a seat are those of the main seat."
    if any(any(ranking.at_least) for ranking in comparison.rankings):
        legend += '\n"at least" of a range: up to the end of the points predicted; it may be larger'
    return f"{columns(rows)}\n\n{legend}"


def _ranking(ranking: Ranking) -> list[str]:
    designs = range(len(ranking.values))
    mark = [" *" if i in ranking.best and not ranking.draw else "  " for i in designs]
    far = max(designs, key=ranking.behind)
    unit = ranking.quality.unit
    return [
        ranking.quality.name,
        *(f"{figure(ranking, i)}{mark[i]}" for i in designs),
        f"{number(ranking.behind(far), unit, finer=1)} ± "
        f"{amount(ranking.doubt(far), unit, finer=1)}",
    ]


def _further(comparison: Comparison) -> str:
    """The rows that differ, but for those of the qualities; of many, the clearest."""
    table = comparison.table
    told = [*(ranking.quality.answer for ranking in comparison.rankings), *ENDS]
    rows = np.flatnonzero(table.differs.values & ~np.isin(table.answer.values, told))
    alike = int((~table.differs).sum())
    than = "their uncertainty"
    if comparison.pairs is not None:
        than = "builds stray by or the calculation may be off"
    rest = f"{alike} numbers differ by no more than {than}; table.csv lists them all."
    if not rows.size:
        return paragraph(f"None. {rest}")
    if rows.size > MOST_ROWS:
        rest = f"Of {rows.size}, the clearest are shown, one of each kind. {rest}"
        clear = (table.difference / table.difference_uncertainty).values
        kinds = table.answer.values[rows]
        best = [max(rows[kinds == kind], key=lambda i: clear[i]) for kind in dict.fromkeys(kinds)]
        rows = np.array(sorted(sorted(best, key=lambda i: -clear[i])[:MOST_ROWS]))
    cells = [_row(table.isel(row=int(i))) for i in rows]
    return f"{columns([['', *comparison.labels, 'difference'], *cells])}\n\n{paragraph(rest)}"


def _row(row: xr.Dataset) -> list[str]:
    """One number: what it is, each design's, and by how much they differ."""
    unit = str(row.unit.values)
    name = ", ".join(filter(None, (str(row.quantity.values), str(row.place.values))))
    values = [number(float(value), unit, finer=1) for value in row.value.values]
    if str(row.answer.values) in DEPTHS:
        pairs = zip(row.value.values, row.uncertainty.values, strict=True)
        values = [
            dip_depth(float(value), float(doubt)).removesuffix(" dB") for value, doubt in pairs
        ]
    difference, doubt = (
        number(float(value), unit, finer=1)
        for value in (row.difference, row.difference_uncertainty)
    )
    return [f"{name} [{UNITS.get(unit, unit).strip()}]", *values, f"{difference} ± {doubt}"]
