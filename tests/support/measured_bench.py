"""A small measured case for tests: drivers of known analogue responses, recorded over a floor."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import scipy.signal as ss
from scipy.io import wavfile

from acoustics.measurement.sweep import make_sweep

RATE = 48_000
SPEED = 343.2
"""m/s at 20 °C (ISO 9613-1), which the case states"""

HEIGHTS = {"tweeter": 1.2 + 0.19 + 0.125, "woofer": 1.2 + 0.19 - 0.02}
"""m above the floor: base_height, half the cabinet, position"""

DEPTHS = {"tweeter": 0.0, "woofer": 0.018}
FULL_SCALE = 120.0
"""dB of a sine that fills the microphone's channel"""

CASE = """\
title = "Two-way on a test bench"

[air]
temperature = "20 degC"

[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"

[drivers.tweeter]
piston_diameter = "25 mm"
frame_diameter = "100 mm"
position = ["0 mm", "125 mm"]
sensitivity = 90.0

[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
acoustic_depth = "18 mm"
sensitivity = 88.0

[seat]
distance = "2.5 m"
ear_heights = ["0.95 m"]

[measurement]
sampling_rate = "48 kHz"
sweep = { lowest = "40 Hz", highest = "23 kHz", duration = "0.6 s" }
loopback = 2
level_of_full_scale = 120.0
base_height = "1.2 m"
distance = "1 m"

[measurement.drivers.tweeter]
far = "tweeter.wav"

[measurement.drivers.woofer]
far = "woofer.wav"
"""

SWEEP = make_sweep(40.0, 23_000.0, 0.6, RATE)


def driver(name: str, frequency: np.ndarray) -> np.ndarray:
    """Response of a driver by the general library's analogue filters; 1 in its band."""
    if name == "tweeter":
        b, a = ss.butter(2, 2 * np.pi * 1200.0, "high", analog=True)
    else:
        b, a = ss.butter(2, 2 * np.pi * np.array([120.0, 9000.0]), "band", analog=True)
    answer: np.ndarray = ss.freqs(b, a, 2 * np.pi * np.maximum(frequency, 1e-3))[1]
    return answer


def way(name: str) -> float:
    """From a driver's centre to the microphone, which is before the tweeter's, m."""
    return float(np.hypot(1.0, HEIGHTS["tweeter"] - HEIGHTS[name]))


def flight(name: str) -> float:
    """s from what is sent to the sound at the microphone."""
    return (way(name) + DEPTHS[name]) / SPEED


@dataclass(frozen=True)
class Bench:
    """How recordings are made.

    `level` is the response's, of full scale per amplitude 1 of the sweep; `polynomial` are a₂ and
    a₃ of x + a₂x² + a₃x³ before the driver; `latency` of both channels, s.
    """

    level: float = 0.05
    noise: float = 1e-6
    lead: float = 0.2
    latency: float = 0.004
    loopback: float = 0.3
    floor: float = 0.8
    polynomial: tuple[float, float] = (0.0, 0.0)
    sign: int = 1


def recorded(name: str, bench: Bench, seed: int = 3) -> np.ndarray:
    """Microphone and loopback, shape (n, 2)."""
    lead, tail = round(bench.lead * RATE), round(0.3 * RATE)
    sweep = SWEEP.samples
    second, third = bench.polynomial
    played = sweep + second * sweep**2 + third * sweep**3
    size = lead + sweep.size + tail
    length = 2 * size
    frequency = np.fft.rfftfreq(length, 1 / RATE)
    bounce_way = np.hypot(1.0, HEIGHTS["tweeter"] + HEIGHTS[name])
    later = (bounce_way - way(name)) / SPEED
    bounce = bench.floor * way(name) / bounce_way * np.exp(-2j * np.pi * frequency * later)
    response = bench.sign * bench.level * driver(name, frequency) * (1 + bounce)
    late = np.exp(-2j * np.pi * frequency * (bench.latency + flight(name)))
    before = np.exp(-2j * np.pi * frequency * bench.latency)

    def through(signal: np.ndarray, factor: np.ndarray) -> np.ndarray:
        padded = np.zeros(length)
        padded[lead : lead + signal.size] = signal
        answer: np.ndarray = np.fft.irfft(np.fft.rfft(padded) * factor, length)[:size]
        return answer

    both = np.array([through(played, response * late), bench.loopback * through(sweep, before)])
    both += bench.noise * np.random.default_rng(seed).standard_normal(both.shape)
    return both.T


def write(path: Path, samples: np.ndarray, rate: int = RATE) -> None:
    """A WAV file of 32 bits of floating point, by the general library."""
    wavfile.write(path, rate, samples.astype(np.float32))


def bench_case(folder: Path, text: str = CASE, bench: Bench | None = None) -> Path:
    """Write a case with both recordings; returns its file."""
    for name in ("tweeter", "woofer"):
        write(folder / f"{name}.wav", recorded(name, bench or Bench()))
    file = folder / "case.toml"
    file.write_text(text, encoding="utf-8")
    return file


def expected(name: str, frequency: np.ndarray, bench: Bench) -> np.ndarray:
    """Pa for 2.83 V, which is what the sweep is stated to be, complex, (frequency,)."""
    full = 20e-6 * 10 ** (FULL_SCALE / 20)
    response = bench.sign * bench.level * driver(name, frequency)
    return full * response * np.exp(-2j * np.pi * frequency * flight(name))
