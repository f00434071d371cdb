"""How loud a design can play at the main seat, and what ends it."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, Case
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.listening import band_level, loudest
from acoustics.listening.bands import in_band
from acoustics.listening.key_figures import OCTAVES
from acoustics.listening.loudest import AMPLIFIER, missing_keys, taken
from acoustics.listening.low_end import low_end
from acoustics.report.phrases import span
from acoustics.report.plain_text import columns
from acoustics.studies.wording import amount, hertz, limit_words, listed, number

ROWS = (31.25, 62.5, 125.0, *OCTAVES)
"""Hz: where the table has a row, as far as they were predicted."""

FAR = 20.0
"""dB: a limit that is never nearer is left unsaid"""

WORTH_TELLING = 3.0
"""dB: what reflections take of the weakest frequency is left unsaid where it is less"""

HOW = "One steady sine at a time, every reflection, 1/3 octave, the ear height that gets least{}."
PAIR = "; both cabinets play, their powers added"


def how_loud(case: Case, prediction: xr.Dataset) -> tuple[list[str], str]:
    """Say how loud it plays for 2.83 V and at most, what the brief's level takes, what is unknown.

    Args:
        case: the design.
        prediction: of that same design, with some limit known.

    Returns:
        Points, and a table by octave.
    """
    loud = loudest(prediction)
    seat, axis = (_mean(loud[name]) for name in ("seat_level", "axis_level"))
    points = [
        HOW.format(PAIR if case.placement.pair else ""),
        f"For 2.83 V: {amount(seat, 'dB')} at the seat, and {amount(axis, 'dB')} of one cabinet at "
        f"1 m on the reference axis (means, {hertz(BAND[0])} to {hertz(BAND[1])}).",
    ]
    if case.brief is not None and case.brief.seat_level is not None:
        points += _wanted(loud, case.brief.seat_level, case.brief.reach or BAND[0])
    if missing := missing_keys(case, prediction):
        points.append(f"It may be less, as these are not stated: {listed(missing)}.")
    frequency = loud.frequency.values
    rows = [octave for octave in ROWS if frequency[0] <= octave <= frequency[-1]]
    return points, columns([HEAD, *(_row(loud, octave) for octave in rows)])


HEAD = ["", "for 2.83 V (dB)", "at most (dB)", "input (V)", "what ends it"]


def _row(loud: xr.Dataset, octave: float) -> list[str]:
    """One octave: level for 2.83 V, the highest, what that takes, and what ends it."""
    one = loud.sel(frequency=octave, method="nearest")
    return [
        hertz(octave),
        number(float(one.seat_level), "dB"),
        number(float(one.seat_highest), "dB"),
        number(float(one.highest_input), "V"),
        limit_words(str(one.binding_limit.values), str(one.binding_driver.values)),
    ]


def _wanted(loud: xr.Dataset, level: float, lowest: float) -> list[str]:
    """What a level at the seat takes from a lowest frequency to the end of the judged band."""
    inside = in_band(loud.frequency.values, (lowest, BAND[1]))
    if not inside.any():
        return []
    needs = taken(loud, level).isel(frequency=inside)
    frequency = needs.frequency.values
    ends = f"{hertz(lowest)} to {hertz(BAND[1])}"
    margins = needs.margin.values
    worst = int(margins.argmin())
    first = loud.sel(frequency=frequency[worst])
    limit, driver = str(first.binding_limit.values), str(first.binding_driver.values)
    by = f"the {limit}" if limit == AMPLIFIER else limit_words(limit, driver)
    where = f"at {hertz(frequency[worst])}, limited by {by}"
    answer = f"has {amount(margins[worst], 'dB')} to spare, least {where}"
    if margins[worst] < 0:
        answer = f"lacks up to {amount(-margins[worst], 'dB')} ({where}){_down_to(loud, level)}"
    taken_away = float(first.free_level - first.seat_level)
    room = (
        f" The reflections take {amount(taken_away, 'dB')} there: places of cabinet, seat and "
        "absorbers help before power does (common practice)."
    )
    return [
        f"{amount(level, 'dB')} at the seat, {ends}: takes "
        f"{span(needs.needed_input.values, 'V')} and {answer}."
        f"{room if taken_away > WORTH_TELLING else ''}",
        *_headroom(needs.headroom),
    ]


def _down_to(loud: xr.Dataset, level: float) -> str:
    """Down to which frequency the level can be had."""
    lowest = low_end(loud.frequency.values, taken(loud, level).margin.values, BAND[0])
    if np.isnan(lowest):
        return ""
    if lowest > BAND[0]:
        return f"; going up from {hertz(BAND[0])} it can be had first at {hertz(lowest)}"
    return f"; going down from {hertz(BAND[0])} it can be had to {hertz(lowest)}"


def _headroom(headroom: xr.DataArray) -> list[str]:
    """How near each limit comes, the nearest first."""
    found: dict[str, tuple[float, float]] = {}
    for limit in map(str, headroom.limit.values):
        for driver in map(str, headroom.driver.values):
            left = headroom.sel(limit=limit, driver=driver).fillna(np.inf)
            at = int(left.values.argmin())
            words = limit_words(limit, "" if limit == AMPLIFIER else driver)
            near = (float(left[at]), float(left.frequency[at]))
            found[words] = min(near, found.get(words, near))
    told = [
        f"{words} {amount(left, 'dB')} at {hertz(at)}"
        for words, (left, at) in sorted(found.items(), key=lambda item: item[1])
        if left < FAR
    ]
    return [f"What is then left to each limit: {listed(told)}."] if told else []


def _mean(levels: xr.DataArray) -> float:
    """Level of the mean power over the judged band, dB; NaN where that was not predicted."""
    pressure = REFERENCE_PRESSURE * 10 ** (levels / 20)
    return float(band_level(pressure, levels.frequency, BAND))
