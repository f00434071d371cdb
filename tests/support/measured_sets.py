"""Seeded measurements of invented two-ways as a careful person makes them, and the expectation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.signal as ss

from acoustics.curves import Curve

SPEED = 343.0
FREQUENCY = np.geomspace(320.0, 20_000.0, 400)


@dataclass(frozen=True)
class Measured:
    """Both drivers as expected and as found, the microphone's table taken out."""

    expected: dict[str, np.ndarray]
    found: dict[str, np.ndarray]
    arrivals: dict[str, float]
    arrived: dict[str, tuple[float, float]]
    calibration: Curve
    distance: float

    @property
    def differences(self) -> dict[str, np.ndarray]:
        """dB, found over expected."""
        return {
            name: 20 * np.log10(np.abs(self.found[name] / self.expected[name]))
            for name in self.found
        }

    def curve(self, name: str) -> Curve:
        """One of those found as if read from a file."""
        return Curve(FREQUENCY, self.found[name], True, (), f"{name}.txt")


def measured_set(seed):
    """Drivers, distances, table, the drivers' departures from their data and noise are random."""
    random = np.random.default_rng(seed)
    distance, depth = random.uniform(0.7, 1.5), random.uniform(0.01, 0.03)
    systems = {
        "woofer": ss.butter(2, 2 * np.pi * np.array([50.0, random.uniform(1500, 4000)]), "band",
                            analog=True),
        "tweeter": ss.butter(2, 2 * np.pi * np.array([random.uniform(800, 1300), 30_000.0]),
                             "band", analog=True),
    }  # fmt: skip
    flight = {"tweeter": distance / SPEED, "woofer": (np.hypot(distance, 0.15) + depth) / SPEED}
    expected, found, arrived = {}, {}, {}
    for name, system in systems.items():
        response = ss.freqs(*system, 2 * np.pi * FREQUENCY)[1] / distance
        response = response * diffraction(random)
        expected[name] = response * np.exp(-2j * np.pi * FREQUENCY * flight[name])
        # A driver is off its data by 1.5 dB as a whole and by half a decibel here and there.
        off = random.normal(0, 0.7) + departures(random, 0.6)
        turn = np.radians(departures(random, 4.0))
        noise = random.normal(size=(2, FREQUENCY.size))
        found[name] = expected[name] * 10 ** (off / 20) * np.exp(1j * turn)
        loudest = np.abs(found[name]).max()
        found[name] = found[name] + 3e-4 * loudest * (noise[0] + 1j * noise[1])
        arrived[name] = flight[name] + random.normal(0, 8e-6), 16e-6
    return Measured(expected, found, flight, arrived, table(random), distance)


def departures(random, rms):
    """Smooth over a third of an octave, (frequency,)."""
    octaves = np.log2(FREQUENCY / FREQUENCY[0])
    places = np.arange(-1, octaves[-1] + 1, 1 / 3)
    return np.interp(octaves, places, random.normal(0, rms, places.size))


def diffraction(random):
    """Edges: three late and weaker copies."""
    late = random.uniform(0.2e-3, 0.7e-3, 3)[:, None]
    return 1 + 0.12 * np.exp(-2j * np.pi * FREQUENCY * late).sum(axis=0)


def table(random):
    """A microphone that rises by 2 to 3.5 dB about 9 kHz and falls above."""
    frequency = np.geomspace(20.0, 20_000.0, 200)
    middle, rise = random.uniform(7000, 11_000), random.uniform(2.0, 3.5)
    level = rise * np.exp(-0.5 * (np.log2(frequency / middle) / 0.6) ** 2)
    level += 0.15 * np.sin(5 * np.log2(frequency))
    return Curve(frequency, 10 ** (level / 20) + 0j, False, (), "microphone.txt")
