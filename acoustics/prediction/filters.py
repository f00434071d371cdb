"""Each driver's filter: as the case has it, or computed for its sound on the reference axis."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.case.model import Branch, Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover.acoustic import needed_filter, target_pressure
from acoustics.crossover.branch import branch_response, branches_of


class Filters(NamedTuple):
    """Filters, what acoustic slopes ask for, and how strong each driver is by itself.

    filters: V/V, complex, shape (driver, frequency). targets: Pa, complex, likewise, NaN for
    drivers with electrical slopes; None where all are. strength: Pa m, shape (driver, frequency).
    """

    filters: np.ndarray
    targets: np.ndarray | None
    strength: np.ndarray


def filters_of(
    case: Case, frequency: np.ndarray, sources: np.ndarray, on_axis: np.ndarray
) -> Filters:
    """The filters of a case.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        sources: m³/s per V, shape (driver, frequency).
        on_axis: field on the reference axis, Pa per m³/s, shape (driver, frequency).
    """
    branches = branches_of(case)
    late = latency(case, branches)
    filters = np.empty(sources.shape, dtype=complex)
    targets = np.full(sources.shape, np.nan, dtype=complex)
    # Into half space at 1 m; see `source.constant`.
    half_space = DRIVE_VOLTAGE * np.abs(sources) * frequency * case.air.density
    strength = np.empty(sources.shape)
    for i, branch in enumerate(branches):
        if branch.slopes == "electrical":
            filters[i] = branch_response(branch, frequency)
            strength[i] = np.abs(filters[i]) * half_space[i]
            continue
        unfiltered = DRIVE_VOLTAGE * sources[i] * on_axis[i]
        targets[i] = target_pressure(
            branch,
            frequency,
            distance=case.reference.distance,
            speed_of_sound=case.air.speed_of_sound,
            latency=late,
        )
        filters[i] = needed_filter(targets[i], unfiltered, branch.most_gain)
        strength[i] = np.abs(filters[i] * unfiltered) * case.reference.distance
    some = any(branch.slopes == "acoustic" for branch in branches)
    return Filters(filters, targets if some else None, strength)


def latency(case: Case, branches: tuple[Branch, ...]) -> float:
    """How long drivers with acoustic slopes wait for the one whose sound comes from farthest, s."""
    x, y = case.reference.point
    ways = [
        np.hypot(np.hypot(driver.position[0] - x, driver.position[1] - y), case.reference.distance)
        + driver.acoustic_depth
        for driver, branch in zip(case.drivers, branches, strict=True)
        if branch.slopes == "acoustic"
    ]
    farthest = max(ways, default=case.reference.distance)
    return float(max(farthest - case.reference.distance, 0.0)) / case.air.speed_of_sound
