"""Checks of [measurement] against the drivers and enclosures of a case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.case.messages.faults import Problem
from acoustics.case.tables.measurement_table import (
    DriverMeasurementTable,
    MeasurementTable,
    PlayedSweepTable,
)
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz

HIGHEST = 0.98
"""Of half the sampling rate: the highest a sweep may run."""


def measurement_problems(
    data: Mapping[str, Any], drivers: Mapping[str, Values], faulty: list[Path]
) -> Iterator[Problem]:
    """Recordings of drivers and ports that are not there, or of none; a sweep above the rate.

    Args:
        data: the case as it stands in the file.
        drivers: sound values of its drivers.
        faulty: keys that are known to be wrong.
    """
    raw = data.get("measurement")
    values = sound_values(MeasurementTable, raw, ("measurement",), faulty)
    if not values or not isinstance(raw, dict):
        return
    rate = values.get("sampling_rate")
    yield from _sweep_problems(("measurement", "sweep"), values.get("sweep"), rate)
    tables = raw.get("drivers", {})
    if not isinstance(tables, dict):
        return
    if not tables and "verification" not in data:
        yield Problem(
            ("measurement", "drivers"),
            "no driver was measured; add a table for each, such as [measurement.drivers.woofer]",
        )
    for name, table in tables.items():
        path: Path = ("measurement", "drivers", name)
        if drivers and name not in drivers:
            yield Problem(path, f"'{short_name(name)}' names no driver; {choice(drivers, name)}")
            continue
        own = sound_values(DriverMeasurementTable, table, path, faulty)
        yield from _sweep_problems((*path, "sweep"), own.get("sweep"), rate)
        yield from _port_problems(path, name, own, data.get("enclosures"))


def _sweep_problems(
    path: Path, sweep: PlayedSweepTable | None, rate: float | None
) -> Iterator[Problem]:
    if rate is not None and sweep is not None and sweep.highest > HIGHEST * rate / 2:
        yield Problem(
            (*path, "highest"),
            f"a sweep at a sampling rate of {hertz(rate)} ends at {hertz(HIGHEST * rate / 2)} at "
            f"the latest, not at {hertz(sweep.highest)}",
        )


def _port_problems(path: Path, driver: str, own: Values, enclosures: object) -> Iterator[Problem]:
    """Near fields of ports that the driver's enclosure does not have."""
    ports = _ports_of(driver, enclosures)
    for port in own.get("near_ports") or {}:
        if port not in ports:
            there = choice(ports, port) if ports else "its enclosure has none; leave the key out"
            yield Problem(
                (*path, "near_ports", port),
                f"'{short_name(port)}' names no port of {driver}; {there}",
            )


def _ports_of(driver: str, enclosures: object) -> list[str]:
    for table in enclosures.values() if isinstance(enclosures, dict) else ():
        if not isinstance(table, dict):
            continue
        members, ports = table.get("drivers"), table.get("ports")
        if isinstance(members, list) and driver in members and isinstance(ports, dict):
            return list(ports)
    return []
