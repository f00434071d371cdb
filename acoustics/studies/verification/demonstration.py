"""Synthetic measurements of `cases/compact-passive`, finished and mended: made again from here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.varied import varied_case
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.files import write_text
from acoustics.listening.error import NEPER
from acoustics.prediction.predict import predict

SLIP = {
    "crossover.tweeter.parts.2.capacitor": "4.7 uF",
    "crossover.tweeter.parts.4.capacitor": "10 uF",
}
"""What went wrong on the bench: the tweeter's two capacitors changed places."""

CARE = {
    "crossover.tweeter.parts.1.resistor": "8.3 ohm",
    "crossover.tweeter.parts.3.inductor": "0.463 mH",
    "crossover.woofer.parts.1.inductor": "2.23 mH",
    "crossover.woofer.parts.2.capacitor": "2.67 uF",
    "drivers.woofer.small_signal.resonance": "41.2 Hz",
}
"""What no care avoids: parts and a suspension that are not quite what is printed on them."""

DISTANCE = 1.0
"""m, straight in front of the reference point, and 30° beside."""

GATE = 250.0
"""Hz, from where on the responses hold."""

LEVEL, IMPEDANCE = 0.15, 0.004
"""Noise: dB (of the phase likewise, in nepers), and as a share."""

DELAY = 0.0043
"""s of converters and of the computer, which nobody knows"""

RINGS_AT, RING, RING_Q = 609.0, 0.9, 30.0
"""Hz, ohm and Q of a wall that rings."""

SEED = 7
MENDED_SEED = 8
"""Noise is never the same twice."""


def write_demonstration(
    case: Case,
    folder: Path,
    *,
    slip: Mapping[str, str] = SLIP,
    seed: int = SEED,
    solve: Callable[..., xr.DataArray] | None = None,
) -> list[Path]:
    """Make the tables; returns the files written.

    Args:
        case: the compact two-way with a passive crossover, whose parts `SLIP` names.
        folder: where to.
        slip: keys of the case, with what the bench made of them; empty once it is mended.
        seed: of the noise.
        solve: what computes fields; the field solver if None.
    """
    noise = np.random.default_rng(seed)
    built = varied_case(case, {**slip, **CARE, "reference.distance": f"{DISTANCE:g} m"})
    heard = predict(built, solve=solve)
    front = heard.sel(plane="horizontal")
    by_driver, whole = front.arc_pressure, front.arc_total
    curves = {
        "axis.txt": whole.sel(angle=0.0),
        "aside.txt": whole.sel(angle=30.0),
        "tweeter.txt": by_driver.sel(angle=0.0, driver="tweeter"),
        "woofer.txt": by_driver.sel(angle=0.0, driver="woofer"),
    }
    written = []
    for name, curve in curves.items():
        kept = curve.sel(frequency=slice(GATE, None))
        frequency = kept.frequency.values
        late = np.exp(-2j * np.pi * frequency * DELAY)
        drawn = noise.standard_normal((2, frequency.size)) * LEVEL * NEPER
        pressure = kept.values * late * np.exp(drawn[0] + 1j * drawn[1])
        rows = np.stack([frequency, _decibels(pressure), np.degrees(np.angle(pressure))])
        head = "frequency (Hz), level (dB re 20 uPa), phase (deg)"
        written.append(_table(folder / name, head, rows))
    frequency = heard.frequency.values
    impedance = heard.input_impedance.values
    impedance = impedance + RING / (1 + 1j * RING_Q * (frequency / RINGS_AT - RINGS_AT / frequency))
    drawn = noise.standard_normal((2, frequency.size)) * IMPEDANCE
    impedance = impedance * np.exp(drawn[0] + 1j * drawn[1])
    rows = np.stack([frequency, np.abs(impedance), np.degrees(np.angle(impedance))])
    head = "frequency (Hz), impedance (ohm), phase (deg)"
    written.append(_table(folder / "terminals.txt", head, rows))
    return written


def _decibels(pressure: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 20 * np.log10(np.abs(pressure) / REFERENCE_PRESSURE)
    return answer


def _table(path: Path, head: str, rows: np.ndarray) -> Path:
    lines = [head, *(f"{f:.3f}, {size:.3f}, {phase:.2f}" for f, size, phase in rows.T)]
    return write_text("\n".join(lines) + "\n", path)
