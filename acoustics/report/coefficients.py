"""Coefficients, taps, gains and delays as files to load into a digital processor."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.text.units import hertz
from acoustics.crossover.coefficients import Channel, channels_of
from acoustics.files import write_text
from acoustics.report.spreadsheet import csv_text
from acoustics.studies.drawings.names import safe_names

EQUATION = "y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]"
"""The sign convention of a1 and a2; a0 is 1."""

FILTERS, CHANNELS = "filters.csv", "channels.csv"


def write_coefficients(
    case: Case, prediction: xr.Dataset, folder: str | os.PathLike[str]
) -> list[str]:
    """Write what a design's processor is to do.

    `filters.csv` has one row for every second-order section, `channels.csv` gain, delay and
    polarity of every channel, and `fir-DRIVER.csv` a driver's impulse response, one number a line.
    Numbers have 17 significant digits, so that they are read back as they were.

    Args:
        case: the design, with a processor.
        prediction: of that same design.
        folder: where to; it is made if it is not there.

    Returns:
        Names of the files, in that folder.

    Raises:
        RoundoverError: there is nothing to write, see `channels_of`, or it cannot be written.
    """
    channels = channels_of(case, prediction)
    rate = prediction.attrs["sampling_rate"]
    names = _tap_names(channels)
    texts = {
        FILTERS: _filters(case, channels, rate),
        CHANNELS: _channels(case, channels, names, rate),
    }
    for channel, own in zip(channels, names, strict=True):
        texts |= {name: _taps(taps) for name, taps in zip(own, channel.taps, strict=True)}
    for name, text in texts.items():
        write_text(text, Path(folder) / name)
    return list(texts)


def _filters(case: Case, channels: Sequence[Channel], rate: float) -> str:
    head = _head(case, rate, f"one second-order section a row: {EQUATION}")
    rows = [
        [
            channel.name,
            number,
            stage.words,
            *map(_exact, stage.row[:3]),
            *map(_exact, stage.row[4:]),
        ]
        for channel in channels
        for number, stage in enumerate(channel.stages, start=1)
    ]
    return head + csv_text([["driver", "number", "what", "b0", "b1", "b2", "a1", "a2"], *rows])


def _channels(
    case: Case, channels: Sequence[Channel], names: Sequence[Sequence[str]], rate: float
) -> str:
    head = _head(case, rate, "everything of a channel is in cascade; gain in dB, delay in samples")
    rows = [
        [
            channel.name,
            "; ".join(channel.drivers),
            _exact(channel.gain),
            channel.delay,
            "inverted" if channel.inverted else "normal",
            len(channel.stages),
            "; ".join(own),
        ]
        for channel, own in zip(channels, names, strict=True)
    ]
    columns = ["channel", "drivers", "gain", "delay", "polarity", "sections", "taps"]
    return head + csv_text([columns, *rows])


def _head(case: Case, rate: float, *lines: str) -> str:
    said = [case.title, f"sampling rate {hertz(rate)}", *lines]
    return "".join(f"# {line}\r\n" for line in said)


def _taps(taps: np.ndarray) -> str:
    return "".join(f"{_exact(tap)}\n" for tap in taps)


def _exact(number: float) -> str:
    return f"{number:.17g}"


def _tap_names(channels: Sequence[Channel]) -> list[list[str]]:
    """File names for every channel's impulse responses, safe on any system and each its own."""
    names = safe_names(f"fir {channel.name}" for channel in channels for _ in channel.taps)
    return [[f"{next(names)}.csv" for _ in channel.taps] for channel in channels]
