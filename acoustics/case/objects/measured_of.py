"""From the checked table of a measured response to its frozen object."""

from __future__ import annotations

import math
import pathlib

import numpy as np

from acoustics.case.design.faces import Faces
from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.files.response_files import REFERENCES
from acoustics.case.tables.driver_table import DriverTable
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE
from acoustics.curves import Curve


def measured_of(text: DriverTable, faces: Faces, heard: Curve | None) -> MeasuredResponse | None:
    """What was measured of the driver of a table that has passed every check.

    `heard` is what its microphone heard (Pa). None where nothing was.
    """
    table = text.measured
    if table is None or heard is None:
        return None
    point = None
    if table.point is not None:
        right, up = table.point
        x, y, _ = faces.frame("front").point(right, up)
        point = (x, y)
    values = heard.values / table.voltage
    noise = 0.0
    if table.noise is not None:
        noise = 10 ** (table.noise / 20) * REFERENCES[table.unit] / table.voltage
    first, last = heard.frequency[[0, -1]].tolist()
    return MeasuredResponse(
        source=pathlib.Path(heard.source).name,
        frequency=tuple(heard.frequency.tolist()),
        real=tuple(values.real.tolist()),
        imaginary=tuple(values.imag.tolist()),
        distance=table.distance,
        at="point" if point else table.at or "driver",
        point=point,
        removed_delay=table.removed_delay,
        unknown_delay=table.unknown_delay,
        band=(table.lowest or first, table.highest or last),
        uncertainty=table.uncertainty,
        noise=noise,
        modelled=text.small_signal is not None or text.sensitivity is not None,
    )


def sensitivity_of(measured: MeasuredResponse) -> float:
    """Median of what was measured, as a level in dB at 1 m for DRIVE_VOLTAGE."""
    frequency = np.array(measured.frequency)
    inside = (frequency >= measured.band[0]) & (frequency <= measured.band[1])
    size = np.hypot(measured.real, measured.imaginary)[inside]
    pressure = float(np.median(size)) * DRIVE_VOLTAGE * measured.distance
    return 20 * math.log10(pressure / REFERENCE_PRESSURE)
