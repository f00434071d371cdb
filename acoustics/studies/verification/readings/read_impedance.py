"""One impedance of a finished loudspeaker from its table."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.verification_model import TakenImpedance
from acoustics.conventions import CaseError
from acoustics.studies.verification.readings.band import trusted_band
from acoustics.studies.verification.readings.doubts import impedance_doubts
from acoustics.studies.verification.readings.found import Found
from acoustics.studies.verification.readings.readings import ImpedanceReading
from acoustics.studies.verification.readings.sources import Source, table_text
from acoustics.studies.verification.readings.tables import impedance_in


def read_impedance(source: Source, taken: TakenImpedance) -> Found[ImpedanceReading]:
    """The reading of one impedance.

    Args:
        source: its file.
        taken: how it was measured.

    Raises:
        CaseError: what is wrong with the file or with what is said of it.
        FileError: a file that cannot be read.
        RoundoverError: a band that holds nothing.
    """
    case = source.case
    if source.is_recording:
        message = "is a recording, and an impedance is a text table of frequency, ohm and phase"
        raise CaseError([source.fault(f"{message}; give that")])
    table = impedance_in(table_text(source), str(source.file))
    curve = table.curve
    band = trusted_band(curve.frequency, taken.band, case.frequencies)
    if faults := [source.fault(message) for message in impedance_doubts(table, band)]:
        raise CaseError(faults)
    notes = [f"{source.name}: {guess}" for guess in curve.guesses]
    if not curve.has_phase:
        notes.append(f"{source.name}: it has no phase, so only its ohms are compared.")
    numbers = {driver.name: number for number, driver in enumerate(case.drivers)}
    reading = ImpedanceReading(
        name=taken.name,
        source=source.words,
        driver=None if taken.driver is None else numbers[taken.driver],
        frequency=curve.frequency,
        impedance=curve.values,
        has_phase=curve.has_phase,
        band=band,
        uncertainty=taken.uncertainty,
    )
    return Found(reading, tuple(notes), np.array([curve.frequency, curve.values]))
