"""Between the frequencies, angles and heights that were predicted."""

from __future__ import annotations

import numpy as np
import xarray as xr

POINTS = 4
"""Points of a local polynomial: cubic."""


def cubic(x: np.ndarray, values: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Local cubic (Lagrange) through the four points around each place asked for.

    Args:
        x: ascending, shape (point,); with fewer than four the polynomial has that many.
        values: real or complex, shape (…, point).
        at: shape (place,).

    Returns:
        Shape (…, place); NaN outside the range of `x`.
    """
    at = np.atleast_1d(np.asarray(at, dtype=float))
    points = min(POINTS, x.size)
    start = np.clip(np.searchsorted(x, at) - points // 2, 0, x.size - points)
    index = start[:, None] + np.arange(points)
    knots = x[index]
    away = at[:, None] - knots
    weights = np.ones_like(knots)
    for i in range(points):
        others = [j for j in range(points) if j != i]
        for j in others:
            weights[:, i] *= away[:, j] / (knots[:, i] - knots[:, j])
    # One point after the other: an array with all of them beside each other takes twice as long.
    answer = values[..., index[:, 0]] * weights[:, 0]
    for i in range(1, points):
        answer = answer + values[..., index[:, i]] * weights[:, i]
    slack = 1e-9 * abs(x[-1] - x[0])
    return np.where((at < x[0] - slack) | (at > x[-1] + slack), np.nan, answer)


def pressure_at(
    pressure: xr.DataArray,
    frequency: np.ndarray,
    distance: float | xr.DataArray,
    *,
    speed_of_sound: float,
    delay: float | np.ndarray = 0.0,
) -> xr.DataArray:
    """Pressure between the predicted frequencies, without the delay over `distance`.

    A delay turns the phase by more than a half-turn from one frequency to the next; what is left
    without it changes slowly, so a cubic in log frequency follows it, nulls included.

    Args:
        pressure: complex, with a `frequency` dimension.
        frequency: Hz, shape (place,).
        distance: m, from about where the sound comes from; a number, or an array over dims of
            `pressure`.
        speed_of_sound: m/s.
        delay: s, taken out too; a number, or one for each place, shape (place,).

    Returns:
        Complex, its last dimension `frequency` with the frequencies asked for; NaN outside the
        range predicted.
    """
    grid = pressure.frequency
    frequency = np.atleast_1d(frequency)
    turn = 2 * np.pi * grid / speed_of_sound * distance
    still = (pressure * np.exp(1j * turn)).transpose(..., "frequency")
    values = np.empty((*still.shape[:-1], frequency.size), dtype=complex)
    for place, late in enumerate(np.broadcast_to(delay, frequency.shape)):
        values[..., place] = pressure_between(still.values, grid.values, frequency[place], late)
    coordinates = {name: still[name] for name in still.dims[:-1] if name in still.coords}
    return xr.DataArray(values, dims=still.dims, coords={**coordinates, "frequency": frequency})


def pressure_between(
    pressure: np.ndarray, grid: np.ndarray, frequency: float, delay: float | np.ndarray
) -> np.ndarray:
    """Pressure at one frequency between those predicted, without a delay.

    Args:
        pressure: complex, shape (…, frequency).
        grid: Hz, ascending, shape (frequency,).
        frequency: Hz.
        delay: s, a number or shape (…).

    Returns:
        Shape (…); NaN outside the range of `grid`.
    """
    late = np.asarray(delay)[..., None]
    # Four of the frequencies count: what lies farther off need not be turned back.
    place = int(np.searchsorted(grid, frequency))
    near = slice(max(place - POINTS, 0), place + POINTS)
    early = pressure[..., near] * np.exp(2j * np.pi * grid[near] * late)
    return cubic(np.log(grid[near]), early, np.log(frequency))[..., 0]


def fine_circle(
    angle: np.ndarray, values: np.ndarray, step: float
) -> tuple[np.ndarray, np.ndarray]:
    """Refine a full circle to closer angles by its Fourier series.

    Args:
        angle: evenly spaced over the whole circle, ascending, degrees, shape (angle,).
        values: complex, shape (…, angle).
        step: wanted spacing, degrees; the answer's is at most this.

    Returns:
        The angles, and the values there, shape (…, finer angle); every given angle is kept.
    """
    count, given = angle.size, angle[1] - angle[0]
    factor = int(np.ceil(given / step - 1e-9))
    order = np.fft.fftfreq(count, 1 / count)
    series = np.fft.fft(values) / count
    wide = np.zeros((*values.shape[:-1], count * factor), dtype=complex)
    wide[..., order.astype(int)] = series
    if count % 2 == 0 and factor > 1:  # the highest harmonic of an even count is a cosine
        half = count // 2
        wide[..., half] = wide[..., -half] = series[..., half] / 2
    fine = np.fft.ifft(wide) * count * factor
    return angle[0] + given / factor * np.arange(count * factor), fine


def vertex(x: np.ndarray, y: np.ndarray) -> tuple[float, float]:
    """Place and value of the extremum of the parabola through three evenly spaced points."""
    left, middle, right = (float(value) for value in y)
    curvature = left - 2 * middle + right
    if curvature == 0:
        return float(x[1]), middle
    shift = 0.5 * (left - right) / curvature
    return float(x[1] + shift * (x[2] - x[1])), middle - 0.25 * (left - right) * shift
