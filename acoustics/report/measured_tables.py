"""Measured responses as text tables, and what a case says to use them."""

from __future__ import annotations

import json
import math
import re

import numpy as np
import xarray as xr

from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.studies.measure.table_heads import (
    DELAY_TAKEN_OUT,
    FOR_VOLTAGE,
    OF_FULL_SCALE,
    WRITTEN_BY,
)
from acoustics.studies.wording import amount, hertz

GATE_DOUBT = 0.2
"""dB by which levels may be off where two and a half periods fit a gate"""


def table_name(driver: str) -> str:
    """Name of the file that holds a driver's response."""
    return f"{driver.replace(' ', '-')}-response.txt"


def trusted(study: xr.Dataset, driver: str) -> np.ndarray:
    """Which frequencies of a driver can be trusted, shape (frequency,)."""
    return trusted_of(study.sel(driver=driver))


def trusted_of(one: xr.Dataset) -> np.ndarray:
    """Which frequencies of one driver's Dataset can be trusted, shape (frequency,)."""
    frequency = one.frequency.values
    answer: np.ndarray = (frequency >= float(one.valid_low)) & (frequency <= float(one.valid_high))
    return answer


def level_of(study: xr.Dataset, pressure: np.ndarray) -> np.ndarray:
    """Level in dB, re 20 µPa or of full scale, as `unit_of_level` says."""
    reference = REFERENCE_PRESSURE if is_absolute(study) else 1.0
    with np.errstate(divide="ignore"):
        answer: np.ndarray = 20 * np.log10(np.abs(pressure) / reference)
    return answer


def is_absolute(study: xr.Dataset) -> bool:
    """Whether sound pressures are known, and not only parts of full scale."""
    return str(study.attrs["level"]) == "absolute"


def unit_of_level(study: xr.Dataset) -> str:
    """What levels are relative to, in words."""
    return "dB re 20 µPa" if is_absolute(study) else OF_FULL_SCALE


def response_table(study: xr.Dataset, driver: str) -> str | None:
    """The response of one driver as a text table of frequency, level and phase.

    Only frequencies that can be trusted. None where there are fewer than three.
    """
    one, inside = study.sel(driver=driver), trusted(study, driver)
    if np.count_nonzero(inside) < 3:
        return None
    frequency = study.frequency.values[inside]
    removed = float(one.removed_delay)
    response = one.response.values[inside] * np.exp(2j * np.pi * frequency * removed)
    rows = zip(frequency, level_of(study, response), np.degrees(np.angle(response)), strict=True)
    head = "\n".join(f"# {line}" for line in _head(study, one, driver))
    body = "\n".join(f"{f:.7g}\t{level:.3f}\t{phase:.2f}" for f, level, phase in rows)
    return f"{head}\nFrequency (Hz)\tLevel (dB)\tPhase (deg)\n{body}\n"


def _head(study: xr.Dataset, one: xr.Dataset, driver: str) -> list[str]:
    """How a table came about, line by line."""
    distance = amount(float(one.microphone_distance), "m")
    lines = [
        f"Driver '{driver}' of '{study.attrs['title']}' as measured in its cabinet.",
        f"{WRITTEN_BY}; only where it can be trusted. {unit_of_level(study)}, "
        f"{FOR_VOLTAGE.format(float(study.attrs['drive_voltage']))}.",
        f"Microphone {distance} in front of the {_place(one)}; calibration: "
        f"{study.attrs['calibration']}.",
        f"Gate closed {1e3 * float(one.gate_stop - one.arrival):.2f} ms after the arrival.",
    ]
    if not math.isnan(float(one.splice_frequency)):
        lines.append(
            f"From near fields below, joined from {hertz(float(one.splice_low))} to "
            f"{hertz(float(one.splice_high))}."
        )
    if has_clock(study):
        lines.append(DELAY_TAKEN_OUT.format(1e3 * float(one.removed_delay)))
    else:
        lines.append("No loopback: from when the phase counts is not known.")
    return lines


def has_clock(study: xr.Dataset) -> bool:
    """Whether it is known when the signal was sent."""
    return str(study.attrs["clock"]) == "loopback"


def _place(one: xr.Dataset) -> str:
    return "driver's centre" if str(one.microphone_at.values) == "driver" else "reference point"


def case_lines(study: xr.Dataset, folder: str) -> str:
    """The tables [drivers.NAME.measured] that let predictions use what was measured.

    Args:
        study: as `studies.measure.measure_study` makes it.
        folder: where the tables are, counted from the case file's folder, with "/"; empty for the
            same.
    """
    return "\n\n".join(_lines(study, str(name), folder) for name in study.driver.values) + "\n"


def _lines(study: xr.Dataset, driver: str, folder: str) -> str:
    one, inside = study.sel(driver=driver), trusted(study, driver)
    if np.count_nonzero(inside) < 3:
        return f"# {driver}: nothing that can be trusted; no table was written."
    path = f"{folder}/{table_name(driver)}" if folder else table_name(driver)
    key = driver if re.fullmatch(r"[A-Za-z0-9_-]+", driver) else json.dumps(driver)
    lines = [
        f"[drivers.{key}.measured]",
        f"response = {json.dumps(path, ensure_ascii=False)}",
        f'voltage = "{float(study.attrs["drive_voltage"]):g} V"',
        f'distance = "{float(one.microphone_distance):.6g} m"',
        f'at = "{one.microphone_at.values}"',
    ]
    if has_clock(study):
        lines.append(f'removed_delay = "{1e3 * float(one.removed_delay):.6f} ms"')
    else:
        lines.append("unknown_delay = true       # measured without a loopback")
    error = float(one.splice_level_error)
    doubt = math.hypot(GATE_DOUBT, 0.0 if math.isnan(error) else error)
    noise = float(np.median(level_of(study, one.noise.values[inside])))
    lines += [
        f"uncertainty = {doubt:.2f}         # dB, of gate and splice; not that of the microphone",
        f"noise = {noise:.1f}",
    ]
    if is_absolute(study):
        return "\n".join(lines)
    why = [
        f"{driver}: levels are of full scale. State measurement.level_of_full_scale and measure",
        "again; a prediction needs sound pressure levels.",
    ]
    return "\n".join(f"# {line}" for line in (*why, *lines))
