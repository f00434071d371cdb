"""One response of a finished loudspeaker, from its table or its recording."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from acoustics.case.design.verification_model import TakenResponse
from acoustics.conventions import CaseError
from acoustics.studies.measure.table_heads import TableHead, table_head
from acoustics.studies.verification.readings.band import trusted_band
from acoustics.studies.verification.readings.doubts import response_doubts
from acoustics.studies.verification.readings.found import Found
from acoustics.studies.verification.readings.microphone import is_inside, microphone_at
from acoustics.studies.verification.readings.readings import ResponseReading
from acoustics.studies.verification.readings.recordings import recorded_response
from acoustics.studies.verification.readings.sources import Source, table_text
from acoustics.studies.verification.readings.tables import response_in
from acoustics.studies.wording import amount


def read_response(source: Source, taken: TakenResponse) -> Found[ResponseReading]:
    """The reading of one response.

    Args:
        source: its file.
        taken: how it was measured.

    Raises:
        CaseError: what is wrong with the file or with what is said of it.
        FileError: a file that cannot be read.
        RoundoverError: a band that holds nothing.
    """
    case = source.case
    place = microphone_at(case, taken)
    if is_inside(case, place):
        raise CaseError(
            [
                source.fault(
                    f"{amount(taken.distance, 'm')} from the reference point in this direction the "
                    "microphone is in the cabinet; check distance, right and up",
                    "distance",
                )
            ]
        )
    numbers = {driver.name: number for number, driver in enumerate(case.drivers)}
    playing = tuple(sorted(numbers[name] for name in taken.playing or numbers))
    plain = ResponseReading(
        name=taken.name,
        source=source.words,
        playing=playing,
        reversed=tuple(sorted(numbers[name] for name in taken.reversed)),
        place=place,
        frequency=np.empty(0),
        pressure=np.empty(0, dtype=complex),
        has_phase=True,
        calibrated=taken.calibrated,
        clock=taken.timing or "",
        band=(0.0, 0.0),
        uncertainty=taken.uncertainty,
    )
    if source.is_recording:
        found = recorded_response(source, taken, place, playing)
        reading = replace(
            plain,
            frequency=found.frequency,
            pressure=found.pressure,
            calibrated=found.calibrated,
            clock=found.clock,
            band=trusted_band(found.frequency, taken.band, case.frequencies),
        )
        return Found(reading, found.notes, found.samples)
    return _from_table(source, taken, plain)


def _from_table(
    source: Source, taken: TakenResponse, plain: ResponseReading
) -> Found[ResponseReading]:
    text = table_text(source)
    head = table_head(text)
    taken, notes = (taken, []) if head is None else _as_written(source.name, taken, head)
    table = response_in(text, str(source.file), taken.unit, taken.calibrated)
    curve = table.curve
    notes = [f"{source.name}: {guess}" for guess in curve.guesses] + notes
    band = trusted_band(curve.frequency, taken.band, source.case.frequencies)
    pressure = curve.values / taken.voltage
    faults = response_doubts(table, replace(curve, values=pressure), taken, band)
    if told := [source.fault(message) for message in faults]:
        raise CaseError(told)
    if curve.has_phase:
        delay = taken.removed_delay or 0.0
        pressure = pressure * np.exp(-2j * np.pi * curve.frequency * delay)
    else:
        notes.append(f"{source.name}: it has no phase, so only its levels are compared.")
    reading = replace(
        plain,
        frequency=curve.frequency,
        pressure=pressure,
        has_phase=curve.has_phase,
        calibrated=taken.calibrated,
        clock=taken.timing or "" if curve.has_phase else "",
        band=band,
    )
    return Found(reading, tuple(notes), np.array([curve.frequency, curve.values]))


def _as_written(
    name: str, taken: TakenResponse, head: TableHead
) -> tuple[TakenResponse, list[str]]:
    """How a response was taken by the head of its table, where the case does not say otherwise."""
    notes = []
    if head.voltage is not None and head.voltage != taken.voltage:
        notes.append(f"{name}: its levels are for {head.voltage:g} V, as the table's head says.")
        taken = replace(taken, voltage=head.voltage)
    if head.removed_delay is None:
        taken = replace(taken, timing=None)
    elif taken.removed_delay is None:
        taken = replace(taken, removed_delay=head.removed_delay)
        notes.append(
            f"{name}: {1e3 * head.removed_delay:.3f} ms of delay is put back, as the table's head "
            "says."
        )
    if taken.calibrated and not head.absolute:
        taken = replace(taken, calibrated=False)
        notes.append(
            f"{name}: its levels are of full scale, as the table's head says, so only their shape "
            "counts."
        )
    return taken, notes
