"""What the floor does at the seat: the difference it makes, and the first dip."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import strength
from acoustics.listening.interpolation import cubic, vertex
from acoustics.listening.levels import decibels
from acoustics.listening.stamp import stamped

LEAST_DEPTH = 1.0
"""dB: a shallower minimum is no dip."""

PER_STEP = 16
"""Places looked at between one predicted frequency and the next."""


def floor_bounce(prediction: xr.Dataset) -> xr.Dataset:
    """Level with the floor minus level without, and the first dip, at each ear height.

    The floor path is the cabinet's own radiation toward the seat's mirror image in the floor. The
    dip is the lowest minimum in frequency that is at least 1 dB deep, followed between the
    predicted frequencies and refined by a parabola.

    Args:
        prediction: as `predict` makes it.

    Returns:
        floor_difference (ear_height, frequency), dB; dip_frequency (Hz) and dip_depth (dB,
        positive) over ear_height, NaN where there is no dip; dip_driver (ear_height), the driver
        with the largest |filter × source| there, empty where there is no dip.
    """
    free = prediction.seat_total.sel(surroundings="free space", drop=True)
    floor = prediction.seat_total.sel(surroundings="with floor", drop=True)
    dims = ("ear_height", "frequency")
    difference = (decibels(abs(floor) ** 2) - decibels(abs(free) ** 2)).transpose(*dims)
    # What the floor adds to 1: slow in frequency once the longer way's delay is taken out.
    added = (floor / free - 1).transpose(*dims).values
    detour = path_difference(prediction).values
    frequency = prediction.frequency.values
    wave = 2 * np.pi / prediction.attrs["speed_of_sound"]
    steps = PER_STEP * (frequency.size - 1) + 1
    place = np.interp(np.arange(steps) / PER_STEP, np.arange(frequency.size), np.log(frequency))
    dips = []
    for row, extra in zip(added, detour, strict=True):
        still = row * np.exp(1j * wave * frequency * extra)
        fine = cubic(np.log(frequency), still, place)
        power = np.abs(1 + fine * np.exp(-1j * wave * np.exp(place) * extra)) ** 2
        dips.append(_first_dip(place, power))
    dip_frequency = np.array([dip for dip, _ in dips])
    shape = prediction.ear_height
    return xr.Dataset(
        {
            "floor_difference": stamped(difference, "dB", "level with the floor minus without"),
            "dip_frequency": (
                "ear_height",
                dip_frequency,
                {"units": "Hz", "long_name": "frequency of the floor's first dip"},
            ),
            "dip_depth": (
                "ear_height",
                np.array([depth for _, depth in dips]),
                {"units": "dB", "long_name": "depth of the floor's first dip"},
            ),
            "dip_driver": (
                "ear_height",
                _strongest(prediction, dip_frequency),
                {"long_name": "driver in whose pass band the floor's first dip falls"},
            ),
        },
        coords={"ear_height": shape, "frequency": prediction.frequency},
    )


def path_difference(prediction: xr.Dataset) -> xr.DataArray:
    """Way over the floor minus the direct way, reference point to ear, m, dims (ear_height)."""
    given = prediction.attrs
    source = given["cabinet_height"] / 2 + given["cabinet_base_height"] + given["reference_y"]
    along = given["seat_distance"] ** 2 + given["reference_x"] ** 2
    ear = prediction.ear_height
    return np.sqrt(along + (source + ear) ** 2) - np.sqrt(along + (source - ear) ** 2)


def _first_dip(place: np.ndarray, power: np.ndarray) -> tuple[float, float]:
    """Frequency (Hz) and depth (dB) of the first dip, NaN if there is none."""
    inner = power[1:-1]
    pit = (inner < power[:-2]) & (inner <= power[2:]) & (inner <= 10 ** (-LEAST_DEPTH / 10))
    if not pit.any():
        return np.nan, np.nan
    i = int(pit.argmax()) + 1
    where, least = vertex(place[i - 1 : i + 2], power[i - 1 : i + 2])
    return float(np.exp(where)), float(-10 * np.log10(max(least, np.finfo(float).tiny)))


def _strongest(prediction: xr.Dataset, frequency: np.ndarray) -> np.ndarray:
    """Name of the strongest driver at each frequency; empty for NaN."""
    drive = strength(prediction)
    names = [
        ""
        if np.isnan(f)
        else str(
            drive.driver.values[int(drive.sel(frequency=f, method="nearest").argmax("driver"))]
        )
        for f in frequency
    ]
    return np.array(names, dtype=str)
