"""What the floor does at the seat: the difference it makes, and its dips."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.crossover.crossings import leaders
from acoustics.listening.bands import reaches
from acoustics.listening.crossovers import strength
from acoustics.listening.interpolation import cubic
from acoustics.listening.levels import decibels
from acoustics.listening.stamp import stamped

LEAST_DEPTH = 1.0
"""dB: a shallower minimum is no dip."""

HIGHEST = 1500.0
"""Hz: the deepest dip is sought up to here.

Above it a comb is so fine that carpets and small movements of the head fill it in (common
practice, no source).
"""

ALIKE = 0.1
"""dB: dips whose depths differ by less are as deep as each other."""

PER_STEP = 16
"""Places looked at between one predicted frequency and the next."""

ZOOM = 32
"""Places looked at again between the neighbours of a minimum, each time it is looked at closer."""

CLOSER = 3
"""How often that is done."""

MULTIPLES = 256
"""How many dips of each driver are reckoned with."""

NEXT = 1.5
"""Times the expected frequency of the first dip: one above this is a later dip."""

_NOTHING = np.nan, np.nan


@dataclass(frozen=True)
class Dips:
    """The floor's dips at one ear height, ascending, each (frequency in Hz, depth in dB).

    `missed` says why a first dip is not among them; empty if it is, or if there is none.
    `expected` is where it should be (Hz).
    """

    found: tuple[tuple[float, float], ...]
    missed: str
    expected: float


def floor_bounce(prediction: xr.Dataset) -> xr.Dataset:
    """Level with the floor minus level without, its first and its deepest dip, at each ear height.

    The floor path is the cabinet's own radiation toward the seat's mirror image in the floor. A
    dip is a minimum over frequency that is at least 1 dB deep, followed between the predicted
    frequencies. The deepest is that of all dips up to 1.5 kHz: the first may be shallow. Where
    the first dip must lie outside the predicted frequencies, it is not known, and neither is the
    deepest if it lies below them or if they end below 1.5 kHz.

    Args:
        prediction: as `predict` makes it.

    Returns:
        floor_difference (ear_height, frequency), dB. Over ear_height: dip_frequency (Hz),
        dip_depth (dB, positive), dip_driver (the strongest driver there by |filter × source|) and
        dip_note of the first dip; deepest_dip_frequency, deepest_dip_depth, deepest_dip_driver
        and deepest_dip_note of the deepest. Frequency and depth are NaN and the driver is empty
        both where there is no dip and where it is not known; the note then says why it is not
        known, and is empty everywhere else.
    """
    free = prediction.seat_total.sel(surroundings="free space", drop=True)
    floor = prediction.seat_total.sel(surroundings="with floor", drop=True)
    dims = ("ear_height", "frequency")
    difference = (decibels(abs(floor) ** 2) - decibels(abs(free) ** 2)).transpose(*dims)
    added = (floor / free - 1).transpose(*dims).values
    lead = leaders(strength(prediction).values)
    names = prediction.driver.values
    frequency = prediction.frequency.values

    # One column per ear height: frequency, depth, driver, note.
    first: list[tuple[float, float, str, str]] = []
    deepest: list[tuple[float, float, str, str]] = []
    for row, extra, expected in zip(
        added, path_difference(prediction).values, first_dips(prediction, lead), strict=True
    ):
        dips = dips_of(prediction, row, float(extra), float(expected))
        for column, (dip, note) in (
            (first, first_of(dips)),
            (deepest, deepest_of(dips, frequency)),
        ):
            near = int(np.argmin(np.abs(frequency - dip[0]))) if np.isfinite(dip[0]) else None
            driver = "" if near is None else str(names[lead[near]])
            column.append((*dip, driver, note))
    return xr.Dataset(
        {
            "floor_difference": stamped(difference, "dB", "level with the floor minus without"),
            **_table("dip", "the floor's first dip", first),
            **_table("deepest_dip", f"the floor's deepest dip up to {HIGHEST:g} Hz", deepest),
        },
        coords={"ear_height": prediction.ear_height, "frequency": prediction.frequency},
    )


def path_difference(prediction: xr.Dataset) -> xr.DataArray:
    """Way over the floor minus the direct way, reference point to ear, m, dims (ear_height)."""
    given = prediction.attrs
    return _detour(prediction, given["reference_x"], given["reference_y"])


def first_dips(prediction: xr.Dataset, lead: np.ndarray) -> np.ndarray:
    """Where the first dip must be by the path difference alone, Hz, shape (ear_height,).

    A driver's dips lie at odd multiples of c/(2·difference), at all multiples of c/difference
    where the floor inverts; only those count at which it leads.

    Args:
        prediction: as `predict` makes it.
        lead: index of the leading driver at each frequency, shape (frequency,).
    """
    ways = _detour(prediction, prediction.driver_x, prediction.driver_y)
    detour = ways.transpose("ear_height", "driver").values[..., None]
    inverts = prediction.attrs["floor_reflection"] < 0
    waves = np.arange(1, MULTIPLES + 1) - (0.0 if inverts else 0.5)
    expected = waves * prediction.attrs["speed_of_sound"] / detour
    frequency = prediction.frequency.values
    places = np.interp(np.log(expected), np.log(frequency), np.arange(frequency.size))
    own = lead[np.rint(places).astype(int)] == np.arange(detour.shape[1])[:, None]
    answer: np.ndarray = np.where(own, expected, np.inf).min(axis=(1, 2))
    return answer


def dips_of(prediction: xr.Dataset, added: np.ndarray, detour: float, expected: float) -> Dips:
    """Every dip at one ear height, and whether the first lies outside the predicted frequencies.

    Args:
        prediction: as `predict` makes it.
        added: what the floor adds to 1, complex, shape (frequency,).
        detour: way over the floor minus the direct way, m.
        expected: where the first dip should be, Hz.
    """
    frequency = prediction.frequency.values
    reflection = prediction.attrs["floor_reflection"]
    wave = 2 * np.pi * detour / prediction.attrs["speed_of_sound"]
    # Slow in frequency once the longer way's delay is taken out.
    still = added * np.exp(1j * wave * frequency)

    def power(place: np.ndarray) -> np.ndarray:
        slow = cubic(np.log(frequency), still, place)
        answer: np.ndarray = np.abs(1 + slow * np.exp(-1j * wave * np.exp(place))) ** 2
        return answer

    steps = PER_STEP * (frequency.size - 1) + 1
    place = np.interp(np.arange(steps) / PER_STEP, np.arange(frequency.size), np.log(frequency))
    coarse = power(place)
    limit = 10 ** (-LEAST_DEPTH / 10)
    inner = coarse[1:-1]
    pits = np.flatnonzero((inner < coarse[:-2]) & (inner <= coarse[2:]) & (inner <= limit)) + 1
    found = []
    for pit in pits:
        low, high = place[pit - 1], place[pit + 1]
        for _ in range(CLOSER):
            near = np.linspace(low, high, ZOOM + 1)
            close = power(near)
            least = int(np.clip(close.argmin(), 1, ZOOM - 1))
            low, high = near[least - 1], near[least + 1]
        found.append((float(np.exp(near[least])), float(-10 * np.log10(close[least]))))

    # A floor that inverts takes everything away toward 0 Hz; that slope is no dip.
    starts_in_one = reflection > 0 and coarse[0] <= limit and coarse[0] == coarse[:2].min()
    ends_in_one = coarse[-1] <= limit and coarse[-1] == coarse[-2:].min()
    later = not found or found[0][0] > NEXT * expected
    missed = ""
    if reflection and ((expected < frequency[0] and later) or starts_in_one):
        missed = f"below the predicted frequencies, which start at {frequency[0]:.0f} Hz"
    elif reflection and not found and (expected > frequency[-1] or ends_in_one):
        missed = f"above the predicted frequencies, which end at {frequency[-1]:.0f} Hz"
    return Dips(tuple(found), missed, expected)


def first_of(dips: Dips) -> tuple[tuple[float, float], str]:
    """The first dip, and why it is not known."""
    if dips.missed:
        return _NOTHING, f"the first dip, near {dips.expected:.0f} Hz, lies {dips.missed}"
    return dips.found[0] if dips.found else _NOTHING, ""


def deepest_of(dips: Dips, frequency: np.ndarray) -> tuple[tuple[float, float], str]:
    """The deepest dip up to `HIGHEST`, the lowest of those alike, and why it is not known."""
    if dips.missed and dips.expected < HIGHEST:
        return _NOTHING, first_of(dips)[1]
    if not reaches(frequency, HIGHEST):
        return _NOTHING, (
            f"dips are judged up to {HIGHEST:g} Hz, and the predicted frequencies end at "
            f"{frequency[-1]:.0f} Hz"
        )
    low = [dip for dip in dips.found if dip[0] <= HIGHEST]
    most = max((depth for _, depth in low), default=0.0)
    return next((dip for dip in low if dip[1] >= most - ALIKE), _NOTHING), ""


def _detour(
    prediction: xr.Dataset, x: float | xr.DataArray, y: float | xr.DataArray
) -> xr.DataArray:
    """Way over the floor minus the direct way from (x, y) on the front face to the ears, m."""
    given = prediction.attrs
    source = given["cabinet_height"] / 2 + given["cabinet_base_height"] + y
    along = given["seat_distance"] ** 2 + x**2
    ear = prediction.ear_height
    answer: xr.DataArray = np.sqrt(along + (source + ear) ** 2) - np.sqrt(
        along + (source - ear) ** 2
    )
    return answer


def _table(
    name: str, what: str, rows: list[tuple[float, float, str, str]]
) -> dict[str, tuple[str, np.ndarray, dict[str, str]]]:
    """The four variables of a dip over ear_height."""
    frequency, depth, driver, note = zip(*rows, strict=True)
    return {
        f"{name}_frequency": (
            "ear_height",
            np.array(frequency),
            {"units": "Hz", "long_name": f"frequency of {what}"},
        ),
        f"{name}_depth": (
            "ear_height",
            np.array(depth),
            {"units": "dB", "long_name": f"depth of {what}"},
        ),
        f"{name}_driver": (
            "ear_height",
            np.array(driver, dtype=str),
            {"long_name": f"driver in whose pass band {what} falls"},
        ),
        f"{name}_note": (
            "ear_height",
            np.array(note, dtype=str),
            {"long_name": f"why {what} is not known"},
        ),
    }
