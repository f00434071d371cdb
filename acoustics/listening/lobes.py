"""Where the main lobe points at each crossover, up and sideways, and where the nulls are."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import crossovers
from acoustics.listening.delay import common_delay
from acoustics.listening.directivity import FLOOR
from acoustics.listening.interpolation import fine_circle, pressure_at, vertex

STEP = 0.25
"""degrees: spacing at which lobes and nulls are looked for before they are refined."""

ALIKE = 6.0
"""dB: of lobes this close to the strongest, the one nearest the axis is the main lobe.

Two drivers more than a wavelength apart have several lobes of like strength, and diffraction
decides which is strongest; the one a listener sits in is the one near the axis.
"""

PROMINENCE = 3.0
"""dB: a maximum that does not stand out by this much from the way to a higher one is no lobe."""

LEAST_GAIN = 0.05
"""dB: a front half that rises by less above the axis points along the axis."""

NULL_DEPTH = 10.0
"""dB: a minimum this far below the strongest lobe counts as a null."""


def lobes(prediction: xr.Dataset) -> xr.Dataset:
    """Find main lobe and nulls at each crossover frequency, up and down and to the sides.

    On the front halves of the arcs, which are followed between their angles by their Fourier
    series, then by a parabola. The main lobe is the one nearest the reference axis among those
    within 6 dB of the strongest.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency, lower_driver, upper_driver (crossover); lobe_direction (crossover),
        degrees, positive up, 0 where nothing stands out from the axis; lobe_gain (crossover), dB
        above the reference axis; aside_direction and aside_gain likewise, positive to the right;
        lobe_sampled (crossover), false where the arcs' angles are too far apart for what the
        cabinet radiates at that frequency, so that lobes and nulls between them are guesses;
        null_angle (crossover, null), degrees, ascending, up and down, NaN where a crossover has
        fewer nulls; lobe_level and aside_level (crossover, lobe_angle), dB relative to the
        reference axis, every 0.25 degrees or less.
    """
    found = crossovers(prediction)
    frequency = found.crossover_frequency.values
    angle, upward = _relative_power(prediction, "vertical", frequency)
    _, sideways = _relative_power(prediction, "horizontal", frequency)
    nulls = [_nulls(angle, row) for row in upward]
    padded = np.full((len(nulls), max((len(row) for row in nulls), default=0)), np.nan)
    for row, angles in zip(padded, nulls, strict=True):
        row[: len(angles)] = angles
    front = np.abs(angle) <= 90 + 1e-9
    with np.errstate(divide="ignore"):
        lobe_level, aside_level = (10 * np.log10(each[:, front]) for each in (upward, sideways))
    degrees = {"units": "degree"}
    mains = _mains("lobe", "up", angle, upward) | _mains("aside", "right", angle, sideways)
    return (
        found.assign(mains)
        .assign(
            lobe_sampled=(
                "crossover",
                sampled(prediction, frequency),
                {"long_name": "the arcs are fine enough for the lobes"},
            ),
            null_angle=(
                ("crossover", "null"),
                padded,
                {**degrees, "long_name": "direction of a null, positive up"},
            ),
            lobe_level=(
                ("crossover", "lobe_angle"),
                lobe_level,
                {"units": "dB", "long_name": "level relative to the reference axis, up and down"},
            ),
            aside_level=(
                ("crossover", "lobe_angle"),
                aside_level,
                {"units": "dB", "long_name": "level relative to the reference axis, to the sides"},
            ),
        )
        .assign_coords(
            lobe_angle=(
                "lobe_angle",
                angle[front],
                {**degrees, "long_name": "angle from the reference axis, positive up or right"},
            )
        )
    )


def arc_power(
    prediction: xr.Dataset, plane: str, frequency: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Fine angles of one arc (degrees) and the power there (Pa²), shape (place, angle).

    Args:
        prediction: as `predict` makes it.
        plane: of the arc.
        frequency: Hz, shape (place,); NaN comes out where it was not predicted.
    """
    still = pressure_at(
        prediction.arc_total.sel(plane=plane, drop=True),
        frequency,
        prediction.attrs["reference_distance"],
        speed_of_sound=prediction.attrs["speed_of_sound"],
        delay=common_delay(prediction, frequency),
    )
    angle, pressure = fine_circle(
        prediction.angle.values, still.transpose("frequency", "angle").values, STEP
    )
    return angle, np.abs(pressure) ** 2


