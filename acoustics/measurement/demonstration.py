"""The recordings of `cases/compact-measured`: synthetic, and made again from here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.curves import Curve
from acoustics.files import write_bytes, write_text
from acoustics.measurement.synthetic import Setup, Take, record
from acoustics.measurement.wav_bytes import wav_bytes

TAKES = {
    "woofer-far.wav": Take("woofer"),
    "tweeter-far.wav": Take("tweeter"),
    "woofer-near.wav": Take("woofer", "woofer"),
    "port-near.wav": Take("woofer", "bass rear"),
}

MICROPHONE = "microphone.txt"

DISTANCE = 1.0
"""m, straight in front of the reference point."""

CEILING = 2.4
"""m above the floor."""


def microphone_table() -> tuple[np.ndarray, np.ndarray]:
    """An invented microphone: frequency (Hz) and level (dB), a rise about 10 kHz."""
    frequency = np.array([1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0])
    frequency = np.concatenate([[10**n * frequency for n in range(1, 4)]], axis=None)
    frequency = np.append(frequency, [10_000.0, 12_500.0, 16_000.0, 20_000.0, 24_000.0])
    rise = 2.4 * np.exp(-0.5 * (np.log2(frequency / 10_500) / 0.7) ** 2)
    fall = -10 * np.log10(1 + (9 / frequency) ** 2) - 1.2 * (frequency / 20_000) ** 4
    return frequency, np.round(rise + fall, 2) + 0.0  # + 0.0 makes −0.0 a plain 0


def demonstration_setup(case: Case) -> Setup:
    """How they were made: at the reference axis, over the case's floor, under a ceiling."""
    frequency, level = microphone_table()
    floor = case.cabinet.floor_level
    return Setup(
        microphone=(*case.reference.point, DISTANCE),
        surfaces={"floor": floor, "ceiling": floor + CEILING},
        calibration=Curve(frequency, 10 ** (level / 20) + 0j, False, (), MICROPHONE),
    )


def write_demonstration(
    case: Case, folder: Path, *, solve: Callable[..., xr.DataArray] | None = None
) -> list[Path]:
    """Make the recordings of `TAKES` and the microphone's table; returns the files written.

    Args:
        case: the compact two-way, with the drivers and the port that `TAKES` names.
        folder: for them.
        solve: in place of `acoustics.field.solve_field`.
    """
    setup = demonstration_setup(case)
    written = []
    for name, taken in zip(
        TAKES, record(case, list(TAKES.values()), setup, solve=solve), strict=True
    ):
        data = wav_bytes(taken.recording.samples, taken.recording.sampling_rate)
        written.append(write_bytes(data, folder / name))
    rows = [f"{f:g}\t{level:.2f}" for f, level in zip(*microphone_table(), strict=True)]
    table = "\n".join(["# An invented microphone.", "Hz\tdB", *rows, ""])
    return [*written, write_text(table, folder / MICROPHONE)]
