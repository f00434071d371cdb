"""The far field of one driver: arrival, gate, response and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.measurement_model import TableKind
from acoustics.case.design.model import Case, SurfaceName
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, RoundoverError
from acoustics.curves import Curve
from acoustics.measurement.arrival import Arrival, arrival, first_rise
from acoustics.measurement.checks import noisy, reflection_in_gate, too_short
from acoustics.measurement.findings import Finding
from acoustics.measurement.gate import Gate, gated, suggested_gate
from acoustics.measurement.noise import valid_band
from acoustics.measurement.reflections import NEAR, Visible, explained, visible_reflection
from acoustics.studies.measure.evaluated import Evaluated
from acoustics.studies.measure.microphone import part_of
from acoustics.studies.measure.place import Place
from acoustics.studies.measure.recorded import require_measurement

LEAST_SNR = 30.0
"""dB over the noise from which on a response is trusted: it is then off by 0.3 dB at most."""

PERIODS = 2.5
"""That a gate must hold at the lowest frequency that is trusted: with two of them a woofer's gated
response was off by 0.22 dB there, with these by 0.14 (`tests/studies/test_measure_study.py`)."""

ROUNDING = 1e-7
"""Of the strongest response: the least noise that anything recorded has (24 bit)."""

AHEAD = 0.01
"""s before the first rise: what is looked at for the arrival."""

WEAKEST = -25.0
"""dB below the direct sound: what the cabinet's own edges send back is mostly weaker."""


@dataclass(frozen=True, eq=False)
class Far:
    """What was measured of one driver from afar.

    Attributes:
        heard: the recordings' impulse response.
        place: geometry.
        begins: the arrival on the recording's own clock.
        moved: s that are taken off that clock: 0 with a loopback; without one the sound is put
            where distance and depth have it.
        gate: on the recording's clock.
        frequency: Hz, shape (frequency,).
        response: Pa for 2.83 V, or what the microphone's channel has of full scale, complex,
            (frequency,), with the time of flight.
        noise: rms, likewise.
        scale: unit of the response per digit.
        band: Hz, in which it can be trusted; None nowhere.
        seen: first reflection that is seen, and the surface that explains it.
        findings: what to know.
    """

    heard: Evaluated
    place: Place
    begins: Arrival
    moved: float
    gate: Gate
    frequency: np.ndarray
    response: np.ndarray
    noise: np.ndarray
    scale: float
    band: tuple[float, float] | None
    seen: tuple[Visible, SurfaceName | None] | None
    findings: tuple[Finding, ...]


def far_field(
    case: Case,
    voltage: float,
    heard: Evaluated,
    place: Place,
    calibration: Curve | None,
    frequency: np.ndarray,
    *,
    sign_known: bool = True,
) -> Far:
    """Evaluate the far recording of a driver, or of several that play together.

    Args:
        case: the design.
        voltage: of the sweep, rms, V.
        heard: in the far recordings.
        place: where everything was.
        calibration: of the microphone.
        frequency: Hz, ascending, shape (frequency,).
        sign_known: whether the sound should begin with the sign of what was sent.

    Raises:
        RoundoverError: a response that does not stand out of its noise.
    """
    measurement, speed = require_measurement(case), case.air.speed_of_sound
    impulse = heard.impulse
    rough = first_rise(impulse)
    extra = dict(place.extra_path)
    before_any = suggested_gate(rough.time, extra.values(), speed)
    begins = told_arrival(heard, before_any, rough)
    paths = extra.values() if measurement.gate is None else [measurement.gate * speed]
    gate = suggested_gate(begins.time, paths, speed, fade=measurement.fade)
    known = measurement.loopback is not None
    moved = 0.0 if known else begins.time - place.expected
    response, noise, guesses = transferred(
        heard, gate, frequency, calibration, measurement.calibration_is
    )
    response = response * np.exp(2j * np.pi * frequency * moved)
    band = valid_band(frequency, response, noise, LEAST_SNR)
    if band is not None:
        low = max(band[0], PERIODS * gate.lowest_frequency, heard.band[0])
        high = min(band[1], heard.band[1])
        band = (low, high) if low < high else None
    scale = scale_of(measurement.level_of_full_scale, voltage)
    seen = visible_reflection(impulse, begins.time, begins.noise, least=WEAKEST)
    surface = None if seen is None else explained(seen, begins.time, extra, speed)
    too_long = None if measurement.gate is None else _longer_than_room(gate, extra, speed)
    findings = [
        *heard.findings,
        noisy(impulse, begins.noise),
        too_short(impulse, begins.time, gate.lowest_frequency),
        None if too_long is not None and surface is not None else _in_the_gate(seen, gate, surface),
        too_long,
        _turned_round(begins) if sign_known else None,
        *guesses,
    ]
    return Far(
        heard=heard,
        place=place,
        begins=begins,
        moved=moved,
        gate=gate,
        frequency=frequency,
        response=scale * response,
        noise=scale * noise,
        scale=scale,
        band=band,
        seen=None if seen is None else (seen, surface),
        findings=tuple(filter(None, findings)),
    )


