"""Each driver's filter: sections, parts, or computed for its sound on the reference axis."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from acoustics.case.design.model import Branch, Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover.acoustic import full_with_low_end, needed_filter, target_pressure
from acoustics.crossover.branch import branch_response, branches_of
from acoustics.prediction.built import FixedFilters
from acoustics.prediction.passive import Passive, passive_of, turned
from acoustics.prediction.realised import Played, played
from acoustics.source.drive import Drive


class Filters(NamedTuple):
    """Filters, what acoustic slopes ask for, and how strong each driver is by itself.

    filters: V/V, complex, shape (driver, frequency). targets: Pa, complex, likewise, NaN for
    drivers with other slopes; None where no driver has acoustic ones. strength: Pa m, shape
    (driver, frequency). passive: the solved passive crossover; None where there is none.
    needed: the computed filters before a processor realised them, V/V, NaN for other drivers, and
    what it made of them; None where that is the same. What is realised is late, all of it equally,
    targets too.
    """

    filters: np.ndarray
    targets: np.ndarray | None
    strength: np.ndarray
    passive: Passive | None
    needed: np.ndarray | None = None
    played: Played | None = None


def filters_of(
    case: Case,
    frequency: np.ndarray,
    drive: Drive,
    on_axis: np.ndarray,
    centres: np.ndarray,
    low_ends: np.ndarray,
    fixed: FixedFilters | None = None,
) -> Filters:
    """The filters of a case.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        drive: what leaves the cabinet per volt.
        on_axis: field on the reference axis, Pa per m³/s, shape (driver, frequency).
        centres: of the drivers, m, shape (driver, 3).
        low_ends: as `heard_low_end` has them, complex, shape (driver, frequency).
        fixed: computed filters and targets of the design that this is a build of.
    """
    branches = branches_of(case)
    sources = drive.source
    late = latency(case, branches, centres)
    some = any(branch.slopes == "acoustic" for branch in branches)
    distance = case.reference.distance
    filters = np.zeros(sources.shape, dtype=complex)
    targets = np.full(sources.shape, np.nan, dtype=complex)
    for i, (branch, driver) in enumerate(zip(branches, case.drivers, strict=True)):
        if branch.slopes == "electrical":
            filters[i] = branch_response(branch, frequency, case.sampling_rate)
        if branch.slopes != "acoustic":
            continue
        if fixed is not None:
            filters[i], targets[i] = fixed.filters[i], fixed.targets[i]
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
    passive = passive_of(case, drive.motion, frequency, filters)
    if passive is not None:
        filters[list(passive.drivers)] = passive.filters
    if fixed is not None:
        done = fixed.played
    else:
        done = played(case, branches, frequency, filters, centres, late)
    needed = None
    if done is not None and case.processor is not None:
        wait = np.exp(-2j * np.pi * frequency * done.latency / case.processor.sampling_rate)
        others = np.isnan(done.filters)
        needed = np.where(others, np.nan, filters * wait)
        filters = np.where(others, filters * wait, done.filters)
        targets = targets * wait
        passive = None if passive is None else turned(passive, wait)
    if some:
        strength = np.abs(filters * DRIVE_VOLTAGE * sources * on_axis) * distance
        return Filters(filters, targets, strength, passive, needed, done)
    # Into half space at 1 m; see `source.cone`.
    alone = np.abs(filters * DRIVE_VOLTAGE * sources) * frequency * case.air.density
    return Filters(filters, None, alone, passive)


def realised_arrays(
    case: Case, found: Filters
) -> tuple[dict[str, np.ndarray], dict[str, Any], dict[str, Any]]:
    """Variables, coordinates and attributes that a prediction has of a processor."""
    if case.processor is None:
        return {}, {}, {}
    attributes: dict[str, Any] = {"sampling_rate": case.processor.sampling_rate}
    if found.played is None or found.needed is None:
        return {}, {}, attributes
    arrays = {"needed_filter": found.needed, "taps": found.played.taps}
    coordinates = {
        "tap": np.arange(found.played.taps.shape[1]),
        "tap_delay": found.played.samples,
    }
    attributes["latency"] = found.played.latency / case.processor.sampling_rate
    return arrays, coordinates, attributes


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
