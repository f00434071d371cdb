"""Responses of a finished loudspeaker from recordings, made as [measurement] says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.verification_model import TakenResponse
from acoustics.conventions import DRIVE_VOLTAGE, CaseError, FileError, RoundoverError
from acoustics.curves import CurveError
from acoustics.studies.measure.evaluated import heard_in
from acoustics.studies.measure.far import Far, far_field
from acoustics.studies.measure.recorded import at_key, read_shared, read_take
from acoustics.studies.measure.study import frequencies_of
from acoustics.studies.verification.readings.microphone import heard_from
from acoustics.studies.verification.readings.sources import Source, refuse_no_recording

LOOPBACK = "loopback of [measurement]"
"""The clock that recordings with a loopback share; no name in a case is written so."""


@dataclass(frozen=True, eq=False)
class Recorded:
    """A response as it was recorded.

    `frequency` (Hz) and `pressure` (Pa/V, complex), shape (frequency,), where gate and noise leave
    something; `clock` as `ResponseReading` has it; `calibrated` whether its level is known;
    `samples` of the microphone, shape (n,).
    """

    frequency: np.ndarray
    pressure: np.ndarray
    clock: str
    calibrated: bool
    notes: tuple[str, ...]
    samples: np.ndarray


def recorded_response(
    source: Source,
    taken: TakenResponse,
    place: Sequence[float],
    playing: Sequence[int],
) -> Recorded:
    """What a recording says.

    With a loopback the delay is that from what was sent, as it was recorded. Without one the sound
    is put where geometry has it, unless `timing` says that recordings began alike.

    Args:
        source: the file.
        taken: how it was recorded.
        place: of the microphone, (x, y, z), m.
        playing: numbers of the drivers.

    Raises:
        CaseError: a recording that cannot be read or says nothing, at the key that names it.
    """
    case = source.case
    measurement = case.measurement
    if measurement is None:
        raise CaseError(
            [
                source.fault(
                    "is a recording, and nothing says how it was made; add a table [measurement], "
                    "or give the response as a text table"
                )
            ]
        )
    try:
        refuse_no_recording(source)
        path = (*(source.key or ("measurement",)), "file")
        take = read_take(case, path, str(source.file.absolute()))
        played, calibration = read_shared(case, take.sampling_rate)
        heard = heard_in([take], measurement, measurement.sweep, played)
        frequency = frequencies_of(case.frequencies, take.sampling_rate)
        found = far_field(
            case,
            taken.voltage,
            heard,
            heard_from(case, place, playing),
            calibration,
            frequency,
            sign_known=False,
        )
    except CaseError:
        raise
    except CurveError as error:
        if error.fault.file == str(source.file):
            raise CaseError([source.fault(error.fault.message)]) from error
        raise CaseError([at_key(case, ("measurement", "calibration"), error.fault)]) from error
    except FileError as error:
        raise CaseError([source.fault(error.fault.message)]) from error
    except RoundoverError as error:
        raise CaseError([source.fault(str(error))]) from error
    if found.band is None:
        raise CaseError(
            [
                source.fault(
                    "nowhere does the response stand far enough above its noise to be trusted; "
                    "measure louder or closer"
                )
            ]
        )
    inside = (frequency >= found.band[0]) & (frequency <= found.band[1])
    pressure = found.response / DRIVE_VOLTAGE
    if taken.timing is not None:
        pressure = pressure * np.exp(-2j * np.pi * frequency * found.moved)
    known = measurement.loopback is not None
    return Recorded(
        frequency=frequency[inside],
        pressure=pressure[inside],
        clock=taken.timing or (LOOPBACK if known else ""),
        calibrated=taken.calibrated and measurement.level_of_full_scale is not None,
        notes=tuple(_notes(source, taken, found)),
        samples=take.heard,
    )


def _notes(source: Source, taken: TakenResponse, found: Far) -> list[str]:
    measurement = source.case.measurement
    assert measurement is not None
    notes = [f"{source.name}: {finding}" for finding in found.findings]
    if taken.calibrated and measurement.level_of_full_scale is None:
        notes.append(
            f"{source.name}: measurement.level_of_full_scale is not stated, so only the shape of "
            "its levels counts."
        )
    if measurement.calibration is None:
        notes.append(
            f"{source.name}: measurement.calibration is not stated, so the microphone is taken to "
            "hear all frequencies alike."
        )
    return notes
