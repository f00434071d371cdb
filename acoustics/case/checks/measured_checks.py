"""Checks of measured responses: whether their tables hold what the case says of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from acoustics.case.checks.face_checks import front_point, point_problems
from acoustics.case.checks.outside import Outside
from acoustics.case.design.model import FrequencyGrid
from acoustics.case.files.curve_files import band_words
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.tables.measured_table import MeasuredTable
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz, in_unit
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, air_at
from acoustics.curves import Curve
from acoustics.curves.between import SLACK

NARROWEST = 2.0
"""An octave: less of a driver says too little of it."""

FEW = 4
"""frequencies from which on a source has a slope to be carried on by"""

LIKELY = (40.0, 140.0)
"""dB at 1 m for 2.83 V: the median level of any driver lies between (common practice, no source)"""

LATE = 0.5e-3
"""s: what the phase of a driver may be off from its geometry before that is told; 17 cm"""

HEARD_FROM = 500.0
"""Hz: above it the delay of a driver's own low end is short"""


def measured_problems(
    outside: Outside, drivers: Mapping[str, Values], heard: Mapping[str, Curve], grid: Values
) -> Iterator[Problem]:
    """Tables without phase, bands they do not hold, frequencies nothing tells of.

    `heard` holds what the tables say, Pa.
    """
    for name, driver in drivers.items():
        table: MeasuredTable | None = driver.get("measured")
        if table is None:
            continue
        at: Path = ("drivers", name, "measured")
        if table.point is not None:
            yield from point_problems(outside, table.point, (*at, "point"))
            yield from _inside(outside, table.point, table.distance, at)
        curve = heard.get(name)
        if curve is None:
            continue
        if not curve.has_phase and not table.unknown_delay:
            yield Problem(
                (*at, "response"),
                f"{curve.source} has no phase, without which nobody knows when the driver's sound "
                "comes; measure it with its phase, a third column in degrees, or write "
                "unknown_delay = true",
            )
        wrong = list(_band_problems(at, table, curve))
        yield from wrong or _uncovered(name, driver, _band(table, curve), grid)
        yield from _level_problems(at, table, curve)


def _inside(outside: Outside, point: list[float], distance: float, at: Path) -> Iterator[Problem]:
    """A microphone straight ahead of a point that a front that leans is still before."""
    if outside.solid is None:
        return
    place = np.array([[*front_point(outside, point), distance]])
    if outside.solid.heights_above_faces(place).max() <= 0:
        yield Problem(
            (*at, "distance"),
            f"{in_unit(distance, 'mm')} straight ahead of the plane through the front's centre "
            "this point is inside the cabinet; give the distance from that plane, or leave out "
            "point",
        )


def measured_warnings(text: CaseTable, heard: Mapping[str, Curve]) -> Iterator[Problem]:
    """What is doubtful in the measured responses of a case without faults."""
    speed = air_at(text.air.temperature).speed_of_sound
    for name, driver in text.drivers.items():
        table = driver.measured
        if table is None or name not in heard:
            continue
        at: Path = ("drivers", name, "measured")
        if table.unknown_delay:
            yield Problem(
                (*at, "unknown_delay"),
                f"when the sound of '{short_name(name)}' comes is a guess: from the geometry and "
                "acoustic_depth, as if it were of minimum phase; measure its phase with the "
                "others', from the same moment",
            )
            continue
        flight = table.distance / speed - table.removed_delay
        longest = 2 * table.distance / speed
        late = _lateness(heard[name], _band(table, heard[name]), flight, longest)
        if abs(late) > LATE:
            yield Problem(
                (*at, "response"),
                f"by its phase the sound comes {in_unit(_hundredths(flight + late), 'ms')} after "
                f"the moment from which the phase counts, by the distance "
                f"{'and removed_delay ' if table.removed_delay else ''}"
                f"{in_unit(_hundredths(flight), 'ms')}; if the delay was taken out, say so in "
                "removed_delay, and if nobody knows, in unknown_delay",
            )


def _band(table: MeasuredTable, curve: Curve) -> tuple[float, float]:
    return table.lowest or float(curve.frequency[0]), table.highest or float(curve.frequency[-1])


