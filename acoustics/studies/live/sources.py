"""What the drivers of a draft send out per volt: roughly at once, and as a prediction has it."""

from __future__ import annotations

from typing import Any

from acoustics.case.design.model import Case
from acoustics.case.varied import with_home
from acoustics.field import solve_field
from acoustics.field.plan import Progress
from acoustics.prediction.fields import heard_at
from acoustics.prediction.microphones import with_measured
from acoustics.source.drive import Drive, drive_of
from acoustics.source.load import baffled_load


def rough_drive(case: Case) -> Drive:
    """The sources with the air's load of an infinite baffle, measured drivers by the model."""
    frequency = case.frequencies.values()
    return drive_of(case, frequency, load=baffled_load(case, frequency))


def full_drive(case: Case, home: Case, progress: Progress) -> Drive:
    """The sources as `predict` has them for a draft.

    Args:
        case: the draft, posed.
        home: the design it is of, in which drivers may have been measured.
        progress: called from time to time with (parts done, all parts).
    """
    frequency = case.frequencies.values()

    def solve(*args: Any, **how: Any) -> Any:
        return solve_field(*args, **{**how, "progress": progress})

    drive = drive_of(case, frequency, solve)
    if not any(driver.measured for driver in case.drivers):
        return drive
    how: dict[str, Any] = {
        "air": case.air,
        "accuracy": case.accuracy,
        "memory": case.memory,
        "progress": progress,
    }
    here = with_home(case, home.measured_in or home)
    measured = heard_at(here.measured_in or here, frequency, solve_field, how)
    return with_measured(here, drive, measured, frequency)[0]
