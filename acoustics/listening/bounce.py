"""What one reflecting surface does at the seat: the difference it makes, and its dips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT
from acoustics.crossover.crossings import leaders
from acoustics.listening.bands import reaches, why_not_followed
from acoustics.listening.crossovers import strength
from acoustics.listening.seat_waves import (
    SeatWaves,
    lowest_between,
    require_surface,
    seat_waves,
    surfaces_of,
)
from acoustics.listening.stamp import stamped

LEAST_DEPTH = 1.0
"""dB: a shallower minimum is no dip."""

HIGHEST = 1500.0
"""Hz: the deepest dip is sought up to here.

Above it a comb is so fine that carpets and small movements of the head fill it in (common
practice, no source).
"""

BEYOND = 1.1
"""Times `HIGHEST`: a dip just below that has a rise within this."""

ALIKE = 0.1
"""dB: dips whose depths differ by less are as deep as each other."""

MULTIPLES = 256
"""How many dips of each driver are reckoned with."""

ROUNDS = 8
"""How often an expected dip is moved to where the surface's own phase puts it."""

NEXT = 1.5
"""Times the expected frequency of the first dip: one above this is a later dip."""

_NOTHING = np.nan, np.nan


@dataclass(frozen=True)
class BounceDips:
    """A surface's dips at one ear height, ascending, each (frequency in Hz, depth in dB).

    All up to `HIGHEST`, and the first above it if there are none.
    `missed` says why a first dip is not among them; empty if it is, or if there is none.
    `expected` is where it should be (Hz), infinite where none should be.
    """

    found: tuple[tuple[float, float], ...]
    missed: str
    expected: float


def bounce(view: xr.Dataset, surface: str) -> xr.Dataset:
    """Level with one surface minus level without any, its first and its deepest dip.

    The path over the surface is the cabinet's own radiation toward the ears' mirror image in it. A
    dip is a minimum over frequency that is at least 1 dB deep, followed between the predicted
    frequencies. The deepest is that of all dips up to 1.5 kHz: the first may be shallow. Where
    the first dip must lie outside the predicted frequencies, it is not known, and neither is the
    deepest if it lies below them or if they end below 1.5 kHz. Between fewer than 6 frequencies
    per octave neither is known.

    Args:
        view: a prediction as one listener hears it.
        surface: name of the surface, one of the view's paths.

    Returns:
        difference (ear_height, frequency), dB. Over ear_height: dip_frequency (Hz), dip_depth
        (dB, positive), dip_driver (the strongest driver there) and dip_note of the first dip;
        deepest_dip_frequency, deepest_dip_depth, deepest_dip_driver and deepest_dip_note of the
        deepest. Frequency and depth are NaN and the driver is empty both where there is no dip
        and where it is not known; the note then says why it is not known, and is empty everywhere
        else. The attribute `surface` names the surface.

    Raises:
        RoundoverError: the prediction has no such surface.
    """
    return bounces(view, (surface,))[surface]


def bounces(view: xr.Dataset, surfaces: Sequence[str] | None = None) -> dict[str, xr.Dataset]:
    """`bounce` of several surfaces, all of the view's if left out, by name."""
    names = surfaces_of(view) if surfaces is None else tuple(surfaces)
    for name in names:
        require_surface(view, name)
    if not names:
        return {}
    waves = seat_waves(view, (DIRECT, *names))
    lead = leaders(strength(view).values)
    own = view[["seat_pressure", "reflection"]].sel(path=[DIRECT, *names])
    pressure, reflection = (
        own[name].transpose("path", "driver", "ear_height", "frequency").values
        for name in ("seat_pressure", "reflection")
    )
    return {
        name: _bounce(view, name, waves.along(0, i), pressure[[0, i]], reflection[i], lead)
        for i, name in enumerate(names, start=1)
    }


def _bounce(
    view: xr.Dataset,
    surface: str,
    waves: SeatWaves,
    pressure: np.ndarray,
    reflection: np.ndarray,
    lead: np.ndarray,
) -> xr.Dataset:
    """One surface's figures.

    Args:
        view: a prediction as one listener hears it.
        surface: name of the surface.
        waves: of the direct path and the one over the surface.
        pressure: Pa, on these two, shape (path, driver, ear_height, frequency).
        reflection: factor met on the second, shape (driver, ear_height, frequency).
        lead: index of the leading driver at each frequency, shape (frequency,).
    """
    direct, added = pressure.sum(axis=1)
    with np.errstate(divide="ignore"):
        levels = 20 * np.log10(np.abs([direct + added, direct]))
    difference = xr.DataArray(levels[0] - levels[1], dims=("ear_height", "frequency"))
    names, frequency = view.driver.values, view.frequency.values
    expected = first_dips(waves, np.abs(pressure), reflection, lead)
    starts_hard = reflection[lead[0], :, 0].real > 0
    coarse = why_not_followed(frequency)

    # One column per ear height: frequency, depth, driver, note.
    first: list[tuple[float, float, str, str]] = []
    deepest: list[tuple[float, float, str, str]] = []
    for ear in range(view.ear_height.size):
        if coarse:
            first.append((*_NOTHING, "", coarse))
            deepest.append((*_NOTHING, "", coarse))
            continue
        dips = dips_of(waves, ear, float(expected[ear]), bool(starts_hard[ear]))
        for column, (dip, note) in (
            (first, first_of(dips)),
            (deepest, deepest_of(dips, frequency)),
        ):
            near = int(np.argmin(np.abs(frequency - dip[0]))) if np.isfinite(dip[0]) else None
            driver = "" if near is None else str(names[lead[near]])
            column.append((*dip, driver, note))
    return xr.Dataset(
        {
            "difference": stamped(difference, "dB", f"level with the {surface} minus without"),
            **_table("dip", "a surface's first dip", first),
            **_table("deepest_dip", f"a surface's deepest dip up to {HIGHEST:g} Hz", deepest),
        },
        coords={"ear_height": view.ear_height, "frequency": view.frequency},
        attrs={"surface": surface},
    )


