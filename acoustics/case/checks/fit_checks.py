"""Checks of [fit] against the drivers and the frequencies of a case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz


def fit_problems(fit: Values, drivers: Mapping[str, Values], grid: Values) -> Iterator[Problem]:
    """Shapes for drivers that are not there, spans too many, and curves that are not predicted."""
    for name in fit.get("topologies") or {}:
        if drivers and name not in drivers:
            yield Problem(
                ("fit", "topologies", name),
                f"'{short_name(name)}' names no driver; {choice(drivers, name)}",
            )
    spans = fit.get("crossovers") or []
    if drivers and len(spans) > len(drivers) - 1:
        yield Problem(
            ("fit", "crossovers"),
            f"there are more spans ({len(spans)}) than crossovers between the drivers "
            f"({len(drivers) - 1}); write one for each crossover, from the lowest on",
        )
    yield from band_problems(("fit", "band"), fit.get("band"), grid)


def band_problems(at: Path, band: Sequence[float] | None, grid: Values) -> Iterator[Problem]:
    """A band (Hz) that reaches beyond the frequencies of the prediction."""
    if band is None:
        return
    for place, end, outside in (
        (0, "lowest", lambda edge: band[0] < edge),
        (1, "highest", lambda edge: band[1] > edge),
    ):
        if end in grid and outside(grid[end]):
            yield Problem(
                (*at, place),
                f"the prediction's {end} frequency is {hertz(grid[end])}; change the band or "
                f"frequencies.{end}",
            )
