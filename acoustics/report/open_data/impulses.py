"""Impulse responses as WAV files of 32-bit floating point, and how much a sample of 1 is."""

from __future__ import annotations

import math
from io import BytesIO
from pathlib import Path

import numpy as np
import xarray as xr
from scipy.io import wavfile

from acoustics.files import write_bytes
from acoustics.studies.drawings.names import plain, safe_names


def write_impulses(responses: xr.Dataset, folder: Path) -> tuple[dict[Path, str], float]:
    """Write every impulse response as a file of its own, one channel each.

    Args:
        responses: as `impulse_responses` makes them.
        folder: where to; it is made if it is missing.

    Returns:
        Files with what each is; and the pressure, Pa, that a sample of 1 stands for: 1, or where
        some sample is beyond, the next power of 2, so that no digit is lost. It is the same in
        all files, so that they add up.

    Raises:
        RoundoverError: a file cannot be written.
    """
    rate = round(responses.attrs["sampling_rate"])
    named = _named(responses)
    most = max(float(np.abs(samples).max()) for _, _, samples in named)
    unit = 2.0 ** max(0, math.ceil(math.log2(most))) if most > 1 else 1.0
    written = {}
    names = safe_names(f"impulse {name}" for name, _, _ in named)
    for name, (_, words, samples) in zip(names, named, strict=True):
        content = BytesIO()
        wavfile.write(content, rate, (samples / unit).astype(np.float32))
        written[write_bytes(content.getvalue(), folder / f"{name}.wav")] = words
    return written, unit


def _named(responses: xr.Dataset) -> list[tuple[str, str, np.ndarray]]:
    """Name, meaning and samples of each file."""
    drivers = [str(name) for name in responses.driver.values]
    axis = [("axis all drivers", "reference axis, all drivers", responses.axis_total.values)]
    axis += [
        (f"axis driver {name}", f"reference axis, driver {plain(name)}", samples)
        for name, samples in zip(drivers, responses.axis_pressure.values, strict=True)
    ]
    seats = []
    for speaker in (str(name) for name in responses.speaker.values):
        here, words = responses.sel(speaker=speaker), f"main seat, {speaker} cabinet"
        seats.append(
            (f"seat {speaker} all drivers", f"{words}, all drivers", here.seat_total.values)
        )
        seats += [
            (f"seat {speaker} driver {name}", f"{words}, driver {plain(name)}", samples)
            for name, samples in zip(drivers, here.seat_pressure.values, strict=True)
        ]
    return [*axis, *seats]
