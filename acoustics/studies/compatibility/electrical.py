"""The load that the drivers are to the amplifier."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.case.design.model import Branch, Case, FrequencyGrid, PassFilter
from acoustics.crossover import branch_response, branches_of
from acoustics.prediction.passive import passive_of
from acoustics.source.measured import carried_on, driver_impedance
from acoustics.source.motion import Motion
from acoustics.studies.compatibility.line import Line, Verdict, at_least
from acoustics.studies.compatibility.ways import Ways

GRID = FrequencyGrid(per_octave=24)
"""Frequencies at which impedances are looked at."""

OF_RATED = 0.8
"""The least that an impedance may fall to, over the rated one: IEC 60268-5, from memory."""

FAR_BELOW_RATED = 0.7
"""Likewise at a second look; common practice."""

STANDARD = "IEC 60268-5, from memory"

BEYOND = 2.0
"""Ratio: how far beyond its corners a driver still counts as load."""


def impedance_lines(case: Case, motion: Motion, ways: Ways) -> Iterator[Line]:
    """Lowest impedance of every driver and of all together, against the amplifier's.

    Args:
        case: the design.
        motion: at the frequencies of `GRID`.
        ways: of the case.
    """
    frequency = GRID.values()
    limit = case.amplifier.lowest_impedance if case.amplifier else None
    key = () if limit else ("amplifier.lowest_impedance",)
    impedance = driver_impedance(case, motion, frequency)
    told = ~carried_on(case, frequency)
    all_told = np.all(told, axis=0)
    for number, driver in enumerate(case.drivers):
        band = ways.bands[number]
        inside = (frequency >= band.low / BEYOND) & (frequency <= band.high * BEYOND)
        least, where = _least(np.abs(impedance[number]), frequency, inside & told[number])
        known = not math.isnan(least)
        if not known and driver.rated_impedance:
            least = OF_RATED * driver.rated_impedance
        nothing = () if not math.isnan(least) else (_either_key(driver.name),)
        yield Line(
            "impedance",
            (driver.name,),
            {
                "least": least,
                "at": where,
                "amplifier": limit or math.nan,
                "rated": math.nan if known else driver.rated_impedance or math.nan,
            },
            _against(least, limit),
            missing=(*nothing, *key),
            source=STANDARD,
        )
        if known and driver.rated_impedance:
            share = least / driver.rated_impedance
            yield Line(
                "rated impedance",
                (driver.name,),
                {"least": least, "share": share, "rated": driver.rated_impedance},
                at_least(share, OF_RATED, FAR_BELOW_RATED),
                source=STANDARD,
            )
    passive = passive_of(case, motion, frequency)
    if passive is not None:
        seen = np.abs(passive.network.input_impedance)
        least, where = _least(seen, frequency, all_told)
        figures = {"least": least, "at": where, "amplifier": limit or math.nan, "of_parts": 1.0}
        verdict = _against(least, limit)
        yield Line("load", (), figures, verdict, missing=key, source=STANDARD)
    elif len(case.drivers) > 1:
        yield _load_line(case, motion, limit, key)


def _load_line(case: Case, motion: Motion, limit: float | None, key: tuple[str, ...]) -> Line:
    """All drivers behind a passive crossover that is not there yet."""
    frequency = GRID.values()
    lacking = [
        driver.name
        for number, driver in enumerate(case.drivers)
        if np.isnan(_own(case, motion, number, frequency)).any()
    ]
    least, where = math.nan, math.nan
    if not lacking:
        load = np.abs(load_impedance(case, motion, frequency))
        all_told = ~np.any(carried_on(case, frequency), axis=0)
        least, where = _least(load, frequency, all_told)
    return Line(
        "load",
        (),
        {"least": least, "at": where, "amplifier": limit or math.nan},
        _against(least, limit),
        missing=(*map(_either_key, lacking), *key),
        source=STANDARD,
    )


def load_impedance(case: Case, motion: Motion, frequency: np.ndarray) -> np.ndarray:
    """Impedance of all drivers together behind a passive crossover, an estimate, ohm.

    A network without losses takes from the amplifier the power it hands on, so the real part of
    its admittance is that of Σ|H|²/Z; the rest is taken along. H are the high- and low-passes, as
    if resistors that attenuate left the load as it is.

    Args:
        case: the design; every driver has small-signal parameters or a rated impedance.
        motion: at those frequencies.
        frequency: Hz, shape (frequency,).

    Returns:
        Complex, shape (frequency,).
    """
    admittance = np.zeros(frequency.size, dtype=complex)
    for number, branch in enumerate(branches_of(case)):
        share = np.abs(branch_response(passes_of(branch), frequency)) ** 2
        admittance += share / _own(case, motion, number, frequency)
    answer: np.ndarray = 1 / admittance
    return answer


def _own(case: Case, motion: Motion, number: int, frequency: np.ndarray) -> np.ndarray:
    """A driver's impedance; where nothing tells it, the least that its rated one allows."""
    rated = case.drivers[number].rated_impedance
    own = driver_impedance(case, motion, frequency)[number]
    return np.full(own.shape, OF_RATED * rated) if np.isnan(own).any() and rated else own


def passes_of(branch: Branch) -> Branch:
    """A branch's high- and low-passes alone."""
    kept = tuple(one for one in branch.sections if isinstance(one, PassFilter))
    return Branch(branch.driver, sections=kept)


def _least(magnitude: np.ndarray, frequency: np.ndarray, inside: np.ndarray) -> tuple[float, float]:
    """Lowest impedance (ohm) and where (Hz); NaN if not known."""
    if np.isnan(magnitude).any() or not inside.any():
        return math.nan, math.nan
    place = int(np.argmin(np.where(inside, magnitude, np.inf)))
    return float(magnitude[place]), float(frequency[place])


def _against(least: float, limit: float | None) -> Verdict:
    return at_least(least / limit, 1.0, OF_RATED) if limit else "not known"


def _either_key(name: str) -> str:
    return f"drivers.{name}.small_signal (or rated_impedance)"
