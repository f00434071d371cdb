"""The files that tell where a passive crossover starts."""

from __future__ import annotations

from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.figures.crossover_start import start_sheet
from acoustics.figures.save import save_figure
from acoustics.files import write_text
from acoustics.prediction.fields import Solve
from acoustics.report.crossover_start import start_text
from acoustics.report.spreadsheet import csv_text
from acoustics.storage import save
from acoustics.studies.crossover_start.dataset import roles_of
from acoustics.studies.crossover_start.study import Starts, starting_points

DATA, TEXT, VALUES, FIGURE = "start.nc", "start.txt", "start.csv", "figures/start"
"""What the files are called, the last without its ending."""

CSV_HEAD = (
    "driver",
    "alignment",
    "order",
    "treatment",
    "role",
    "part",
    "place",
    "kind",
    "inductance (mH)",
    "capacitance (uF)",
    "resistance (ohm)",
    "of its own in series (ohm)",
    "ladder is off by (dB)",
    "where (Hz)",
)

_UNITS = {"inductor": 1e3, "capacitor": 1e6, "resistor": 1.0}
"""mH, uF and ohm, in the order of the columns"""


def write_start(case: Case, folder: Path, *, solve: Solve | None = None) -> tuple[str, list[str]]:
    """Find and write the starting points of a passive crossover.

    Args:
        case: the design.
        folder: where to write; it is made if it is missing.
        solve: what computes the field, as in `predict`.

    Returns:
        The text, and the names of the files in the folder.

    Raises:
        RoundoverError: what `starting_points` refuses, or a file that cannot be written.
    """
    starts = starting_points(case, solve=solve)
    save(starts.dataset, folder / DATA)
    text = start_text(case, starts)
    write_text(text, folder / TEXT)
    write_text(start_csv(starts), folder / VALUES)
    drawn = save_figure(start_sheet(starts.dataset), folder / FIGURE)
    return text, [DATA, TEXT, VALUES, *(path.relative_to(folder).as_posix() for path in drawn)]


def start_csv(starts: Starts) -> str:
    """Every part of every ladder as comma-separated values, columns as `CSV_HEAD` names them."""
    rows: list[tuple[object, ...]] = [CSV_HEAD]
    for start in starts.drivers:
        for ladder in start.ladders:
            for role, element, part in roles_of(ladder):
                values = [
                    f"{part.value * scale:.6g}" if part.kind == kind else ""
                    for kind, scale in _UNITS.items()
                ]
                rows.append(
                    (
                        start.slopes.driver,
                        ladder.alignment,
                        ladder.order,
                        ladder.treatment,
                        role,
                        part.name,
                        element.place,
                        part.kind,
                        *values,
                        f"{part.resistance:.3g}" if part.resistance else "",
                        f"{ladder.deviation:.2f}",
                        f"{ladder.where:.0f}",
                    )
                )
    return csv_text(rows)
