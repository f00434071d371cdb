"""Measured drivers held against what the case would predict of them, and against each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.curves import Curve
from acoustics.field import solve_field
from acoustics.listening.bands import in_band
from acoustics.measurement.calibration_sign import calibration_wrong
from acoustics.measurement.findings import Finding
from acoustics.measurement.mistaken import swapped_files, turned_over
from acoustics.measurement.moved import arrivals_off, levels_off
from acoustics.measurement.synthetic import by_parameters
from acoustics.measurement.undeclared_rate import scaled_frequencies
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import layout_of
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of
from acoustics.studies.measure.driver import Measured
from acoustics.studies.measure.recorded import require_measurement

ACCURACY = 0.5
"""dB of the field: drivers differ from their data by more."""

PER_OCTAVE = 6

ALL_OFF = 6.0
"""dB by which all drivers differ from what the case has: no spread of drivers (common practice)."""

EVERY = ""
"""In place of a driver's name: all of them."""


def held_against(
    case: Case,
    found: Sequence[Measured],
    calibration: Curve | None,
) -> tuple[tuple[str, Finding], ...]:
    """What does not fit the design, each with the driver it is about.

    Args:
        case: the design.
        found: every driver that was measured.
        calibration: of the microphone, as it was taken out.
    """
    known = [each for each in found if each.band is not None]
    if not known:
        return ()
    measurement = require_measurement(case)
    clock = measurement.loopback is not None
    arrivals = {each.name: (each.far.begins.time, each.far.begins.uncertainty) for each in known}
    expected = {each.name: each.far.place.expected for each in known}
    findings: list[tuple[str, Finding]] = []
    if clock:
        speed = case.air.speed_of_sound
        findings += [(EVERY, f) for f in arrivals_off(arrivals, expected, speed, loopback=True)]
    findings += _against_model(case, known, calibration)
    return tuple(findings)


def predicted_at(case: Case, microphones: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """What the case would predict of every driver at microphones, Pa for 2.83 V.

    Drivers as their terminals are marked, without crossover, and from their parameters alone, not
    from what was measured before.

    Args:
        case: the design.
        microphones: m in the cabinet's own coordinates, (microphone, 3).
        frequency: Hz, ascending, (frequency,).

    Returns:
        Complex, (driver, microphone, frequency).
    """
    case = by_parameters(case)
    case = replace(case, drivers=tuple(replace(each, inverted=False) for each in case.drivers))
    layout = layout_of(case)
    field = solve_field(
        layout.body,
        layout.pistons,
        microphones,
        frequency,
        air=case.air,
        accuracy=max(case.accuracy, ACCURACY),
        memory=case.memory,
    )
    drive = drive_of(case, frequency)
    each = together(layout.per_radiator(by_receiver(field)), drive.shares)
    answer: np.ndarray = DRIVE_VOLTAGE * drive.source[:, None] * each
    return answer


def _against_model(
    case: Case, known: Sequence[Measured], calibration: Curve | None
) -> Iterator[tuple[str, Finding]]:
    low = min(each.band[0] for each in known if each.band)
    high = max(each.band[1] for each in known if each.band)
    count = max(8, round(PER_OCTAVE * math.log2(high / low)) + 1)
    frequency = np.geomspace(low, high, count)
    places = np.array([each.far.place.microphone for each in known])
    every = predicted_at(case, places, frequency)
    names = [driver.name for driver in case.drivers]
    model = {each.name: every[names.index(each.name), n] for n, each in enumerate(known)}
    heard = {each.name: _at(each, frequency) for each in known}
    swapped = swapped_files(frequency, heard, model)
    yield from ((EVERY, finding) for finding in swapped)
    if swapped:
        return
    bands = {name: _strong(frequency, model[name], heard[name]) for name in heard}
    levels = {name: _mean_level(frequency, heard[name], bands[name]) for name in heard}
    wanted = {name: _mean_level(frequency, model[name], bands[name]) for name in heard}
    off = {n: levels[n] - wanted[n] for n in levels if np.isfinite(levels[n] - wanted[n])}
    yield from ((EVERY, finding) for finding in levels_off(pick(levels, off), pick(wanted, off)))
    clock = require_measurement(case).loopback is not None
    absolute = require_measurement(case).level_of_full_scale is not None
    if absolute and off and min(map(abs, off.values())) > ALL_OFF:
        yield EVERY, _all_off(float(np.mean(list(off.values()))))
    for each in known:
        name = each.name
        turned = turned_over(frequency, heard[name], model[name], bands[name])
        if turned is not None and each.far.begins.polarity > 0:  # else it was told already
            yield name, turned
        arrival = (each.far.begins.time, each.far.place.expected) if clock else None
        moved = scaled_frequencies(frequency, heard[name], model[name], arrival)
        if moved is not None:
            yield name, moved
    if calibration is not None:
        with np.errstate(divide="ignore", invalid="ignore"):
            apart = {n: 20 * np.log10(np.abs(heard[n] / model[n])) for n in heard}
        wrong = calibration_wrong(
            frequency, apart, calibration, require_measurement(case).calibration_is
        )
        if wrong is not None:
            yield EVERY, wrong


def pick(values: dict[str, float], names: dict[str, float]) -> dict[str, float]:
    """The values of some names."""
    return {name: values[name] for name in names}


def _at(each: Measured, frequency: np.ndarray) -> np.ndarray:
    """A response at other frequencies, its flight taken out between; NaN where not trusted."""
    own, late = each.far.frequency, each.far.place.expected
    still = each.response * np.exp(2j * np.pi * own * late)
    assert each.band is not None
    values = np.interp(frequency, own, still.real) + 1j * np.interp(frequency, own, still.imag)
    values = values * np.exp(-2j * np.pi * frequency * late)
    answer: np.ndarray = np.where(in_band(frequency, each.band), values, np.nan)
    return answer


def _strong(frequency: np.ndarray, model: np.ndarray, heard: np.ndarray) -> tuple[float, float]:
    """Where model and measurement are within 12 dB of their strongest, Hz."""
    inside = np.isfinite(heard)
    for values in (model, heard):
        size = np.where(np.isfinite(values), np.abs(values), 0.0)
        inside &= size >= size.max() * 10 ** (-12 / 20)
    used = frequency[inside]
    return (float(used[0]), float(used[-1])) if used.size else (0.0, 0.0)


def _mean_level(frequency: np.ndarray, values: np.ndarray, band: tuple[float, float]) -> float:
    inside = in_band(frequency, band) & np.isfinite(values)
    if not inside.any():
        return math.nan
    return float(np.mean(20 * np.log10(np.abs(values[inside]))))


def _all_off(off: float) -> Finding:
    return Finding(
        what=f"All drivers are about {abs(off):.0f} dB {'louder' if off > 0 else 'quieter'} than "
        "the case has them",
        where="",
        certain=False,
        advice="Check measurement.level_of_full_scale, voltage and distance.",
    )
