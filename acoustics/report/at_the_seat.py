"""Where people sit: lobes, room for the ears, other seats; the direct sound alone."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.conventions import DIRECT
from acoustics.listening import (
    Listener,
    band_level,
    heard,
    level,
    listeners,
    ripple_and_tilt,
)
from acoustics.listening.bands import why_not_covered
from acoustics.report.phrases import span
from acoustics.report.plain_text import columns
from acoustics.studies.wording import amount, hertz, listed
from acoustics.studies.yardsticks.seats import seat_words

ASIDE = 15.0
"""degrees: a seat farther off the axis than this hears another direction than the axis"""

STRAIGHT = 0.5
"""degrees: a lobe no farther off points straight ahead"""


def seat_heading(case: Case) -> str:
    """Where the main seat is, and that the room is not heard yet."""
    main = case.seat.main
    side = "right" if main.aside > 0 else "left"
    aside = f", {abs(main.aside):g} m to the {side}" if main.aside else ""
    ears = span(case.seat.ear_heights, "m")
    return f"At the seat {main.distance:g} m ahead{aside}, ears at {ears}, before the room"


def seat_angle(prediction: xr.Dataset, listener: Listener) -> float:
    """How far aside of the reference axis a seat lies, degrees, positive to a cabinet's right.

    Seen from above, from the reference point.
    """
    view = heard(prediction, listener)
    ear = view.seat_position.sel(path=DIRECT).isel(ear_height=view.ear_height.size // 2)
    aside = float(ear.sel(axis="x")) - float(view.attrs["reference_x"])
    return float(np.degrees(np.arctan2(aside, float(ear.sel(axis="z")))))


def main_listeners(answers: xr.Dataset, prediction: xr.Dataset) -> xr.Dataset:
    """The answers of those who sit at the main seat."""
    return answers.isel(listener=[i for i, one in enumerate(listeners(prediction)) if one.main])


def room_for_ears(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Lobe and window of each crossover, and the narrowest range over all frequencies."""
    main = main_listeners(answers, prediction)
    return [*around_crossovers(main, prediction), *narrowest(main)]


def around_crossovers(main: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Where each crossover's main lobe points, and how far the ears may move."""
    if main.crossover.size == 0:
        if prediction.driver.size == 1:
            return ["One driver plays everything, so there is no lobing between drivers."]
        low, high = prediction.frequency.values[[0, -1]]
        return [
            "No handover from one driver to another lies within the predicted frequencies, "
            f"{hertz(low)} to {hertz(high)}; how the drivers add up over height is not judged."
        ]
    where = _off_the_axis(prediction)
    here = "at the seat the" if where else "the"
    return [
        f"{one.crossover.values} at {hertz(float(one.crossover_frequency))}: {where}{_lobe(one)}; "
        f"{here} level stays within 3 dB for ears {_windows(one, prediction.height.values)}."
        for one in (main.isel(crossover=i) for i in range(main.crossover.size))
    ]


def narrowest(main: xr.Dataset) -> list[str]:
    """Over which ranges of height and of places sideways the level stays, whatever frequency."""
    if not np.isfinite(main.height_span).all():
        return []
    parts = []
    for name, way in (("height_span", "up and down"), ("aside_span", "sideways")):
        flat = main[name].values.ravel()
        at = int(flat.argmin())
        least = "at least " if main[f"{name}_open"].values.ravel()[at] else ""
        near = hertz(float(f"{main[f'{name}_frequency'].values.ravel()[at]:.2g}"))
        parts.append(f"{least}{amount(float(flat[at]), 'm')} {way} (tightest near {near})")
    return [f"From 300 Hz to 10 kHz the level stays within 3 dB over {listed(parts)}."]


def seat_table(prediction: xr.Dataset) -> str:
    """Mean level and ripple of every seat and cabinet, at the middle ear height."""
    ones = listeners(prediction)
    if len(ones) == 1 or why_not_covered(prediction.frequency.values, BAND, SMOOTHING):
        return ""
    middle = prediction.isel(ear_height=prediction.ear_height.size // 2)
    rows: dict[str, list[list[str]]] = {}
    for one in ones:
        pressure = heard(middle, one).seat_total.sel(surroundings="free space")
        mean = float(band_level(pressure, pressure.frequency, BAND))
        ripple = float(ripple_and_tilt(level(pressure), pressure.frequency)[0])
        figures = [amount(mean, "dB"), f"±{amount(ripple, 'dB')}"]
        rows.setdefault(one.seat, []).append([one.label, *figures])
    text = [[f"ears at {float(middle.ear_height):.2f} m", "mean level", "ripple"]]
    for seat, own in rows.items():
        # What only the room tells apart is one row here.
        same = len(own) > 1 and all(row[1:] == own[0][1:] for row in own)
        text += [[f"{seat_words(seat)}, either cabinet", *own[0][1:]]] if same else own
    return columns(text) if len(text) > 2 else ""


def _lobe(one: xr.Dataset) -> str:
    if not bool(one.lobe_sampled):
        return "the arc's steps are too coarse to follow the lobes (a smaller [arcs] step helps)"
    ways = [
        f"{amount(abs(angle), 'degree', finer=1)} {there if angle > 0 else opposite}"
        for angle, there, opposite in (
            (float(one.lobe_direction), "up", "down"),
            (float(one.aside_direction), "to the right", "to the left"),
        )
        if abs(angle) >= STRAIGHT
    ]
    return f"main lobe {listed(ways) if ways else 'straight ahead'}"


def _off_the_axis(prediction: xr.Dataset) -> str:
    """How far the main seat lies aside of the axis, from which lobes are told; "" where near."""
    angles = [abs(seat_angle(prediction, one)) for one in listeners(prediction) if one.main]
    if max(angles) <= ASIDE:
        return ""
    return f"on the axis (the seat is {span(angles, 'degree')} off it) "


def _windows(one: xr.Dataset, height: np.ndarray) -> str:
    """The heights that all ears may move to; those of each where they are not within reach."""
    ears = one.ear_height.values
    low, high = one.window_low.max("listener").values, one.window_high.min("listener").values
    if not np.isfinite(low).all():
        return "nowhere, as they sit in a null"
    if low.max() <= ears.min() and high.min() >= ears.max():
        return f"from {_heights(low.max(), high.min(), height)}"
    each = [
        f"from {_heights(bottom, top, height)} (ears at {ear:.2f} m)"
        for ear, bottom, top in zip(ears, low, high, strict=True)
    ]
    return listed(each)


def _heights(low: float, high: float, height: np.ndarray) -> str:
    """A range of heights; what reaches an end of those predicted may go on."""
    bottom = "below " if low <= height[0] else ""
    top = "above " if high >= height[-1] else ""
    return f"{bottom}{amount(low, 'm')} to {top}{amount(high, 'm')}"
