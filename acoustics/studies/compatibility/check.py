"""Whether the drivers of a case go together in its cabinet."""

from __future__ import annotations

from dataclasses import replace

import xarray as xr

from acoustics.case.design.model import Case, FrequencyGrid
from acoustics.prediction import predict
from acoustics.prediction.fields import Solve
from acoustics.prediction.realised import with_needed_filters
from acoustics.source.motion import motion_of
from acoustics.studies.compatibility.bands import overlap_lines, resonance_lines
from acoustics.studies.compatibility.cost import cost_lines
from acoustics.studies.compatibility.directivity import directivity_lines, spacing_lines
from acoustics.studies.compatibility.electrical import GRID, impedance_lines
from acoustics.studies.compatibility.excursion import displacement_lines
from acoustics.studies.compatibility.levels import level_lines
from acoustics.studies.compatibility.line import CHECKS, Line
from acoustics.studies.compatibility.volume import volume_lines
from acoustics.studies.compatibility.ways import Ways, ways_of

ROUGH = FrequencyGrid(per_octave=6)
"""Frequencies of the field: bands of an octave and more are averaged."""

ROUGH_ARCS = 10.0
"""degrees: what the listening window takes"""

ROUGH_ACCURACY = 1.0
"""dB asked of the field"""


def compatibility(case: Case, *, solve: Solve | None = None) -> tuple[Line, ...]:
    """Check whether a case's drivers go together: level, band, size, place, load, volume, price.

    Args:
        case: the design.
        solve: as of `predict`.

    Returns:
        What was found, by `CHECKS`. A check that takes a pair has no line where no driver hands
        over to another; one of the brief has none where the brief does not ask.

    Raises:
        GeometryError: a driver that cannot be where the case puts it.

    Example:
        >>> import acoustics as ac
        >>> lines = ac.compatibility(ac.read_case("case.toml"))  # doctest: +SKIP
        >>> [line.subject for line in lines if line.verdict == "bad"]  # doctest: +SKIP
    """
    ways = ways_of(case)
    motion = motion_of(case, GRID.values())
    lines = [
        *impedance_lines(case, motion, ways),
        *displacement_lines(case, motion, ways),
        *resonance_lines(case, motion, ways),
        *_without_crossover(case, ways),
        *level_lines(case, rough_prediction(case, solve), ways),
        *overlap_lines(case, motion, ways),
        *directivity_lines(case, ways),
        *spacing_lines(case, ways),
        *volume_lines(case, ways),
        *cost_lines(case),
    ]
    return tuple(sorted(lines, key=lambda line: CHECKS.index(line.check)))


def rough_prediction(case: Case, solve: Solve | None = None) -> xr.Dataset:
    """The prediction of a case as far as levels in wide bands need it: in a second, not in ten."""
    seat = replace(case.seat, places=case.seat.places[:1], ear_heights=case.seat.ear_heights[:1])
    rough = replace(
        with_needed_filters(case),
        frequencies=ROUGH,
        arc_step=ROUGH_ARCS,
        accuracy=ROUGH_ACCURACY,
        surfaces=(),
        seat=seat,
    )
    return predict(rough, solve=solve)


def _without_crossover(case: Case, ways: Ways) -> list[Line]:
    """Drivers of which nothing says from where they play."""
    return [
        Line(
            "crossover",
            (case.drivers[number].name,),
            missing=(f"crossover.{case.drivers[number].name}.sections",),
        )
        for number in ways.unknown
        if not case.is_passive(case.drivers[number].name)
    ]
