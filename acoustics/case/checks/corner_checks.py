"""Checks of the crossover's corners against the frequencies of the prediction."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case.messages.faults import Problem
from acoustics.case.tables.section_tables import BandPassTable, PassTable
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.tables.table import Table
from acoustics.case.text.lines import Path
from acoustics.case.text.units import hertz

# Each corner with the end of the grid beyond which it would silence the driver. Beyond the other
# end it does no harm: an infrasonic high-pass at 15 Hz is common practice.
_SLOPES: dict[str, tuple[type[Table], dict[str, str]]] = {
    "low-pass": (PassTable, {"frequency": "lowest"}),
    "high-pass": (PassTable, {"frequency": "highest"}),
    "band-pass": (BandPassTable, {"low_frequency": "highest", "high_frequency": "lowest"}),
}


def corner_problems(crossover: object, grid: Values, faulty: list[Path]) -> Iterator[Problem]:
    """Corners of low-, high- and band-passes that silence a driver at every frequency.

    `crossover` is as it stands in the file, whatever it is.
    """
    for path, section in _sections(crossover):
        kind = section.get("type")
        table, corners = _SLOPES.get(kind if isinstance(kind, str) else "", (None, {}))
        values = {} if table is None else sound_values(table, section, path, faulty)
        for corner, end in corners.items():
            if corner in values and end in grid:
                yield from _silent((*path, corner), values[corner], end, grid[end])


def _sections(crossover: object) -> Iterator[tuple[Path, Values]]:
    for name, branch in crossover.items() if isinstance(crossover, dict) else ():
        sections = branch.get("sections") if isinstance(branch, dict) else None
        for index, section in enumerate(sections if isinstance(sections, list) else ()):
            if isinstance(section, dict):
                yield ("crossover", name, "sections", index), section


def _silent(path: Path, corner: float, end: str, limit: float) -> Iterator[Problem]:
    if corner < limit if end == "lowest" else corner > limit:
        side = "below" if end == "lowest" else "above"
        yield Problem(
            path,
            f"the corner ({hertz(corner)}) is {side} the {end} frequency of the prediction "
            f"({hertz(limit)}), so the driver would never play; change the corner or "
            f"frequencies.{end}",
        )
