"""What was measured as one Dataset that explains itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.measurement.excess_delay import Delay
from acoustics.measurement.findings import Finding
from acoustics.measurement.impulse import Impulse, between_samples
from acoustics.prediction.labels import labelled, origin_of
from acoustics.studies.measure.driver import Measured
from acoustics.studies.measure.recorded import Recorded, require_measurement
from acoustics.studies.measure.variables import MEASURED

SHOWN_BEFORE, SHOWN_AFTER = 2e-3, 20e-3
"""s of the impulse responses that are kept, before the first arrival and after the last gate."""


@dataclass(frozen=True)
class Pair:
    """Two drivers, the band both play in (Hz), and how much later the second one comes."""

    first: str
    second: str
    band: tuple[float, float]
    delay: Delay
    expected: float


def dataset_of(
    case: Case,
    found: Sequence[Measured],
    pairs: Sequence[Pair],
    more: Sequence[tuple[str, Finding]],
    recorded: Recorded,
    frequency: np.ndarray,
) -> xr.Dataset:
    """All that was found, with names, units and meanings.

    `more` are findings beyond those of single drivers, each with its driver, "" for all.
    """
    measurement = require_measurement(case)
    time = _times(found, recorded.sampling_rate)
    arrays = _of_drivers(found, frequency) | _of_pairs(pairs)
    arrays["impulse"] = np.array([_impulse(each, time) for each in found])
    speed = case.air.speed_of_sound
    surfaces = list(dict.fromkeys(name for each in found for name in each.far.place.extra_path))
    arrays["expected_reflection"] = np.array(
        [
            [_time_of(each) + each.far.place.extra_path[name] / speed for name in surfaces]
            for each in found
        ]
    )
    tables = [measurement.driver(each.name) for each in found]
    arrays["microphone_distance"] = np.array([table.distance for table in tables])
    arrays["microphone_at"] = np.array([table.at for table in tables], dtype=str)
    arrays["voltage"] = np.array([table.voltage for table in tables])
    arrays["removed_delay"] = arrays["microphone_distance"] / speed
    findings = [(each.name, finding) for each in found for finding in each.findings]
    findings += more
    arrays["finding_text"] = np.array([str(finding) for _, finding in findings], dtype=str)
    orders = next((each.harmonics.orders for each in found if each.harmonics), (2, 3))
    coordinates: dict[str, Any] = {
        "driver": np.array([each.name for each in found], dtype=str),
        "frequency": frequency,
        "time": time,
        "surface": np.array(surfaces, dtype=str),
        "order": np.array(orders),
        "pair": np.arange(len(pairs)),
        "pair_first": np.array([pair.first for pair in pairs], dtype=str),
        "pair_second": np.array([pair.second for pair in pairs], dtype=str),
        "finding": np.arange(len(findings)),
        "finding_driver": np.array([name for name, _ in findings], dtype=str),
        "finding_certain": np.array([finding.certain for _, finding in findings], dtype=bool),
    }
    attributes = {
        **origin_of(case),
        "kind": measurement.kind,
        "clock": "loopback" if measurement.loopback is not None else "none",
        "level": "absolute" if measurement.level_of_full_scale is not None else "relative",
        "sampling_rate": recorded.sampling_rate,
        "calibration": measurement.calibration or "none",
        "calibration_phase": "minimum phase" if recorded.guessed_phase else "as in the table",
        "gate_from": "geometry" if measurement.gate is None else "the case",
        "fade": measurement.fade,
        "not_measured": ", ".join(
            each.name for each in case.drivers if each.name not in {one.name for one in found}
        ),
        "base_height": measurement.base_height,
        "temperature": case.temperature,
        "speed_of_sound": speed,
    }
    study = labelled(arrays, coordinates, attributes, MEASURED)
    if attributes["level"] == "relative":
        for variable in study.variables.values():
            if variable.attrs.get("units") == "Pa":
                variable.attrs["units"] = "1"
                del variable.attrs["standard_name"]
    return study


def _time_of(each: Measured) -> float:
    """The arrival on the clock of the Dataset, s."""
    return each.far.begins.time - each.far.moved


def _times(found: Sequence[Measured], rate: float) -> np.ndarray:
    starts = [_time_of(each) - SHOWN_BEFORE for each in found]
    stops = [each.far.gate.stop - each.far.moved + SHOWN_AFTER for each in found]
    first, last = math.floor(min(starts) * rate), math.ceil(max(stops) * rate)
    answer: np.ndarray = np.arange(first, last + 1) / rate
    return answer


def _impulse(each: Measured, time: np.ndarray) -> np.ndarray:
    impulse, moved = each.far.heard.impulse, each.far.moved
    if moved == 0.0:
        first = round((time[0] - impulse.start) * impulse.sampling_rate)
        place = first + np.arange(time.size)
        there = (place >= 0) & (place < impulse.samples.size)
        samples = impulse.samples[np.clip(place, 0, impulse.samples.size - 1)]
        answer: np.ndarray = each.far.scale * np.where(there, samples, 0.0)
        return answer
    shifted = Impulse(impulse.samples, impulse.sampling_rate, impulse.start - moved)
    return each.far.scale * between_samples(shifted, time)


def _of_drivers(found: Sequence[Measured], frequency: np.ndarray) -> dict[str, np.ndarray]:
    nothing = np.full(frequency.size, np.nan)
    orders = next((len(each.harmonics.orders) for each in found if each.harmonics), 2)
    no_harmonics = np.full((orders, frequency.size), np.nan)

    def each_of(value: Any, kind: Any = float) -> np.ndarray:
        return np.array([value(each) for each in found], dtype=kind)

    def low(value: Any, missing: Any) -> Any:
        return lambda each: missing if each.low is None else value(each.low)

    def splice(value: Any) -> Any:
        return low(lambda own: math.nan if own.splice is None else value(own.splice), math.nan)

    def harmonics(value: Any, missing: Any) -> Any:
        return lambda each: missing if each.harmonics is None else value(each.harmonics)

    return {
        "response": each_of(lambda each: each.response, complex),
        "far_response": each_of(lambda each: each.far.response, complex),
        "low_response": each_of(low(lambda own: own.response, nothing), complex),
        "noise": each_of(lambda each: each.far.noise),
        "low_noise": each_of(low(lambda own: own.noise, nothing)),
        "harmonic": each_of(harmonics(lambda own: own.level, no_harmonics)),
        "harmonic_noise": each_of(harmonics(lambda own: own.noise, no_harmonics)),
        "harmonic_near": each_of(
            harmonics(lambda own: own.near, np.zeros(frequency.size, dtype=bool)), bool
        ),
        "arrival": each_of(_time_of),
        "arrival_uncertainty": each_of(lambda each: each.far.begins.uncertainty),
        "arrival_by_phase": each_of(lambda each: each.far.begins.band is not None, bool),
        "expected_arrival": each_of(lambda each: each.far.place.expected),
        "distance": each_of(lambda each: each.far.place.distance),
        "polarity": each_of(lambda each: each.far.begins.polarity, int),
        "gate_start": each_of(lambda each: each.far.gate.start - each.far.moved),
        "gate_closing": each_of(lambda each: each.far.gate.closing - each.far.moved),
        "gate_stop": each_of(lambda each: each.far.gate.stop - each.far.moved),
        "lowest_frequency": each_of(lambda each: each.far.gate.lowest_frequency),
        "resolution": each_of(lambda each: each.far.gate.resolution),
        "valid_low": each_of(lambda each: each.band[0] if each.band else math.nan),
        "valid_high": each_of(lambda each: each.band[1] if each.band else math.nan),
        "far_low": each_of(lambda each: each.far.band[0] if each.far.band else math.nan),
        "seen_reflection": each_of(
            lambda each: each.far.seen[0].time - each.far.moved if each.far.seen else math.nan
        ),
        "seen_surface": each_of(
            lambda each: (each.far.seen[1] or "") if each.far.seen else "", str
        ),
        "splice_frequency": each_of(splice(lambda own: own.at)),
        "splice_low": each_of(splice(lambda own: own.faded[0])),
        "splice_high": each_of(splice(lambda own: own.faded[1])),
        "splice_offset": each_of(splice(lambda own: own.offset)),
        "splice_delay": each_of(splice(lambda own: own.delay)),
        "splice_level_error": each_of(splice(lambda own: own.error_in_fade[0])),
        "splice_phase_error": each_of(splice(lambda own: own.error_in_fade[1])),
        "repeats": each_of(lambda each: each.far.heard.repeats, int),
        "noise_from": each_of(lambda each: each.far.heard.noise_from, str),
    }


def _of_pairs(pairs: Sequence[Pair]) -> dict[str, np.ndarray]:
    return {
        "relative_delay": np.array([pair.delay.time for pair in pairs], dtype=float),
        "relative_delay_uncertainty": np.array(
            [pair.delay.uncertainty for pair in pairs], dtype=float
        ),
        "relative_delay_expected": np.array([pair.expected for pair in pairs], dtype=float),
        "relative_polarity": np.array([pair.delay.polarity for pair in pairs], dtype=int),
        "pair_low": np.array([pair.band[0] for pair in pairs], dtype=float),
        "pair_high": np.array([pair.band[1] for pair in pairs], dtype=float),
    }
