"""Every driver that a case names recordings of, measured; their delays held against each other."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case, FrequencyGrid
from acoustics.conventions import RoundoverError
from acoustics.measurement.excess_delay import Delay, excess_delay
from acoustics.studies.measure.against import held_against
from acoustics.studies.measure.dataset import Pair, dataset_of
from acoustics.studies.measure.driver import Measured, measured_driver
from acoustics.studies.measure.recorded import Recorded, read_recorded, require_measurement

PER_OCTAVE = 48
"""Frequencies of a measurement, at least."""

BOTH = 12.0
"""dB below its strongest: within this both drivers of a pair play (common practice, no source)."""

LEAST_SHARED = 2.0
"""Ratio of the ends of a band from which a delay between drivers is told."""


def measure_study(case: Case, recorded: Recorded | None = None) -> xr.Dataset:
    """Measure the drivers of a case from the recordings that it names.

    Args:
        case: with a table [measurement].
        recorded: those recordings, where they have been read.

    Returns:
        Responses, noise, harmonics, arrivals, gates, splices and findings, as
        `studies.measure.variables` names them.

    Raises:
        CaseError: recordings that cannot be read or say nothing, at the keys that name them.
        RoundoverError: the case does not say how it was measured.

    Example:
        >>> study = ac.measure_study(ac.read_case("cases/compact-measured"))  # doctest: +SKIP
        >>> study.valid_low  # doctest: +SKIP
    """
    measurement = require_measurement(case)
    if recorded is None:
        recorded = read_recorded(case)
    frequency = frequencies_of(case.frequencies, recorded.sampling_rate)
    found = [measured_driver(case, each, recorded, frequency) for each in measurement.drivers]
    pairs = () if measurement.loopback is None else tuple(_pairs(found))
    more = held_against(case, found, recorded.calibration)
    return dataset_of(case, found, pairs, more, recorded, frequency)


def frequencies_of(grid: FrequencyGrid, sampling_rate: float) -> np.ndarray:
    """Where recordings are evaluated, Hz: at the case's, with more between, below half the rate."""
    finer = -(-PER_OCTAVE // grid.per_octave)
    values = FrequencyGrid(grid.lowest, grid.highest, finer * grid.per_octave).values()
    answer: np.ndarray = values[values < 0.5 * sampling_rate]
    if answer.size < 2:
        raise RoundoverError(
            f"the case asks for {grid.lowest:g} to {grid.highest:g} Hz, and recordings at "
            f"{sampling_rate:g} samples a second hold nothing of that; change frequencies.lowest"
        )
    return answer


def _pairs(found: Sequence[Measured]) -> Iterator[Pair]:
    """Drivers one after the other by their bands, where both play over an octave or more."""
    known = [each for each in found if each.band is not None]
    known.sort(key=lambda each: each.band or (0.0, 0.0))
    for first, second in itertools.pairwise(known):
        band = _shared(first, second)
        if band is None:
            continue
        parts = []
        for each in (first, second):
            assert each.band is not None
            inside = (each.far.frequency >= each.band[0]) & (each.far.frequency <= each.band[1])
            parts.append((each.far.frequency[inside], each.response[inside]))
        try:
            delay = _between(parts, band)
        except RoundoverError:
            continue
        expected = second.far.place.expected - first.far.place.expected
        yield Pair(first.name, second.name, band, delay, expected)


def _between(parts: list[tuple[np.ndarray, np.ndarray]], band: tuple[float, float]) -> Delay:
    """The delay between two responses that are known at different frequencies."""
    one, other = (excess_delay(frequency, response, band) for frequency, response in parts)
    return Delay(
        other.time - one.time,
        math.hypot(one.uncertainty, other.uncertainty),
        one.polarity * other.polarity,
    )


def _shared(first: Measured, second: Measured) -> tuple[float, float] | None:
    """Where both are trusted and within `BOTH` of their strongest, Hz."""
    ends = [_strong(each) for each in (first, second)]
    low, high = max(low for low, _ in ends), min(high for _, high in ends)
    return (low, high) if high >= LEAST_SHARED * low else None


def _strong(each: Measured) -> tuple[float, float]:
    """Band about the strongest frequency in which a driver stays within `BOTH` of it, Hz."""
    assert each.band is not None
    frequency = each.far.frequency
    inside = (frequency >= each.band[0]) & (frequency <= each.band[1])
    level = np.where(inside, 20 * np.log10(np.abs(each.response)), -np.inf)
    strong = frequency[level >= level.max() - BOTH]
    return float(strong[0]), float(strong[-1])
