"""The brief held against a prediction: what was wanted before anything was bought."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
import xarray as xr

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.model import BAND, SMOOTHING, Aim, Case, Measure
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import hertz
from acoustics.conventions import DIRECT, MAIN_SEAT
from acoustics.listening.aims import (
    Figure,
    even,
    judge,
    require_same_design,
    shortfall,
    state_of,
)
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.crossovers import strength
from acoustics.listening.distances import distances
from acoustics.listening.error import band_uncertainty, curve_uncertainty
from acoustics.listening.levels import band_level, level
from acoustics.listening.loudest import (
    EAR,
    loudest,
    missing_keys,
    seat_power,
    taken,
)
from acoustics.listening.low_end import low_end
from acoustics.listening.standard_curves import window_pressure

Verdict = Literal["met", "missed", "too close to call", "not yet known"]

Bound = Literal["", "at least", "at most"]

DROP = 6.0
"""dB below its mean level at which the listening window ends."""

NEAR = 0.01
"""m: a seat and ears this close to where the brief has them are there."""

DECIMALS = 9
"""m: to a nanometre, so that what is just that close still is."""


@dataclass(frozen=True)
class Held:
    """One point of the brief, what the design comes to, and whether that is what was wanted.

    `found`, `at_least` and `at_most` are in `unit`: dB, dB/octave, Hz, m, or none for a count and
    for money; `found` is None where there is no figure. `by` is how far it lies outside what was
    wanted, negative inside. `uncertainty` is how far the solver's error may put it off. `frequency`
    (Hz) is where the figure was taken, of those that have such a place. `tell` says what would make
    known what is not yet known. `bound` is "at most" or "at least" where the figure is but that,
    `caveat` where it rests on a driver beyond what the piston model is good for.
    """

    name: str
    unit: str
    at_least: float | None
    at_most: float | None
    found: float | None
    by: float | None
    verdict: Verdict
    uncertainty: float | None = None
    frequency: float | None = None
    tell: str = ""
    bound: Bound = ""
    caveat: str = ""


@dataclass(frozen=True)
class Wanted:
    """A point of the brief by its name, unit and limits."""

    name: str
    unit: str
    at_least: float | None = None
    at_most: float | None = None

    def held(
        self,
        figure: Figure,
        frequency: float | None = None,
        bound: Bound = "",
        caveat: str = "",
    ) -> Held:
        """Judge a figure; the doubt of the solver may leave it too close to call."""
        met = state_of(self, figure)
        doubt = max(figure.down, figure.up) or None
        return Held(
            *(self.name, self.unit, self.at_least, self.at_most, float(figure.value)),
            by=shortfall(self, float(figure.value)),
            verdict="met" if met else "missed" if met is False else "too close to call",
            uncertainty=doubt,
            frequency=frequency,
            bound=bound,
            caveat=caveat,
        )

    def unknown(
        self,
        tell: str,
        found: float | None = None,
        frequency: float | None = None,
        bound: Bound = "",
    ) -> Held:
        """Say what would tell; what was found so far does not decide."""
        return Held(
            *(self.name, self.unit, self.at_least, self.at_most, found),
            by=None if found is None else shortfall(self, found),
            verdict="not yet known",
            frequency=frequency,
            tell=tell,
            bound=bound,
        )


def hold(case: Case, prediction: xr.Dataset) -> tuple[Held, ...]:
    """Hold the brief of a case against its prediction.

    Level and tilt are those of the listening window over 300 Hz to 10 kHz, the level referred to
    1 m. The reach is the lowest frequency down to which the listening window, not smoothed, stays
    within 6 dB of its own mean level over that band, going down from 300 Hz. The level at the seat
    is the smallest that `loudest` gives between the reach wanted (or 300 Hz) and 10 kHz, smoothed
    by 1/3 octave. Where the solver's error reaches across a limit it is too close to call, as with
    aims; sizes, places and prices have no error.

    Args:
        case: the design, with its brief.
        prediction: the prediction of that same design.

    Returns:
        One for each point that the brief names, empty without a brief.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    brief = case.brief
    if brief is None:
        return ()
    require_same_design(case, prediction)
    main = prediction.sel(seat=[MAIN_SEAT])
    held = [*_levels(brief, main)]
    if brief.reach is not None:
        held.append(_reach(case, main, brief.reach))
    if brief.seat_level is not None:
        held.append(_at_the_seat(case, main, brief.seat_level, brief.reach or BAND[0]))
    held += [*_sizes(brief, case), *_places(brief, case)]
    if brief.surfaces:
        held.append(_surfaces(case, brief.surfaces))
    if brief.budget is not None:
        held.append(_budget(case, brief.budget))
    return tuple(held)


