"""The low end of one driver from recordings close by, joined to its far field."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.measurement_model import DriverMeasurement
from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.curves import Curve
from acoustics.measurement.arrival import first_rise
from acoustics.measurement.findings import Finding
from acoustics.measurement.gate import Gate
from acoustics.measurement.near_field import (
    Near,
    near_to_far,
    unmeasured,
    volume_velocities,
    ways_of,
)
from acoustics.measurement.noise import valid_band
from acoustics.measurement.port_sign import port_turned
from acoustics.measurement.spliced import Splice, permitted_overlap, splice_findings, spliced
from acoustics.studies.measure.evaluated import Evaluated
from acoustics.studies.measure.far import AHEAD, LEAST_SNR, Far, scale_of, transferred
from acoustics.studies.measure.recorded import CONE, require_measurement

LENGTH = 0.4
"""s of a near field: the room is far below it, the lowest notes of a box ring that long."""

CLOSING = 0.1
"""s, of which the gate takes this to close."""


CANCELLED = 0.12
"""Where cone and port leave less than this share of what both send out, a leak that no microphone
hears and a tenth of a decibel in either count; it is not trusted."""


CLEAR = 10.0
"""Times its noise that a near field must be to show its sign."""

_NO_CLOCK = Finding(
    what="Cone and port add up by when each recording began, as nothing says when it was sent",
    where="",
    certain=False,
    advice=(
        "Record a loopback in the second channel, or play and record each from one start of one "
        "device."
    ),
)


@dataclass(frozen=True, eq=False)
class Low:
    """Low end of a driver as at the far microphone.

    Attributes:
        response: in the far field's unit, complex, (frequency,); NaN above where it says anything.
        noise: rms of the cone's near field, brought there likewise; NaN likewise.
        band: Hz, in which it stands out of its noise; None nowhere.
        splice: with the far field; None where they could not be joined.
        heard: close to the cone.
        findings: what to know.
    """

    response: np.ndarray
    noise: np.ndarray
    band: tuple[float, float] | None
    splice: Splice | None
    heard: Evaluated
    findings: tuple[Finding, ...]


def low_end(
    case: Case,
    measured: DriverMeasurement,
    near: dict[str, Evaluated],
    far: Far,
    calibration: Curve | None,
) -> Low:
    """Bring near fields to the far microphone past this cabinet, and join them to the far field.

    Args:
        case: the design.
        measured: how the driver was measured.
        near: what was heard, `CONE` and by port.
        far: the driver's far field.
        calibration: of the microphone.

    Raises:
        RoundoverError: a near field that does not stand out of its noise.
    """
    measurement, frequency = require_measurement(case), far.frequency
    scale = scale_of(measurement.level_of_full_scale, measured.voltage)
    pressures: list[Near] = []
    noises: list[np.ndarray] = []
    findings = [finding for heard in near.values() for finding in heard.findings]
    late = 0.0
    if measurement.loopback is None:
        # Half a second of unknown delay turns the phase more than once from row to row, so that no
        # splice could tell it; what was begun alike is late alike.
        flight = measured.near_distance / case.air.speed_of_sound
        late = first_rise(near[CONE].impulse).time - flight
    turned = np.exp(2j * np.pi * frequency * late)
    for port, heard in near.items():
        gate = _long_gate(heard)
        values, noise, _ = transferred(
            heard, gate, frequency, calibration, measurement.calibration_is
        )
        noises.append(scale * noise)
        name = measured.driver if port == CONE else f"{_enclosure(case, measured.driver)} {port}"
        pressures.append(Near(name, scale * values * turned, measured.near_distance))
    if len(near) > 1 and measurement.loopback is None:
        findings.append(_NO_CLOCK)
    missing = unmeasured(case, pressures)
    if missing:
        findings.append(_left_out(missing))
    ways = ways_of(case, pressures, far.place.microphone, frequency[:1])
    below = frequency <= ways.highest
    used = frequency[below]
    ways = ways_of(case, pressures, far.place.microphone, used)
    clear = [np.abs(p.pressure) > CLEAR * own for p, own in zip(pressures, noises, strict=True)]
    flows = volume_velocities([p.pressure[below] for p in pressures], ways.near)
    if measurement.loopback is not None or measurement.kind == "impulse":
        for number, port in enumerate(near):
            if port != CONE:
                both = (clear[0] & clear[number])[below]
                findings += filter(
                    None, [port_turned(used[both], flows[0, both], flows[number, both], port)]
                )
    response = np.full(frequency.size, np.nan, dtype=complex)
    response[below] = near_to_far([each.pressure[below] for each in pressures], ways.near, ways.far)
    noise = np.full(frequency.size, np.nan)
    noise[below] = noises[0][below] * np.abs(ways.far[0] / ways.near[0, 0])
    band = valid_band(used, response[below], noise[below], LEAST_SNR)
    if band is not None:
        low = max(band[0], near[CONE].band[0], _not_cancelled(used, ways.far * flows))
        band = (low, band[1]) if low < band[1] else None
    splice = None
    try:
        overlap = permitted_overlap(far.gate.lowest_frequency, ways.highest)
        splice = spliced(frequency, response, far.response, overlap)
        findings += splice_findings(splice)
    except RoundoverError as error:
        words, _, advice = str(error).rpartition("; ")
        advice = advice[:1].upper() + advice[1:] + "."
        findings.append(Finding(f"The low end could not be joined: {words}", "", True, advice))
    return Low(response, noise, band, splice, near[CONE], tuple(findings))


def _not_cancelled(frequency: np.ndarray, each: np.ndarray) -> float:
    """From which frequency on what several send out does not nearly cancel, Hz."""
    share = np.abs(each.sum(axis=0)) / np.abs(each).sum(axis=0)
    lost = np.flatnonzero(share < CANCELLED)
    # Above its tuning a port adds to its cone: what cancels does so below.
    return float(frequency[min(lost[-1] + 1, frequency.size - 1)]) if lost.size else 0.0


def _long_gate(heard: Evaluated) -> Gate:
    rise = first_rise(heard.impulse).time
    stop = min(rise + LENGTH, heard.impulse.stop)
    closing = max(stop - CLOSING, rise + (stop - rise) / 2)
    return Gate(rise - AHEAD, rise - AHEAD / 2, closing, stop, rise)


def _enclosure(case: Case, driver: str) -> str:
    return next(each.name for each in case.enclosures if driver in each.drivers)


def _left_out(missing: tuple[str, ...]) -> Finding:
    return Finding(
        what=f"Not measured, and so left out of the low end: {', '.join(missing)}",
        where="",
        certain=True,
        advice="Measure its near field with the same gain and name it in near_ports.",
    )
