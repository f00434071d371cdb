"""From the files of a finished loudspeaker's measurements to its readings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.verification_model import Verification
from acoustics.conventions import CaseError, Fault, FileError, RoundoverError
from acoustics.studies.verification.readings.found import Found
from acoustics.studies.verification.readings.read_impedance import read_impedance
from acoustics.studies.verification.readings.read_response import read_response
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.verification.readings.sources import (
    Source,
    impedance_source,
    response_source,
)

Taken = TypeVar("Taken")
Reading = TypeVar("Reading")


def read_readings(case: Case, verification: Verification | None = None) -> Readings:
    """Read all that was measured of a finished loudspeaker.

    Text tables and recordings alike come out as pressure per volt with the delay in which they were
    heard, in the band where they can be trusted and the case predicts something.

    Args:
        case: the design.
        verification: what was measured, as `verification_with` gives it; what the case says in
            [verification] if None.

    Raises:
        CaseError: files that are missing, damaged, something else than they are taken for, or
            copies of each other; all of them at once.
        RoundoverError: nothing was measured.

    Example:
        >>> given = verification_with(case, ["axis.txt"], [])  # doctest: +SKIP
        >>> read_readings(case, given).responses[0].band  # doctest: +SKIP
        (200.0, 20000.0)
    """
    verification = verification or case.verification or Verification()
    if not (verification.responses or verification.impedances):
        raise RoundoverError(
            f"{case.path}: no measurement of the finished loudspeaker is given; give --response "
            "FILE or --impedance FILE, or name files in [verification.responses.NAME] and "
            "[verification.impedances.NAME]"
        )
    faults: list[Fault] = []
    responses = _each(
        [(response_source(case, taken), taken) for taken in verification.responses],
        read_response,
        faults,
    )
    impedances = _each(
        [(impedance_source(case, taken), taken) for taken in verification.impedances],
        read_impedance,
        faults,
    )
    faults += [*_copies(responses), *_copies(impedances)]
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    notes = [note for _, found in responses for note in found.notes]
    notes += [note for _, found in impedances for note in found.notes]
    return Readings(
        responses=tuple(found.reading for _, found in responses),
        impedances=tuple(found.reading for _, found in impedances),
        microphone=verification.microphone,
        level=verification.level,
        notes=tuple(dict.fromkeys(notes)),
    )


def _each(
    measured: Sequence[tuple[Source, Taken]],
    read: Callable[[Source, Taken], Found[Reading]],
    faults: list[Fault],
) -> list[tuple[Source, Found[Reading]]]:
    """What is read of every measurement, or more faults."""
    found = []
    for source, taken in measured:
        try:
            found.append((source, read(source, taken)))
        except CaseError as error:
            faults += error.faults
        except FileError as error:
            faults.append(source.fault(error.fault.message, line=error.fault.line))
        except RoundoverError as error:
            faults.append(source.fault(str(error)))
    return found


def _copies(read: Sequence[tuple[Source, Found[Reading]]]) -> Iterator[Fault]:
    """Files that hold the same: nobody measures twice without a difference."""
    for number, (source, found) in enumerate(read):
        for other, before in read[:number]:
            if np.array_equal(before.content, found.content):
                yield source.fault(
                    f"holds the same as {other.words}, which is '{other.name}'; give the file that "
                    "was measured for this"
                )
                break