def _levels(brief: Brief, prediction: xr.Dataset) -> Iterator[Held]:
    """Level and tilt of the listening window."""
    if brief.level is not None:
        nearer = 20 * math.log10(prediction.attrs["reference_distance"])
        yield _as_aim(Wanted("level", "dB", at_least=brief.level), prediction, nearer)
    if brief.tilt is not None:
        yield _as_aim(Wanted("tilt", "dB/octave", *brief.tilt), prediction)


def _as_aim(wanted: Wanted, prediction: xr.Dataset, shift: float = 0.0) -> Held:
    """Judge the listening window by an aim's measure; `shift` is added to what it measures."""
    limits = [
        None if limit is None else limit - shift for limit in (wanted.at_least, wanted.at_most)
    ]
    measure: Measure = "level" if wanted.name == "level" else "tilt"
    smoothing = None if measure == "level" else SMOOTHING
    found = judge(Aim("", measure, "listening window", BAND, smoothing, *limits), prediction)
    if found.value is None:
        return wanted.unknown(found.note)
    figure = even("listening window", found.value + shift, found.uncertainty or 0.0)
    return wanted.held(figure, caveat=found.caveat)


def _reach(case: Case, prediction: xr.Dataset, asked: float) -> Held:
    """How far down it plays."""
    wanted = Wanted("reach", "Hz", at_most=asked)
    lowest = case.driver(driver_at(prediction, asked))
    if not lowest.low_end_known(asked):
        return wanted.unknown(
            f"{lowest.name} has the same sensitivity at all frequencies, which has no low end: "
            f"give it parameters (drivers.{lowest.name}.small_signal) and an enclosure"
        )
    frequency = prediction.frequency.values
    if gap := why_not_covered(frequency, BAND):
        return wanted.unknown(gap)
    figure = reach(prediction)
    if np.isnan(figure.value):
        return wanted.unknown("nothing is heard from 300 Hz upward")
    if figure.value <= frequency[0] and asked < frequency[0]:
        return wanted.unknown(
            f"{hertz(float(f'{frequency[0]:.3g}'))} is the lowest frequency predicted: set "
            "frequencies.lowest lower",
            figure.value,
            bound="at most",
        )
    return wanted.held(figure)


def driver_at(prediction: xr.Dataset, frequency: float) -> str:
    """The driver that is strongest at a frequency (Hz), or nearest to it."""
    at = strength(prediction).sel(frequency=frequency, method="nearest")
    return str(at.driver.values[int(at.values.argmax())])


def reach(prediction: xr.Dataset) -> Figure:
    """Lowest frequency of the listening window, and what the solver's error makes of it, Hz.

    See `hold`. The level there and the mean level may be off to opposite sides.
    """
    frequency = prediction.frequency.values
    window = window_pressure(prediction)
    margin = level(window).values - float(band_level(window, frequency, BAND)) + DROP
    value = low_end(frequency, margin, BAND[0])
    if np.isnan(value):
        return even("listening window", value, np.nan)
    near = float(frequency[np.abs(np.log(frequency / value)).argmin()])
    u = float(curve_uncertainty(prediction, window, (near, near), None))
    u += float(band_uncertainty(prediction, window, BAND))
    low, high = (low_end(frequency, margin + side * u, BAND[0]) for side in (1, -1))
    return Figure("listening window", value, value - low, high - value)


