"""The field of a driver between places of a lattice: interpolated without the flight."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet.place import FaceFrame
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import usable_cores

ORDER = 4
"""places in a row that a value between them rests on"""

ROWS = 4
"""of the lattice taken together"""


@dataclass(frozen=True)
class Table:
    """A driver's field at some receivers, on a lattice of places, flight to each taken out.

    Without exp(−jkR)/R, R from place to receiver, what is left varies over the face as what its
    edges send does: cubics between places a tenth of a wavelength apart follow it.

    `values` complex64, (up · right, receiver · frequency); `points` (receiver, 3), m; `right` and
    `up` evenly spaced, m from the frame's centre; `wavenumber` rad/m.
    """

    frame: FaceFrame
    right: np.ndarray
    up: np.ndarray
    points: np.ndarray
    wavenumber: np.ndarray
    values: np.ndarray

    def at(self, right: np.ndarray, up: np.ndarray) -> np.ndarray:
        """Pa per m³/s, complex, (place, receiver, frequency), at places within the lattice."""
        (first, across), (row, along) = _weights(self.right, right), _weights(self.up, up)
        rows = row[:, None] + np.arange(along.shape[1])
        columns = first[:, None] + np.arange(across.shape[1])
        which = (rows[:, :, None] * self.right.size + columns[:, None, :]).reshape(right.size, -1)
        weights = (along[:, :, None] * across[:, None, :]).reshape(right.size, 1, -1)
        near = self.values[which].view(np.float32)
        found = (weights.astype(np.float32) @ near).view(np.complex64)
        shape = (right.size, len(self.points), self.wavenumber.size)
        return found.reshape(shape) * flight(self.frame, right, up, self.points, self.wavenumber)


def flight(
    frame: FaceFrame, right: np.ndarray, up: np.ndarray, points: np.ndarray, wavenumber: np.ndarray
) -> np.ndarray:
    """exp(−jkR)/R from places of a face to points: (…, point, frequency)."""
    away = np.linalg.norm(points - frame.points(right, up)[..., None, :], axis=-1)[..., None]
    answer: np.ndarray = np.exp(-1j * wavenumber * away) / away
    return answer


def table_of(
    rows: Callable[[slice], np.ndarray],
    frame: FaceFrame,
    lines: tuple[np.ndarray, np.ndarray],
    points: np.ndarray,
    wavenumber: np.ndarray,
) -> Table:
    """Fill a table.

    Args:
        rows: gives the field at some rows of the lattice, Pa per m³/s, (up, right, receiver,
            frequency); NaN where a piston does not fit.
        frame: coordinates of the face.
        lines: places to the right and up, m.
        points: the receivers, m, (receiver, 3).
        wavenumber: rad/m, (frequency,).
    """
    right, up = lines

    def bare(which: slice) -> np.ndarray:
        field = rows(which)
        across, along = np.meshgrid(right, up[which])
        away = flight(frame, across, along, points, wavenumber)
        return (field / away).astype(np.complex64).reshape(field.shape[0] * right.size, -1)

    stretches = [slice(n, min(n + ROWS, up.size)) for n in range(0, up.size, ROWS)]
    with one_blas_thread(), ThreadPoolExecutor(usable_cores()) as pool:
        values = np.concatenate(list(pool.map(bare, stretches)))
    return Table(frame, right, up, points, wavenumber, _filled(values, right, up))


def _weights(line: np.ndarray, places: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First of the places in a row that each rests on, and Lagrange's weights: (place, …)."""
    count = min(ORDER, line.size)
    if count == 1:
        return np.zeros(places.size, dtype=int), np.ones((places.size, 1))
    steps = (places - line[0]) / (line[1] - line[0])
    first = np.clip(np.floor(steps).astype(int) - (count // 2 - 1), 0, line.size - count)
    away = (steps - first)[:, None] - np.arange(count)
    weights = np.ones_like(away)
    for n in range(count):
        for other in range(count):
            if other != n:
                weights[:, n] *= away[:, other] / (n - other)
    return first, weights


def _filled(values: np.ndarray, right: np.ndarray, up: np.ndarray) -> np.ndarray:
    """Where no piston fits, the nearest place at which one does stands in.

    None is asked for there, but places beside it rest on it.
    """
    missing = np.isnan(values[:, 0].real)
    if missing.any():
        across, along = (each.ravel() for each in np.meshgrid(right, up))
        known = np.flatnonzero(~missing)
        for n in np.flatnonzero(missing):
            away = np.hypot(across[known] - across[n], along[known] - along[n])
            values[n] = values[known[int(away.argmin())]]
    return values