def _relative_power(
    prediction: xr.Dataset, plane: str, frequency: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Fine angles of one arc (degrees) and the power there over the axis', (place, angle)."""
    angle, power = arc_power(prediction, plane, frequency)
    axis = int(np.argmin(np.abs(angle)))
    # An axis in a deep null must not make gains infinite.
    least = power.max(axis=1, keepdims=True) * 10 ** (FLOOR / 10)
    least = np.maximum(least, np.finfo(float).tiny)
    return angle, power / np.maximum(power[:, axis : axis + 1], least)


WAYS = {"up": "up and down", "right": "to the sides"}


def _mains(
    name: str, way: str, angle: np.ndarray, relative: np.ndarray
) -> dict[str, tuple[str, np.ndarray, dict[str, str]]]:
    """Direction and gain of the main lobe at each crossover."""
    mains = [_main_lobe(angle, row) for row in relative]
    gains = np.array([gain for _, gain in mains])
    with np.errstate(divide="ignore"):
        decibels = 10 * np.log10(gains)
    return {
        f"{name}_direction": (
            "crossover",
            np.array([direction for direction, _ in mains]),
            {"units": "degree", "long_name": f"direction of the main lobe, positive {way}"},
        ),
        f"{name}_gain": (
            "crossover",
            decibels,
            {"units": "dB", "long_name": f"main lobe above the reference axis, {WAYS[way]}"},
        ),
    }


def sampled(prediction: xr.Dataset, frequency: np.ndarray) -> np.ndarray:
    """Whether the arcs' receivers are close enough together, shape (place,).

    Sound from within a radius R has angular harmonics up to about the order kR (e.g. Hansen,
    Spherical Near-Field Antenna Measurements, 1988; from memory), and a circle of N receivers
    tells orders up to N/2 apart. R reaches from the reference point to the farthest corner of
    the front face.

    Args:
        prediction: as `predict` makes it.
        frequency: Hz, shape (place,).
    """
    given = prediction.attrs
    reach = np.hypot(
        given["cabinet_width"] / 2 + abs(given["reference_x"]),
        given["cabinet_height"] / 2 + abs(given["reference_y"]),
    )
    order = 2 * np.pi * frequency / given["speed_of_sound"] * reach
    answer: np.ndarray = 2 * order <= prediction.angle.size
    return answer


def _main_lobe(angle: np.ndarray, power: np.ndarray) -> tuple[float, float]:
    """Direction (degrees) and power of the main lobe of a full circle's front half."""
    front = np.abs(angle) <= 90 + 1e-9
    axis = int(np.argmin(np.abs(angle)))
    if power[front].max() <= power[axis] * 10 ** (LEAST_GAIN / 10):
        return 0.0, float(power[axis])
    summit = (power >= np.roll(power, 1)) & (power > np.roll(power, -1))
    strong = power >= power[front].max() * 10 ** (-ALIKE / 10)
    lobes = [
        int(place)
        for place in np.flatnonzero(front & summit & strong)
        if _stands_out(power, int(place))
    ]
    if not lobes:  # the front half rises to its very end
        top = np.flatnonzero(front & (power >= power[front].max() * (1 - 1e-9)))
        place = top[np.argmin(np.abs(angle[top]))]
        return float(angle[place]), float(power[place])
    return _refined(angle, power, min(lobes, key=lambda place: abs(angle[place])))


def _stands_out(power: np.ndarray, place: int) -> bool:
    """Whether the way from a maximum to any higher one, either way round, dips far enough."""
    for direction in (1, -1):
        around = np.roll(power[::direction], -(place if direction == 1 else power.size - 1 - place))
        higher = np.flatnonzero(around > around[0])
        if higher.size and around[: higher[0]].min() > around[0] * 10 ** (-PROMINENCE / 10):
            return False
    return True


def _nulls(angle: np.ndarray, power: np.ndarray) -> list[float]:
    """Directions (degrees, ascending) of the nulls of a full circle's front half."""
    front = np.abs(angle) < 90 - 1e-9
    pit = (power < np.roll(power, 1)) & (power <= np.roll(power, -1))
    deep = power <= power[front].max() * 10 ** (-NULL_DEPTH / 10)
    return [_refined(angle, power, int(place))[0] for place in np.flatnonzero(front & pit & deep)]


def _refined(angle: np.ndarray, power: np.ndarray, place: int) -> tuple[float, float]:
    near = np.array([place - 1, place, place + 1])
    return vertex(angle[near], power[near])
