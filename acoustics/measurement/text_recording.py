"""Recordings from plain text: one column of samples, or time and value."""

from __future__ import annotations

import os
import re
from typing import Literal

import numpy as np

from acoustics.curves import GUESS, CurveError, CurveForm
from acoustics.curves.rows import Rows, rows_of
from acoustics.curves.text import text_in
from acoustics.measurement.recording import (
    COMMON_RATES,
    Recording,
    RecordingError,
    checked_rate,
    refuse_broken,
)

WAY_OUT = "give a WAV file (.wav), or text with one sample a line, or time and sample"

TimeUnit = Literal["s", "ms"]

UNEVEN = 0.25
"""of a step: how far times may be off an even row, which printing rounds; one left out is half"""

NEAR = 1e-4
"""relative: nearer to a common sampling rate than this is that rate, printed with few digits"""

LONGEST_STEP = 1e-3
"""s; bare times further apart are milliseconds, for no sound is sampled below 1 kHz"""


def read_text_recording(
    path: str | os.PathLike[str],
    *,
    sampling_rate: float | None = None,
    time_unit: TimeUnit | None = None,
    form: CurveForm = GUESS,
) -> Recording:
    """Read samples from plain text.

    With one column of numbers `sampling_rate` must be stated. Of several the first is time and the
    second the value; a sampling rate stated as well must agree.

    Args:
        path: the file.
        sampling_rate: Hz.
        time_unit: of a column of time; from its head, else guessed, if None.
        form: `delimiter` and `decimal`, where these are not to be found out.

    Raises:
        RecordingError: the file is missing, no text or no such table, or its times are uneven.
    """
    name = str(path)
    try:
        rows = rows_of(text_in(path, WAY_OUT), name, form, fewest=1)
    except CurveError as error:
        fault = error.fault
        raise RecordingError(fault.message, fault.file, fault.line) from error
    start = 0.0
    guesses: list[str] = []
    if rows.numbers.shape[1] == 1:
        if sampling_rate is None:
            raise RecordingError(
                "has one column of samples and no times; state sampling_rate in Hz", name
            )
        rate = checked_rate(float(sampling_rate), None, name)
    else:
        rate, start, guesses = _rate(rows, time_unit, name)
        # The stated rate is the exact one: times are printed with few digits.
        near = sampling_rate is not None and abs(rate / sampling_rate - 1) < NEAR
        rate = checked_rate(float(sampling_rate or 0) if near else rate, sampling_rate, name)
    guesses = [*rows.guesses, *guesses]
    samples = rows.numbers[:, min(1, rows.numbers.shape[1] - 1)][None, :]
    refuse_broken(samples, name)
    if rows.numbers.shape[1] > 2:
        guesses.append("Columns after the second are left aside.")
    return Recording(samples, rate, name, None, np.array([start]), None, tuple(guesses))


def _rate(rows: Rows, unit: TimeUnit | None, name: str) -> tuple[float, float, list[str]]:
    """Sampling rate in Hz and first time in s from a column of times, and guesses."""
    times = rows.numbers[:, 0]
    count = times.size
    if count < 3 or not np.all(np.isfinite(times)) or times[-1] <= times[0]:
        raise RecordingError(
            "has several columns, the first of which is no rising time; give time and value, or "
            "one column of samples with sampling_rate",
            name,
            int(rows.lines[0]),
        )
    step = (times[-1] - times[0]) / (count - 1)
    off = abs(times - times[0] - step * np.arange(count)) > UNEVEN * step
    if off.any():
        irregular = int(np.argmax(abs(np.diff(times) - step))) + 1
        text, line = rows.at(irregular)
        raise RecordingError(
            f"{text} breaks the even steps of time (about {step:g}); samples are missing or "
            "stand twice; export the recording again",
            name,
            line,
        )
    guesses = []
    words = set(re.findall(r"[a-zµ]+", rows.preamble[-1].lower())) if rows.preamble else set()
    if unit is None and words & {"ms", "msec", "milliseconds"}:
        unit = "ms"
    elif unit is None and words & {"s", "sec", "seconds"}:
        unit = "s"
    elif unit is None:
        unit = "ms" if step > LONGEST_STEP else "s"
        guesses.append(f"The times, in steps of {step:g}, are taken to be in {unit}.")
    scale = 1e-3 if unit == "ms" else 1.0
    rate = 1 / (step * scale)
    near = next((common for common in COMMON_RATES if abs(rate / common - 1) < NEAR), None)
    if near is not None and rate != near:
        guesses.append(f"The times give a sampling rate of {rate:.8g} Hz, taken to be {near} Hz.")
        rate = float(near)
    return rate, float(times[0]) * scale, guesses
