"""From the checked table [measurement] to its model."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case.design.measurement_model import DriverMeasurement, Measurement, PlayedSweep
from acoustics.case.design.model import Cabinet
from acoustics.case.tables.measurement_table import MeasurementTable
from acoustics.case.tables.room_tables import SURFACES


def measurement_of(text: MeasurementTable, cabinet: Cabinet) -> Measurement:
    """How drivers were measured; the cabinet says how high it stood where the table does not."""
    return Measurement(
        kind=text.kind,
        sweep=PlayedSweep(**text.sweep.model_dump()),
        sweep_file=text.sweep_file,
        sampling_rate=text.sampling_rate,
        channel=text.channel,
        loopback=text.loopback,
        calibration=text.calibration,
        calibration_is=text.calibration_is,
        level_of_full_scale=text.level_of_full_scale,
        base_height=cabinet.base_height if text.base_height is None else text.base_height,
        surfaces=tuple(_surfaces(text)),
        gate=text.gate,
        fade=text.fade,
        drivers=tuple(
            DriverMeasurement(
                driver=name,
                far=table.far,
                distance=text.distance if table.distance is None else table.distance,
                at=table.at or text.at,
                near=table.near or (),
                near_ports=tuple(table.near_ports.items()),
                near_distance=table.near_distance,
                voltage=text.voltage if table.voltage is None else table.voltage,
                sweep=PlayedSweep(**(table.sweep or text.sweep).model_dump()),
            )
            for name, table in text.drivers.items()
        ),
    )


def _surfaces(text: MeasurementTable) -> Iterator[tuple[str, float]]:
    for name, key in SURFACES.items():
        distance = getattr(text.surfaces, key, None)
        if distance is not None:
            yield name, distance