def _band_problems(at: Path, table: MeasuredTable, curve: Curve) -> Iterator[Problem]:
    low, high = (float(end) for end in curve.frequency[[0, -1]])
    for key, end, beyond in (
        ("lowest", table.lowest, table.lowest and table.lowest < low * (1 - SLACK)),
        ("highest", table.highest, table.highest and table.highest > high * (1 + SLACK)),
    ):
        if beyond and end is not None:
            yield Problem(
                (*at, key),
                f"{hertz(end)} is not in {curve.source}, which goes from {band_words(low, high)}; "
                "write a frequency of the table, or leave the key out",
            )
            return
    first, last = _band(table, curve)
    if last < NARROWEST * first:
        yield Problem(
            (*at, "response"),
            f"{curve.source} holds from {band_words(first, last)}, less than an octave; give "
            "more of the driver",
        )


def _uncovered(
    name: str, driver: Values, band: tuple[float, float], grid: Values
) -> Iterator[Problem]:
    """Frequencies of the prediction of which neither the table nor a model tells."""
    if not {"lowest", "highest", "per_octave"} <= grid.keys():
        return
    at: Path = ("drivers", name, "measured")
    low, high = grid["lowest"], grid["highest"]
    if band[1] < NARROWEST * low or band[0] * NARROWEST > high:
        yield Problem(
            (*at, "response"),
            f"the table holds from {band_words(*band)} and the case goes from "
            f"{band_words(low, high)}, with less than an octave in common; measure there, or "
            "change frequencies",
        )
        return
    frequency = FrequencyGrid(**grid).values()
    if _count(frequency, band) < FEW:
        yield Problem(
            (*at, "response"),
            f"only {_count(frequency, band)} of the case's frequencies lie within the table's, "
            f"{band_words(*band)}; take more frequencies.per_octave",
        )
        return
    if not {"sensitivity", "small_signal"} <= driver.keys():
        return
    models = [key for key in ("small_signal", "sensitivity") if driver[key] is not None]
    extrapolate = driver["measured"].extrapolate
    if models and extrapolate:
        yield Problem(
            (*at, "extrapolate"),
            f"outside the table {models[0]} says what the driver does; leave out extrapolate, or "
            f"{models[0]}",
        )
    short = frequency[0] < band[0] * (1 - SLACK) or frequency[-1] > band[1] * (1 + SLACK)
    if short and not models and not extrapolate:
        yield Problem(
            (*at, "response"),
            f"the table holds from {band_words(*band)}, and the case goes from "
            f"{band_words(low, high)}; nothing says what '{short_name(name)}' does beyond: add "
            "small_signal or sensitivity, measure further, change frequencies.lowest or "
            "frequencies.highest, or write extrapolate = true, with which the ends are carried on",
        )


def _count(frequency: np.ndarray, band: tuple[float, float]) -> int:
    return int(np.count_nonzero((frequency >= band[0]) & (frequency <= band[1])))


def _level_problems(at: Path, table: MeasuredTable, curve: Curve) -> Iterator[Problem]:
    """Levels that no driver has: mostly such as are relative to something else."""
    first, last = _band(table, curve)
    inside = (curve.frequency >= first) & (curve.frequency <= last)
    if not inside.any():
        return
    pressure = np.median(np.abs(curve.values[inside])) * DRIVE_VOLTAGE / table.voltage
    level = 20 * np.log10(pressure * table.distance / REFERENCE_PRESSURE)
    if not LIKELY[0] <= level <= LIKELY[1]:
        yield Problem(
            (*at, "response"),
            f"by {curve.source} half of the driver's levels are above {level:.3g} dB at 1 m for "
            f"2.83 V, which is no driver's; give sound pressure levels, and check unit, voltage "
            "and distance",
        )


def _hundredths(time: float) -> float:
    """A time (s) to a hundredth of a millisecond, and no negative zero."""
    return round(time, 5) + 0.0


def _lateness(curve: Curve, band: tuple[float, float], flight: float, longest: float) -> float:
    """How much later than by `flight` (s) the sound comes, by the slope of the phase, s.

    Of rows between which it may turn by half a circle, were it late by `longest` (s), none count;
    0 where there are no others.
    """
    used = (curve.frequency >= max(band[0], HEARD_FROM)) & (curve.frequency <= band[1])
    frequency = curve.frequency[used]
    if frequency.size < 2:
        return 0.0
    straight = curve.values[used] * np.exp(2j * np.pi * frequency * flight)
    steps = np.diff(frequency)
    near = 2 * steps * max(longest, 2 * LATE) < 1
    turns = np.angle(straight[1:] / straight[:-1])[near]
    return float(-turns.sum() / (2 * np.pi * steps[near].sum())) if near.any() else 0.0
