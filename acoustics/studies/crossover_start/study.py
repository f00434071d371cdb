"""Starting points of a passive crossover: textbook ladders beside what each driver needs.

A textbook ladder is made for a resistance and a driver that is as loud at every frequency. What
real drivers make of it says which part of the work is left to a fit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Case
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover.acoustic import heard_low_end
from acoustics.crossover.branch import branches_of
from acoustics.crossover.compensation import fitted_peak
from acoustics.crossover.starting_ladder import compensation_of, ideal_filter, seen
from acoustics.prediction import predict
from acoustics.prediction.fields import Solve
from acoustics.prediction.filters import latency
from acoustics.prediction.layout import layout_of
from acoustics.source.drive import drive_of
from acoustics.studies.crossover_fit.scene import Scene, bare_case, fit_asked, scene_of
from acoustics.studies.crossover_start.dataset import start_dataset
from acoustics.studies.crossover_start.ladders import ladders_of
from acoustics.studies.crossover_start.model import ABOUT, Start
from acoustics.studies.crossover_start.slopes import Slopes, slopes_of
from acoustics.studies.remembered import Remembered

PLAYS = 2.0
"""octaves inside the corner over which a driver's own level is averaged"""

ROUND_A_PEAK = 2.0
"""octaves on either side of a resonance from which its peak is fitted"""

STANDS_OUT = 1.2
"""A resonance lifts |Z| to so many times its least value above, or is left alone (common practice,
no source)."""


@dataclass(frozen=True)
class Starts:
    """Starting points of all drivers of a passive crossover, from the lowest on.

    `dataset` holds the same curves, figures and values, labelled.
    """

    title: str
    frequency: np.ndarray
    drivers: tuple[Start, ...]
    dataset: xr.Dataset


def starting_points(case: Case, *, solve: Solve | None = None) -> Starts:
    """Textbook ladders for every driver of a passive crossover, and what each driver needs.

    Args:
        case: the design; drivers with electrical slopes have amplifiers of their own.
        solve: what computes the field, as in `predict`.

    Raises:
        RoundoverError: no driver on the passive crossover, an impedance that nothing tells, or
            slopes that leave a driver no band.
    """
    remembered = solve if isinstance(solve, Remembered) else Remembered(solve, {})
    fit, scene = fit_asked(case), scene_of(case, remembered)
    axis = _axis(case, scene, remembered)
    slopes = slopes_of(case, scene, fit)
    lowest = _own_level(scene.frequency, axis.level[0], slopes[0], fit, _is_low(0, slopes[0]))
    common = lowest if fit.level is None else fit.level
    starts = tuple(
        _start(case, scene, fit, axis, n, each, common if each.level is None else each.level)
        for n, each in enumerate(slopes)
    )
    dataset = start_dataset(case, scene.frequency, starts)
    return Starts(case.title, scene.frequency, starts, dataset)


@dataclass(frozen=True)
class _Axis:
    """Drivers without a filter on the reference axis, with their terminals as they are marked.

    pressure (Pa), its level (dB at 1 m), low_end as heard there, all (driver, frequency); latency
    in s.
    """

    pressure: np.ndarray
    level: np.ndarray
    low_end: np.ndarray
    latency: float


def _axis(case: Case, scene: Scene, solve: Remembered) -> _Axis:
    bare = bare_case(case)
    prediction = predict(bare, solve=solve)  # of fields that are known
    frequency = prediction.frequency.values
    numbers = [[driver.name for driver in case.drivers].index(name) for name in scene.names]
    on_axis = prediction.arc_field.sel(plane="horizontal", angle=0.0)
    low_end = heard_low_end(
        drive_of(bare, frequency, solve).low_end,
        on_axis.transpose("driver", "frequency").values,
        prediction.cone_field.transpose("driver", "frequency").values,
    )
    kept = np.searchsorted(frequency, scene.frequency)
    way = np.array([-1.0 if case.drivers[n].inverted else 1.0 for n in numbers])
    pressure = scene.pressure[0] * way[:, None]
    at_one_metre = np.abs(pressure) * case.reference.distance / REFERENCE_PRESSURE
    wanted = tuple(
        replace(branch, slopes="acoustic") if branch.driver in scene.names else branch
        for branch in branches_of(case)
    )
    return _Axis(
        pressure=pressure,
        level=20 * np.log10(np.maximum(at_one_metre, np.finfo(float).tiny)),
        low_end=low_end[numbers][:, kept],
        latency=latency(case, wanted, layout_of(bare).centres),
    )


