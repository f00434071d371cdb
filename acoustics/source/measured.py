"""Drivers' impedances where they were measured, in place of those that follow from parameters."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Case
from acoustics.curves import Curve, at_frequencies
from acoustics.source.motion import Motion


def measured_at(table: MeasuredImpedance, frequency: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A measured impedance at other frequencies.

    Past its ends the table is carried on as `at_frequencies` has it; whether it may be is checked
    when a case is read.

    Args:
        table: what was measured.
        frequency: Hz, shape (frequency,).

    Returns:
        Ohm, complex, and whether each frequency lies past the ends, both of shape (frequency,).
    """
    values = np.array(table.resistance) + 1j * np.array(table.reactance)
    curve = Curve(np.array(table.frequency), values, True, (), table.source)
    return at_frequencies(curve, frequency, beyond=True)


def driver_impedance(case: Case, motion: Motion, frequency: np.ndarray) -> np.ndarray:
    """Impedance of every driver at its terminals: as measured, else by its parameters.

    Args:
        case: the design.
        motion: of the same design, at those frequencies.
        frequency: Hz, shape (frequency,).

    Returns:
        Ohm, complex, shape (driver, frequency); NaN where neither is known.
    """
    answer = motion.impedance.copy()
    for number, driver in enumerate(case.drivers):
        if driver.impedance is not None:
            answer[number] = measured_at(driver.impedance, frequency)[0]
    return answer


def carried_on(case: Case, frequency: np.ndarray) -> np.ndarray:
    """Where an impedance is a table's, past its ends; boolean, shape (driver, frequency)."""
    answer = np.zeros((len(case.drivers), frequency.size), dtype=bool)
    for number, driver in enumerate(case.drivers):
        if driver.impedance is not None:
            answer[number] = measured_at(driver.impedance, frequency)[1]
    return answer
