"""What arrives at the ears by each path, followed exactly between the predicted frequencies."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT, RoundoverError
from acoustics.listening.crossovers import strength
from acoustics.listening.delay import group_delay
from acoustics.listening.distances import driver_distances
from acoustics.listening.interpolation import cubic

PER_OCTAVE = 96
"""Places looked at in every octave."""

PER_PERIOD = 12
"""Places looked at from one dip of the finest comb to the next, at least."""

ZOOM = 8
"""Intervals between the neighbours of a minimum, each time it is looked at closer."""

CLOSER = 8
"""How often that is done; each time the interval shrinks to a quarter."""

FAINT = 1e-6
"""Of a driver's strongest: what is weaker is taken to be this strong, so that its log is finite."""

Curve = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class SeatWaves:
    """Slow factors of the pressures at a seat, from which they follow at any frequency.

    pressure = exp(drive) · body · jωρ/(4πr) · exp(−jωr/c), r from the driver's centre to the ears
    or their image. A cubic follows each factor; what turns the phase fast is known exactly.

    Shapes: frequency (frequency,), Hz; drive (driver, frequency), log of m³/s, phase unwrapped;
    alone (driver, frequency), log of Pa m: each driver's strength; body (driver, path, ear_height,
    frequency), field over that of a point source; distance (driver, path, ear_height), m.
    """

    frequency: np.ndarray
    drive: np.ndarray
    alone: np.ndarray
    body: np.ndarray
    distance: np.ndarray
    speed_of_sound: float
    density: float

    def pressure(self, ear: int, frequency: np.ndarray) -> np.ndarray:
        """Pressure at one ear height at frequencies (Hz), Pa, shape (driver, path, place)."""
        knots, place = np.log(self.frequency), np.log(frequency)
        drive = np.exp(cubic(knots, self.drive, place))
        way = self.distance[:, :, ear, None]
        omega = 2 * np.pi * frequency
        wave = np.exp(-1j * omega / self.speed_of_sound * way) / way
        point = drive * (1j * omega * self.density / (4 * np.pi))
        answer: np.ndarray = cubic(knots, self.body[:, :, ear], place) * wave * point[:, None, :]
        return answer

    def along(self, *paths: int) -> SeatWaves:
        """The same on some of the paths alone."""
        return replace(self, body=self.body[:, paths], distance=self.distance[:, paths])

    def strength(self, frequency: np.ndarray) -> np.ndarray:
        """Strength of each driver at frequencies (Hz), Pa m, shape (driver, place)."""
        answer: np.ndarray = np.exp(cubic(np.log(self.frequency), self.alone, np.log(frequency)))
        return answer

    def places(self, ear: int, low: float, high: float) -> np.ndarray:
        """Frequencies (Hz), cut to those predicted, between which no dip is hidden."""
        low, high = max(low, self.frequency[0]), min(high, self.frequency[-1])
        if low >= high:
            return np.array([low])
        ways = self.distance[:, :, ear]
        octaves = np.log2(high / low)
        even = low * 2 ** np.linspace(0, octaves, int(np.ceil(PER_OCTAVE * octaves)) + 1)
        periods = (high - low) * np.ptp(ways) / self.speed_of_sound
        places = np.union1d(even, np.linspace(low, high, int(np.ceil(PER_PERIOD * periods)) + 2))
        apart = np.append(True, np.diff(places) > 1e-9 * places[1:])
        return np.clip(places[apart], low, high)


def seat_waves(view: xr.Dataset, paths: Sequence[str]) -> SeatWaves:
    """Take the pressures at a seat apart into factors that change slowly with frequency.

    Args:
        view: a prediction as one listener hears it.
        paths: which ways of the sound, in the order wanted.
    """
    own = view.sel(path=list(paths))
    frequency = own.frequency.values
    way = driver_distances(own, "seat").transpose("driver", "path", "ear_height").values
    air = own.attrs
    omega = 2 * np.pi * frequency
    wave = np.exp(-1j * omega / air["speed_of_sound"] * way[..., None]) / way[..., None]
    field = own.seat_field.transpose("driver", "path", "ear_height", "frequency").values
    drive = (own["filter"] * own.source).transpose("driver", "frequency").values
    return SeatWaves(
        frequency=frequency,
        drive=np.log(air["drive_voltage"]) + _unwrapped_log(drive, frequency),
        alone=_bounded_log(strength(own).values),
        body=field / (wave * (1j * omega * air["density"] / (4 * np.pi))),
        distance=way,
        speed_of_sound=air["speed_of_sound"],
        density=air["density"],
    )


def surfaces_of(view: xr.Dataset) -> tuple[str, ...]:
    """The surfaces that reflect to a seat, by name."""
    return tuple(str(name) for name in view.path.values if name != DIRECT)


def require_surface(view: xr.Dataset, surface: str) -> None:
    """Refuse a surface that the prediction does not have."""
    names = surfaces_of(view)
    if surface not in names:
        known = ", ".join(names) if names else "none"
        raise RoundoverError(
            f"the prediction has no reflection from {surface!r}; the surfaces in it: {known}. "
            "Give the case that surface and predict it again"
        )


def lowest_between(
    curve: Curve, low: np.ndarray, high: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Where a curve is lowest within each of several intervals, each with one minimum.

    Args:
        curve: values at frequencies, both of shape (place,).
        low: lower ends, Hz, shape (interval,).
        high: upper ends.

    Returns:
        Hz and the values there, shape (interval,).
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    rows = np.arange(low.size)
    steps = np.arange(ZOOM + 1) / ZOOM
    place, value = low, np.full(low.shape, np.nan)
    for _ in range(CLOSER if low.size else 0):
        near = low[:, None] + (high - low)[:, None] * steps
        close = curve(near.ravel()).reshape(near.shape)
        least = close.argmin(axis=1)
        place, value = near[rows, least], close[rows, least]
        low, high = near[rows, np.maximum(least - 1, 0)], near[rows, np.minimum(least + 1, ZOOM)]
    return place, value


def _unwrapped_log(response: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """Complex log of transfer functions whose phase goes on from one frequency to the next."""
    turn = -2 * np.pi * group_delay(response, frequency) * np.diff(frequency)
    phase = np.angle(response[..., :1]) + np.concatenate(
        [np.zeros((*response.shape[:-1], 1)), np.cumsum(turn, axis=-1)], axis=-1
    )
    return _bounded_log(np.abs(response)) + 1j * phase


def _bounded_log(size: np.ndarray) -> np.ndarray:
    """Log of magnitudes, shape (…, frequency); nothing is fainter than FAINT of the strongest."""
    most = np.maximum(size.max(axis=-1, keepdims=True), np.finfo(float).tiny / FAINT)
    answer: np.ndarray = np.log(np.maximum(size, FAINT * most))
    return answer