def first_dips(
    waves: SeatWaves, size: np.ndarray, reflection: np.ndarray, lead: np.ndarray
) -> np.ndarray:
    """Where the first dip must be by geometry and the surface's own phase alone.

    A driver's dips lie where its path over the surface arrives in opposition: 2πf·detour/c minus
    the phase of the reflection factor an odd multiple of π. Only those count at which it leads
    and its reflection is strong enough for a dip. Beyond the predicted frequencies the surface is
    taken to be as at their ends.

    Args:
        waves: of the direct path and the one over the surface.
        size: magnitudes of the pressures on these two, Pa, shape (path, driver, ear_height,
            frequency).
        reflection: factor met on the second, shape (driver, ear_height, frequency).
        lead: index of the leading driver at each frequency, shape (frequency,).

    Returns:
        Hz, shape (ear_height,); infinite where no dip is expected.
    """
    frequency = waves.frequency
    scale, last = np.log(frequency), np.arange(frequency.size)
    detour = waves.distance[:, 1] - waves.distance[:, 0]
    direct, added = size
    phase = np.unwrap(np.angle(reflection), axis=-1)
    strong = added > (1 - 10 ** (-LEAST_DEPTH / 20)) * direct
    # From −1: a surface that inverts may be written with the phase π or −π.
    odd = np.arange(-1, MULTIPLES) + 0.5

    expected = np.full(detour.shape[1], np.inf)
    for driver, ear in np.ndindex(detour.shape):
        if not strong[driver, ear].any():
            continue
        late = detour[driver, ear] / waves.speed_of_sound
        turns = phase[driver, ear] / (2 * np.pi)
        place = np.full(odd.shape, turns[0])
        for _ in range(ROUNDS):
            at = np.maximum((odd + place) / late, frequency[0] * 1e-9)
            place = np.interp(np.log(at), scale, turns)
        near = np.rint(np.interp(np.log(at), scale, last)).astype(int)
        counts = (lead[near] == driver) & strong[driver, ear, near] & (odd + place > 1e-6)
        expected[ear] = min(expected[ear], at[counts].min(initial=np.inf))
    return expected


def dips_of(waves: SeatWaves, ear: int, expected: float, starts_hard: bool) -> BounceDips:
    """The dips at one ear height, and whether the first lies outside the predicted frequencies.

    Args:
        waves: of the direct path and the one over the surface, in this order.
        ear: which ear height.
        expected: where the first dip should be, Hz.
        starts_hard: whether the surface does not invert at the lowest frequency.
    """

    def power(frequency: np.ndarray) -> np.ndarray:
        direct, added = waves.pressure(ear, frequency).sum(axis=0)
        answer: np.ndarray = np.abs(1 + added / direct) ** 2
        return answer

    lowest, highest = waves.frequency[[0, -1]]
    limit = 10 ** (-LEAST_DEPTH / 10)
    # Of the combs' many dips higher up, only a first one is of use.
    for top in (min(highest, BEYOND * HIGHEST), highest):
        place = waves.places(ear, lowest, top)
        coarse = power(place)
        inner = coarse[1:-1]
        pits = np.flatnonzero((inner < coarse[:-2]) & (inner <= coarse[2:]) & (inner <= limit)) + 1
        if pits.size or top == highest:
            break
    where, least = lowest_between(power, place[pits - 1], place[pits + 1])
    depth = -10 * np.log10(least)
    found = tuple((float(f), float(d)) for f, d in zip(where, depth, strict=True))

    # A surface that inverts takes everything away toward 0 Hz; that slope is no dip.
    starts_in_one = starts_hard and coarse[0] <= limit and coarse[0] == coarse[:2].min()
    ends_in_one = coarse[-1] <= limit and coarse[-1] == coarse[-2:].min()
    later = not found or found[0][0] > NEXT * expected
    missed = ""
    if (expected < lowest and later) or starts_in_one:
        missed = f"below the predicted frequencies, which start at {lowest:.0f} Hz"
    elif not found and ((np.isfinite(expected) and expected > highest) or ends_in_one):
        missed = f"above the predicted frequencies, which end at {highest:.0f} Hz"
    return BounceDips(found, missed, expected)


def first_of(dips: BounceDips) -> tuple[tuple[float, float], str]:
    """The first dip, and why it is not known."""
    if dips.missed:
        # A surface that inverts at low frequencies may have it so near 0 Hz that no figure helps.
        told = 1 <= dips.expected < np.inf
        where = f", near {dips.expected:.0f} Hz," if told else ""
        return _NOTHING, f"the first dip{where} lies {dips.missed}"
    return dips.found[0] if dips.found else _NOTHING, ""


def deepest_of(dips: BounceDips, frequency: np.ndarray) -> tuple[tuple[float, float], str]:
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
