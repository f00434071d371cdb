"""Readings without the narrow wrinkles that no fault of the list makes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from acoustics.studies.verification.enclosures.wrinkles_found import WrinkleFound
from acoustics.studies.verification.readings.readings import ImpedanceReading, Readings


def without_wrinkles(readings: Readings, wrinkles: Sequence[WrinkleFound]) -> Readings:
    """The readings with the loop of each wrinkle taken out of its impedance.

    A wall that rings is told by itself; left in, it would be the unknown that explains best, and
    hide a fault beside it.
    """
    impedances = tuple(_without(each, wrinkles) for each in readings.impedances)
    return replace(readings, impedances=impedances)


def _without(reading: ImpedanceReading, wrinkles: Sequence[WrinkleFound]) -> ImpedanceReading:
    impedance = reading.impedance
    for each in wrinkles:
        if each.reading == reading.name:
            curve = each.wrinkle.curve(reading.frequency)
            impedance = impedance / (curve if reading.has_phase else abs(curve))
    return replace(reading, impedance=impedance)