def told_arrival(heard: Evaluated, gate: Gate, rough: Arrival) -> Arrival:
    """The arrival by excess delay before the gate closes; the first rise where that cannot be told.

    The band is that in which the sweep was played.
    """
    direct = heard.impulse.part(rough.time - AHEAD, gate.stop)
    try:
        return replace(arrival(direct, heard.band), noise=rough.noise)
    except RoundoverError:
        return rough


def transferred(
    heard: Evaluated,
    gate: Gate,
    frequency: np.ndarray,
    calibration: Curve | None,
    table_of: TableKind,
) -> tuple[np.ndarray, np.ndarray, tuple[Finding, ...]]:
    """Transfer function of a gated response without the microphone's part, against its clock.

    The rms noise in it follows: where a microphone hears less, its noise is raised with the sound.
    """
    response = gated(heard.impulse, gate, frequency, reference=0.0)
    noise = np.maximum(heard.noise(frequency, gate), ROUNDING * np.abs(response).max())
    microphone, guesses = part_of(calibration, table_of, frequency)
    advice = "Keep to that band, or have the microphone calibrated."
    told = tuple(Finding(guess.rstrip("."), "", True, advice) for guess in guesses)
    return response / microphone, noise / np.abs(microphone), told


def scale_of(level_of_full_scale: float | None, voltage: float) -> float:
    """Pa for 2.83 V per digit; digits for 2.83 V where the level is not known.

    A sine that fills the channel has the amplitude 1 and the rms pressure of that level; a response
    is the amplitude per amplitude 1 of the sweep, which made the rms `voltage` (V).
    """
    pressure = 1.0
    if level_of_full_scale is not None:
        pressure = REFERENCE_PRESSURE * 10 ** (level_of_full_scale / 20)
    return pressure * DRIVE_VOLTAGE / voltage


def _in_the_gate(seen: Visible | None, gate: Gate, surface: str | None) -> Finding | None:
    """A reflection in the gate; not one that geometry has at its end, which is seen a bit early."""
    if seen is None or (surface is not None and seen.time > gate.stop - NEAR):
        return None
    return reflection_in_gate(seen, gate, surface)


def _longer_than_room(gate: Gate, extra: dict[SurfaceName, float], speed: float) -> Finding | None:
    """A stated gate that is open when the first reflection comes."""
    inside = [name for name, path in extra.items() if path / speed < gate.length * (1 - 1e-9)]
    if not inside:
        return None
    first = 1e3 * extra[inside[0]] / speed
    return Finding(
        what=(
            f"The gate of {1e3 * gate.length:.1f} ms is open when the {inside[0]} sends sound "
            f"back, {first:.1f} ms after the arrival"
        ),
        where="",
        certain=True,
        advice=f"Leave measurement.gate out, or write {first:.2f} ms or less.",
    )


def _turned_round(begins: Arrival) -> Finding | None:
    if begins.polarity > 0:
        return None
    return Finding(
        what="The sound begins with the other sign: the polarity is turned round",
        where="",
        certain=begins.band is not None,
        advice="Swap the leads and measure again, unless the microphone itself turns it round.",
    )