def _start(
    case: Case, scene: Scene, fit: Fit, axis: _Axis, number: int, slopes: Slopes, level: float
) -> Start:
    frequency = scene.frequency
    low = _is_low(number, slopes)
    own = _own_level(frequency, axis.level[number], slopes, fit, low)
    # What plays low is what the others come down to; a resistor before it would change its box.
    takes = not low and own > level
    impedance = 1 / scene.admittance[number, number]
    resonance = _resonance(frequency, impedance)
    peak = None
    if resonance is not None and slopes.low_corner is not None:  # else it is played through
        ends = resonance * 2**-ROUND_A_PEAK, resonance * 2**ROUND_A_PEAK
        peak = fitted_peak(frequency, impedance, ends)
    flat_from = _flat_from(frequency, impedance, resonance)
    across = compensation_of(frequency, impedance, flat_from=flat_from, peak=peak)
    ideal = ideal_filter(
        slopes.sections,
        level,
        frequency,
        axis.pressure[number],
        distance=case.reference.distance,
        speed_of_sound=case.air.speed_of_sound,
        inverted=slopes.inverted,
        latency=axis.latency + slopes.delay,
        low_end=axis.low_end[number],
    )
    band = (
        max(slopes.corners[0] * 2**-ABOUT, float(frequency[0])),
        min(slopes.corners[-1] * 2**ABOUT, float(frequency[-1])),
    )
    start = Start(
        slopes=slopes,
        level=level,
        own=own,
        low=low,
        attenuation=own - level if takes else None,
        impedance=impedance,
        flattened=seen(across, frequency, impedance),
        peak=peak,
        compensation=across,
        ideal=ideal,
        band=band,
        ladders=(),
    )
    return replace(start, ladders=ladders_of(start, scene, fit))


def _is_low(number: int, slopes: Slopes) -> bool:
    """Whether a driver is the lowest that hands over to another, or plays down as it may."""
    return slopes.high_corner is not None and (number == 0 or slopes.low_corner is None)


def _own_level(
    frequency: np.ndarray, level: np.ndarray, slopes: Slopes, fit: Fit, is_low: bool
) -> float:
    """Mean level (dB) of a driver in its band; of a low one below the step of the baffle.

    That is the octave with which the fit's band or the driver's own begins, or the one up to the
    corner if that is lower.
    """
    if is_low:
        assert slopes.high_corner is not None
        low = max(min(fit.band[0], slopes.high_corner / 2), slopes.low_corner or 0.0)
        high = min(2 * low, slopes.high_corner)
    else:
        assert slopes.low_corner is not None
        low = slopes.low_corner
        high = slopes.high_corner or low * 2**PLAYS
    inside = (frequency >= low * 0.999) & (frequency <= high * 1.001)
    if not inside.any():
        inside[np.argmin(np.abs(np.log(frequency / np.sqrt(low * high))))] = True
    return float(level[inside].mean())


def _resonance(frequency: np.ndarray, impedance: np.ndarray) -> float | None:
    """Where the last peak that stands out of an impedance is, Hz; of two in a box the upper one."""
    size = np.abs(impedance)
    least_above = np.minimum.accumulate(size[::-1])[::-1]
    inner = slice(1, -1)
    peaks = (size[inner] > size[:-2]) & (size[inner] > size[2:])
    found = np.flatnonzero(peaks & (size[inner] > STANDS_OUT * least_above[inner]))
    return float(frequency[inner][found[-1]]) if found.size else None


def _flat_from(frequency: np.ndarray, impedance: np.ndarray, resonance: float | None) -> float:
    """From where an impedance may rise: its least value above the resonance, Hz."""
    counts = frequency >= (frequency[0] if resonance is None else resonance)
    counts[-2:] = False  # a fit takes three frequencies
    if not counts.any():
        return float(frequency[-3])
    return float(frequency[np.argmin(np.where(counts, np.abs(impedance), np.inf))])
