"""Each driver's filter: sections, parts, or computed for its sound on the reference axis."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.case.model import Branch, Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover.acoustic import full_with_low_end, needed_filter, target_pressure
from acoustics.crossover.branch import branch_response, branches_of
from acoustics.prediction.passive import Passive, passive_of
from acoustics.source.drive import Drive


class Filters(NamedTuple):
    """Filters, what acoustic slopes ask for, and how strong each driver is by itself.

    filters: V/V, complex, shape (driver, frequency). targets: Pa, complex, likewise, NaN for
    drivers with other slopes; None where no driver has acoustic ones. strength: Pa m, shape
    (driver, frequency). passive: the solved passive crossover; None where there is none.
    """

    filters: np.ndarray
    targets: np.ndarray | None
    strength: np.ndarray
    passive: Passive | None


def filters_of(
    case: Case,
    frequency: np.ndarray,
    drive: Drive,
    on_axis: np.ndarray,
    centres: np.ndarray,
    low_ends: np.ndarray,
) -> Filters:
    """The filters of a case.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        drive: what leaves the cabinet per volt.
        on_axis: field on the reference axis, Pa per m³/s, shape (driver, frequency).
        centres: of the drivers, m, shape (driver, 3).
        low_ends: as `heard_low_end` has them, complex, shape (driver, frequency).
    """
    branches = branches_of(case)
    sources = drive.source
    passive = passive_of(case, drive.motion, frequency)
    late = latency(case, branches, centres)
    some = any(branch.slopes == "acoustic" for branch in branches)
    distance = case.reference.distance
    filters = np.empty(sources.shape, dtype=complex)
    targets = np.full(sources.shape, np.nan, dtype=complex)
    if passive is not None:
        filters[list(passive.drivers)] = passive.filters
    for i, (branch, driver) in enumerate(zip(branches, case.drivers, strict=True)):
        if branch.slopes == "electrical":
            filters[i] = branch_response(branch, frequency)
        if branch.slopes != "acoustic":
            continue
        # Wiring a driver the other way round turns its sound; the filter does not turn it back.
        polarity = -1.0 if driver.inverted else 1.0
        targets[i] = polarity * target_pressure(
            branch,
            frequency,
            distance=distance,
            speed_of_sound=case.air.speed_of_sound,
            latency=late,
            low_end=low_ends[i],
        )
        unfiltered = DRIVE_VOLTAGE * sources[i] * on_axis[i]
        full = full_with_low_end(branch, distance, low_ends[i])
        filters[i] = needed_filter(targets[i], unfiltered, branch.most_gain, full)
    if some:
        strength = np.abs(filters * DRIVE_VOLTAGE * sources * on_axis) * distance
        return Filters(filters, targets, strength, passive)
    # Into half space at 1 m; see `source.cone`.
    alone = np.abs(filters * DRIVE_VOLTAGE * sources) * frequency * case.air.density
    return Filters(filters, None, alone, passive)


def latency(case: Case, branches: tuple[Branch, ...], centres: np.ndarray) -> float:
    """How long drivers with acoustic slopes wait for the one whose sound comes from farthest, s."""
    microphone = (*case.reference.point, case.reference.distance)
    ways = [
        float(np.linalg.norm(centre - microphone)) + driver.acoustic_depth
        for driver, branch, centre in zip(case.drivers, branches, centres, strict=True)
        if branch.slopes == "acoustic"
    ]
    farthest = max(ways, default=case.reference.distance)
    return float(max(farthest - case.reference.distance, 0.0)) / case.air.speed_of_sound
