"""Computed filters as impulse responses of the processor, and the latency that all then have."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from acoustics.case.design.model import Branch, Case
from acoustics.crossover.digital import fir_response
from acoustics.crossover.impulse_response import Needed, realise


class Played(NamedTuple):
    """What the processor makes of computed filters.

    taps: shape (driver, tap), NaN for drivers whose filter is not computed. samples: whole samples
    of delay beside the taps, likewise 0. latency: samples, the same for all drivers of the design.
    filters: the response of taps and delay, V/V, complex (driver, frequency), NaN likewise.
    """

    taps: np.ndarray
    samples: np.ndarray
    latency: int
    filters: np.ndarray


def with_needed_filters(case: Case) -> Case:
    """The case with computed filters left as they are needed, without taps."""
    if case.processor is None:
        return case
    return replace(case, processor=replace(case.processor, taps=None))


def own_delay(case: Case, branch: Branch, driver: int, centre: np.ndarray, late: float) -> float:
    """The delay that a computed filter holds, from the ways that sound goes, s.

    Args:
        case: the design.
        branch: of the driver, with acoustic slopes.
        driver: its number.
        centre: where it sits, m, shape (3,).
        late: as `prediction.filters.latency` has it, s.
    """
    microphone = (*case.reference.point, case.reference.distance)
    way = float(np.linalg.norm(centre - microphone)) + case.drivers[driver].acoustic_depth
    return branch.delay + late + (case.reference.distance - way) / case.air.speed_of_sound


def played(
    case: Case,
    branches: tuple[Branch, ...],
    frequency: np.ndarray,
    filters: np.ndarray,
    centres: np.ndarray,
    late: float,
) -> Played | None:
    """Realise the computed filters of a case; None where it has no taps for them.

    Args:
        case: the design.
        branches: of every driver.
        frequency: Hz, shape (frequency,).
        filters: that are needed, V/V, complex, shape (driver, frequency).
        centres: of the drivers, m, shape (driver, 3).
        late: s, what `prediction.filters.latency` gives.
    """
    computed = [n for n, branch in enumerate(branches) if branch.slopes == "acoustic"]
    if case.processor is None or case.processor.taps is None or not computed:
        return None
    rate, count = case.processor.sampling_rate, case.processor.taps
    samples = np.zeros(len(branches), dtype=int)
    for n in computed:
        delay = own_delay(case, branches[n], n, centres[n], late)
        samples[n] = max(int(np.floor(delay * rate + 1e-6)), 0)
    needed = [Needed(filters[n], int(samples[n])) for n in computed]
    found = realise(needed, frequency, rate=rate, taps=count)
    taps = np.full((len(branches), count), np.nan)
    response = np.full(filters.shape, np.nan, dtype=complex)
    taps[computed] = found.taps
    for n in computed:
        wait = np.exp(-2j * np.pi * frequency * samples[n] / rate)
        response[n] = fir_response(taps[n], frequency, rate) * wait
    return Played(taps, samples, found.latency, response)
