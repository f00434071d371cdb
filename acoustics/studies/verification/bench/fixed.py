"""What does not change from one build to the next: fields, air load, filters that are computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from acoustics.case.design.model import Case
from acoustics.crossover.acoustic import heard_low_end
from acoustics.crossover.branch import branches_of
from acoustics.crossover.digital import fir_response
from acoustics.prediction.built import FixedFilters, fixed_filters
from acoustics.prediction.fields import Solve, heard_at
from acoustics.prediction.filters import filters_of
from acoustics.prediction.layout import Layout, layout_of
from acoustics.prediction.microphones import AtMicrophones, microphone_points, with_measured
from acoustics.prediction.predict import predict
from acoustics.prediction.realised import Played, with_needed_filters
from acoustics.prediction.together import together
from acoustics.source.drive import Drive, drive_of
from acoustics.source.load import radiation_load
from acoustics.source.radiators import Radiator, radiators_of
from acoustics.studies.verification.bench.fields import Around, Place, fields_round, key_of
from acoustics.studies.verification.bench.grid import Grid


@dataclass(frozen=True, eq=False)
class Fixed:
    """A design and all that its builds share.

    Attributes:
        case: the design.
        layout: body and pistons.
        radiators: what moves air.
        grid: all frequencies.
        sounding: numbers of those at which responses are known.
        load: what the air adds, as `radiation_load` has it, on the grid; None where no driver has
            small-signal parameters.
        fields: by the place of a microphone, at `sounding`.
        heard: where drivers were measured, at `sounding`; None where none was.
        fixed: computed filters, on the grid, 0 where no responses are known; None where none are.
    """

    case: Case
    layout: Layout
    radiators: tuple[Radiator, ...]
    grid: Grid
    sounding: np.ndarray
    load: np.ndarray | None
    fields: dict[Place, Around]
    heard: AtMicrophones | None
    fixed: FixedFilters | None

    @cached_property
    def centres(self) -> np.ndarray:
        """Of the drivers, m, shape (driver, 3)."""
        return self.layout.centres

    @property
    def frequency(self) -> np.ndarray:
        """Hz, of the grid."""
        return self.grid.frequency

    def rows(self, case: Case) -> list[int]:
        """Numbers among the design's radiators of those that a build has.

        A port that is shut is one less; nothing new can be heard of, for nothing was solved of it.

        Raises:
            KeyError: something that the design does not have.
        """
        known = {_who(radiator): number for number, radiator in enumerate(self.radiators)}
        return [known[_who(radiator)] for radiator in radiators_of(case)]


def fixed_of(
    case: Case, grid: Grid, sounding: np.ndarray, places: Sequence[Place], solve: Solve | None
) -> Fixed:
    """Solve all that a design needs.

    Args:
        case: the design.
        grid: all frequencies.
        sounding: numbers of those at which responses are wanted; may be empty.
        places: of microphones, m, distinct.
        solve: what computes the field; the field solver if None.

    Raises:
        GeometryError: a driver or microphone that cannot be where it is said to be.
    """
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field
    layout = layout_of(case)
    load = None
    if any(driver.small_signal is not None for driver in case.drivers):
        load = radiation_load(case, grid.frequency, solve=solve)
    bare = Fixed(case, layout, radiators_of(case), grid, sounding, load, {}, None, None)
    if not sounding.size:
        return bare
    frequency = grid.frequency[sounding]
    how: dict[str, Any] = {"air": case.air, "accuracy": case.accuracy, "memory": case.memory}
    computed = any(branch.slopes == "acoustic" for branch in case.crossover)
    microphones = microphone_points(case)
    there = np.isfinite(microphones[:, 0])
    axis = (*case.reference.point, case.reference.distance)
    alone = [key_of(point) for point in (*microphones[there], *([axis] if computed else []))]
    missing = [place for place in dict.fromkeys(alone) if place not in places]
    fields = fields_round(layout, places, missing, case.reference.point, frequency, solve, how)
    own = None if load is None else load[..., sounding]
    drive = drive_of(case, frequency, solve, own)
    heard = None
    if case.measured_in is not None:
        heard = heard_at(case.measured_in, frequency, solve, how)
    elif there.any():
        at = np.full((len(bare.radiators), len(case.drivers), frequency.size), np.nan + 0j)
        for number in np.flatnonzero(there):
            at[:, number] = layout.per_radiator(fields[key_of(microphones[number])].field)
        heard = AtMicrophones(case, drive, at, np.zeros(at.shape))
    if heard is not None:
        drive, _ = with_measured(case, drive, heard, frequency)
    fixed = None
    if computed:
        on_axis = layout.per_radiator(fields[key_of(axis)].field)
        fixed = _fixed(bare, drive, on_axis, solve)
    return replace(bare, fields=fields, heard=heard, fixed=fixed)


def _fixed(unchanged: Fixed, drive: Drive, on_axis: np.ndarray, solve: Solve) -> FixedFilters:
    """Computed filters of the design, from its field on the reference axis, (radiator, …)."""
    case, frequency = unchanged.case, unchanged.frequency
    whole = together(on_axis, drive.shares)
    low_ends = heard_low_end(drive.low_end, whole, on_axis[: len(case.drivers)])
    sounding = frequency[unchanged.sounding]
    found = filters_of(
        with_needed_filters(case), sounding, drive, whole, unchanged.layout.centres, low_ends
    )
    assert found.targets is not None
    filters, targets = np.zeros((2, len(case.drivers), frequency.size), dtype=complex)
    filters[:, unchanged.sounding], targets[:, unchanged.sounding] = found.filters, found.targets
    return FixedFilters(filters, targets, _played(case, frequency, solve))


def _played(case: Case, frequency: np.ndarray, solve: Solve) -> Played | None:
    """What a processor makes of the computed filters; its taps are those of the prediction."""
    if case.processor is None or case.processor.taps is None:
        return None
    fixed = fixed_filters(case, predict(case, solve=solve))
    assert fixed is not None
    if fixed.played is None:
        return None
    rate, played = case.processor.sampling_rate, fixed.played
    filters = np.full((len(case.drivers), frequency.size), np.nan + 0j)
    for number, branch in enumerate(branches_of(case)):
        if branch.slopes == "acoustic":
            wait = np.exp(-2j * np.pi * frequency * played.samples[number] / rate)
            filters[number] = fir_response(played.taps[number], frequency, rate) * wait
    return played._replace(filters=filters)


def _who(radiator: Radiator) -> tuple[str, str, str, int | None]:
    return radiator.kind, radiator.enclosure, radiator.name, radiator.driver
