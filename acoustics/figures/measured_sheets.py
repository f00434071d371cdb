"""The figures of a measurement: which question each answers."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import xarray as xr
from matplotlib.figure import Figure

from acoustics.case.text.units import hertz
from acoustics.figures.measured_distortion import draw_distortion
from acoustics.figures.measured_impulse import draw_envelope, draw_impulse
from acoustics.figures.measured_phase import draw_measured_phase
from acoustics.figures.measured_response import draw_measured_response
from acoustics.figures.style import head, key, new_figure

Sheet = Callable[[xr.Dataset], Figure | None]


def measured_sheets(study: xr.Dataset) -> dict[str, Sheet]:
    """The sheets of a measurement by the names of their files: three a driver, one for all."""
    sheets: dict[str, Sheet] = {}
    for name in study.driver.values.tolist():
        end = name.replace(" ", "-")
        sheets[f"response-{end}"] = partial(_of_driver, response_sheet, name)
        sheets[f"impulse-{end}"] = partial(_of_driver, impulse_sheet, name)
        sheets[f"distortion-{end}"] = partial(_of_driver, distortion_sheet, name)
    sheets["phase"] = phase_sheet
    return sheets


def response_sheet(one: xr.Dataset) -> Figure:
    """What was measured, and between which frequencies it can be trusted."""
    figure, axes = new_figure(4.8)
    draw_measured_response(axes[0, 0], one)
    key(axes[0, 0])
    low, high = float(one.valid_low), float(one.valid_high)
    band = "trusted nowhere"
    if np.isfinite(low):
        band = f"trusted from {_hertz(low)} to {_hertz(high)}; grey: not"
    head(figure, "What does the driver send to the microphone?", _subject(one), band)
    return figure


def impulse_sheet(one: xr.Dataset) -> Figure:
    """When the sound comes, what comes after it, and what the gate keeps of that."""
    figure, axes = new_figure(6.4, rows=2, sharex=True)
    draw_impulse(axes[0, 0], one)
    draw_envelope(axes[1, 0], one)
    key(axes[0, 0])
    length = 1e3 * float(one.gate_stop - one.arrival)
    begins = f"{1e3 * float(one.arrival):.3f}".replace("-", "−")
    more = f"arrival at {begins} ms, gate closed {length:.2f} ms later"
    head(figure, "Is the gate closed before the room answers?", _subject(one), more)
    return figure


def distortion_sheet(one: xr.Dataset) -> Figure | None:
    """How much comes at multiples of the frequency that is played; None of impulse responses."""
    if not np.isfinite(one.harmonic.values).any():
        return None
    figure, axes = new_figure(4.6)
    draw_distortion(axes[0, 0], one)
    key(axes[0, 0])
    near = one.harmonic_near.values
    more = "as loud as it was played"
    if near.any():
        more += f"; below {_hertz(float(one.frequency.values[near][-1]))} close to the cone"
    head(figure, "What does the driver add of its own?", _subject(one), more)
    return figure


def phase_sheet(study: xr.Dataset) -> Figure | None:
    """How the drivers' phases lie to each other; None where nothing can be trusted."""
    if bool(study.valid_low.isnull().all()):
        return None
    figure, axes = new_figure(4.4)
    draw_measured_phase(axes[0, 0], study)
    key(axes[0, 0])
    more = "where each can be trusted, the flight over the microphone's distance taken out"
    head(figure, "How do the drivers' phases lie?", str(study.attrs["title"]), more)
    return figure


def _of_driver(
    sheet: Callable[[xr.Dataset], Figure | None], name: str, study: xr.Dataset
) -> Figure | None:
    return sheet(study.sel(driver=name))


def _subject(one: xr.Dataset) -> str:
    return f"{one.attrs['title']}, {one.driver.values}"


def _hertz(frequency: float) -> str:
    return hertz(float(f"{frequency:.3g}"))