def _at_the_seat(case: Case, prediction: xr.Dataset, asked: float, lowest: float) -> Held:
    """How loud it can play at the main seat, from a lowest frequency (Hz) upward."""
    wanted = Wanted("level at the seat", "dB", at_least=asked)
    band = lowest, BAND[1]
    if gap := why_not_covered(prediction.frequency.values, band, EAR):
        return wanted.unknown(gap)
    bass = case.driver(driver_at(prediction, lowest))
    if "input_limit" not in prediction:
        return wanted.unknown(f"no driver has parameters: state drivers.{bass.name}.small_signal")
    missing = [*missing_keys(case, prediction)]
    if lowest < BAND[0] and bass.small_signal is None:
        missing.append(f"drivers.{bass.name}.small_signal")
    tell = f"state {listed(missing)}" if missing else ""
    figure, frequency = least_seat_level(prediction, band, asked)
    if np.isinf(figure.value):
        return wanted.unknown(tell or "nothing limits the level")
    held = wanted.held(figure, frequency, "at most" if missing else "")
    # What is not known can only make it less loud: a level that is missed stays missed.
    if missing and held.verdict != "missed":
        return wanted.unknown(tell, figure.value, frequency, bound="at most")
    return held


def least_seat_level(
    prediction: xr.Dataset, band: tuple[float, float], wanted: float
) -> tuple[Figure, float]:
    """Smallest of the highest levels at the main seat in a band.

    Args:
        prediction: as `predict` makes it, with `input_limit`.
        band: Hz.
        wanted: dB re 20 µPa.

    Returns:
        The level (dB) and at which frequency (Hz).
    """
    margin = taken(loudest(prediction), wanted).margin
    inside = margin.isel(frequency=in_band(prediction.frequency.values, band))
    frequency = float(inside.frequency[int(inside.values.argmin())])
    value = float(inside.min()) + wanted
    way = distances(prediction, "seat").sel(path=DIRECT, seat=MAIN_SEAT, drop=True)
    nearer = way.mean("speaker") / prediction.attrs["reference_distance"]
    pressure = seat_power(prediction) ** 0.5 * nearer
    doubt = curve_uncertainty(prediction, pressure, (frequency, frequency), EAR).max()
    return even("main seat", value, float(doubt)), frequency


def _sizes(brief: Brief, case: Case) -> Iterator[Held]:
    """Outer sizes of the cabinet."""
    for name in ("width", "height", "depth"):
        most = getattr(brief, name)
        if most is not None:
            yield Wanted(name, "m", at_most=most).held(_exact(getattr(case.cabinet, name)))


def _places(brief: Brief, case: Case) -> Iterator[Held]:
    """Where the main seat and the ears are."""
    for name, place, there in (
        ("distance of the seat", brief.distance, (case.seat.main.distance,)),
        ("ear height", brief.ear_height, case.seat.ear_heights),
    ):
        if place is not None:
            nearest = min(there, key=lambda each: abs(each - float(place)))
            limits = round(place - NEAR, DECIMALS), round(place + NEAR, DECIMALS)
            wanted = Wanted(name, "m", *limits)
            yield wanted.held(_exact(round(nearest, DECIMALS)))


def _surfaces(case: Case, asked: tuple[str, ...]) -> Held:
    """How many of the surfaces asked for are reckoned with."""
    there = [surface.name for surface in case.surfaces]
    lacking = [name for name in asked if name not in there]
    wanted = Wanted("surfaces", "", at_least=float(len(asked)))
    found = float(len(asked) - len(lacking))
    if lacking:
        tables = listed([f"[{name.replace(' ', '_')}]" for name in lacking])
        return wanted.unknown(f"add {tables}", found)
    return wanted.held(_exact(found))


def _budget(case: Case, asked: float) -> Held:
    """What the drivers of all cabinets cost."""
    wanted = Wanted("budget", "", at_most=asked)
    lacking = [f"drivers.{driver.name}.price" for driver in case.drivers if driver.price is None]
    one = sum(driver.price for driver in case.drivers if driver.price is not None)
    total = one * (2 if case.placement.pair else 1)
    # More drivers can only cost more: a budget that is exceeded stays exceeded.
    if lacking and total <= asked:
        found = total if len(lacking) < len(case.drivers) else None
        return wanted.unknown(f"state {listed(lacking)}", found, bound="at least")
    return wanted.held(_exact(total), bound="at least" if lacking else "")


def _exact(value: float) -> Figure:
    return even("", value, 0.0)
