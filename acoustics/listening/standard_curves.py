"""Curves of ANSI/CTA-2034-A from both arcs: listening window, reflections, power, directivity."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.conventions import REFERENCE_PRESSURE, RoundoverError
from acoustics.listening.levels import decibels
from acoustics.listening.stamp import stamped

Direction = tuple[str, float]
"""Plane of an arc and angle in degrees, positive to the right or up."""

STEP = 10.0
"""degrees between the standard's directions."""

ON_AXIS: Direction = ("horizontal", 0.0)


def _either_side(*angles: float) -> tuple[Direction, ...]:
    return tuple(("horizontal", sign * angle) for angle in angles for sign in (-1.0, 1.0))


LISTENING_WINDOW: tuple[Direction, ...] = (
    ON_AXIS,
    ("vertical", -10.0),
    ("vertical", 10.0),
    *_either_side(10.0, 20.0, 30.0),
)
"""The 9 directions of the listening window, the reference axis first."""

EARLY_REFLECTIONS: dict[str, tuple[Direction, ...]] = {
    "floor_bounce": tuple(("vertical", -angle) for angle in (20.0, 30.0, 40.0)),
    "ceiling_bounce": tuple(("vertical", angle) for angle in (40.0, 50.0, 60.0)),
    "front_wall_bounce": (ON_AXIS, *_either_side(10.0, 20.0, 30.0)),
    "side_wall_bounce": _either_side(40.0, 50.0, 60.0, 70.0, 80.0),
    "rear_wall_bounce": (
        *_either_side(*(STEP * n for n in range(9, 18))),
        ("horizontal", 180.0),
    ),
}
"""The standard's five groups. Its front wall is the one that the front of the cabinet faces."""

MEANINGS = {
    "on_axis": "level on the reference axis",
    "listening_window": "listening window, mean of 9 directions",
    "floor_bounce": "mean of 3 directions down",
    "ceiling_bounce": "mean of 3 directions up",
    "front_wall_bounce": "mean of 7 directions toward the wall ahead of the cabinet",
    "side_wall_bounce": "mean of 10 directions toward the side walls",
    "rear_wall_bounce": "mean of 19 directions toward the wall behind the cabinet",
    "early_reflections": "early reflections, mean of the five groups",
    "sound_power": "sound power as the mean level at the arcs' distance",
    "estimated_in_room": "estimated in-room curve",
}

REAR_GROUP = "all 19 horizontal directions from 90 to 180 degrees on both sides"

ORBITS: tuple[Direction, ...] = (
    *(("horizontal", STEP * n) for n in range(-17, 19)),
    *(("vertical", STEP * n) for n in range(-17, 18) if n != 0),
)
"""The 70 directions of both orbits, the two that they share taken once."""

IN_ROOM = {"listening_window": 0.12, "early_reflections": 0.44, "sound_power": 0.44}
"""Shares of squared pressure in the estimated in-room curve."""


def standard_curves(prediction: xr.Dataset) -> xr.Dataset:
    """Curves of ANSI/CTA-2034-A (2015) from the arcs about the reference point.

    All means are of squared pressure. Early reflections are the mean of the five groups' means.
    The rear wall's group is read as all 19 directions, ±90 to ±170 and 180 degrees, as the
    standard's horizontal reflections define it; its list of early reflections can also be read as
    ±90 and 180 degrees alone. The standard measures at 2 m from the reference point; here the
    distance is the attribute `reference_distance` of the prediction, and levels are for it.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Levels, dB re 20 µPa, dims (frequency): on_axis; listening_window; floor_bounce,
        ceiling_bounce, front_wall_bounce (the wall ahead of the cabinet), side_wall_bounce,
        rear_wall_bounce (behind the cabinet); early_reflections; sound_power (as a level at that
        distance); estimated_in_room. Indices, dB: sound_power_index and early_reflections_index,
        both listening window minus the other. Attributes: rear_group, reference_distance (m).

    Raises:
        RoundoverError: the arcs lack some of the directions.

    Example:
        >>> prediction = ac.open_prediction("prediction.nc")  # doctest: +SKIP
        >>> ac.standard_curves(prediction).listening_window  # doctest: +SKIP
    """
    power = abs(responses(prediction, ORBITS)) ** 2 / REFERENCE_PRESSURE**2
    shape = power.isel(direction=0, drop=True).reset_coords(drop=True)
    levels = {
        name: stamped(
            decibels(shape.copy(data=share @ power.values)), "dB", f"{MEANINGS[name]}, re 20 µPa"
        )
        for name, share in curve_shares().items()
    }
    window = levels["listening_window"]
    indices = {
        f"{name}_index": stamped(
            window - levels[name],
            "dB",
            f"directivity index: listening window minus {name.replace('_', ' ')}",
        )
        for name in ("sound_power", "early_reflections")
    }
    return xr.Dataset(levels | indices).assign_attrs(
        rear_group=REAR_GROUP, reference_distance=prediction.attrs["reference_distance"]
    )


def curve_shares() -> dict[str, np.ndarray]:
    """Share of each of the 70 directions in each curve's squared pressure; every curve's add to 1.

    Returns:
        Name of the curve → shape (70,), in the order of `ORBITS`.
    """

    def even(directions: tuple[Direction, ...]) -> np.ndarray:
        return np.array([one in directions for one in ORBITS]) / len(directions)

    groups = {name: even(directions) for name, directions in EARLY_REFLECTIONS.items()}
    power = sound_power_weights(np.array([angle for _, angle in ORBITS]))
    shares = {
        "on_axis": even((ON_AXIS,)),
        "listening_window": even(LISTENING_WINDOW),
        **groups,
        "early_reflections": np.mean(list(groups.values()), axis=0),
        "sound_power": power / power.sum(),
    }
    in_room = np.sum([part * shares[name] for name, part in IN_ROOM.items()], axis=0)
    return {**shares, "estimated_in_room": in_room}


def window_responses(prediction: xr.Dataset) -> xr.DataArray:
    """Sound pressure in the 9 directions of the listening window.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Pa, complex, dims (direction, frequency), the reference axis first; `direction` says it in
        words, with the coordinates plane and angle (degrees).

    Raises:
        RoundoverError: the arcs lack some of the directions.
    """
    return responses(prediction, LISTENING_WINDOW)


def window_pressure(prediction: xr.Dataset) -> xr.DataArray:
    """Root mean square pressure over the 9 directions of the listening window, Pa (frequency)."""
    rms: xr.DataArray = (abs(window_responses(prediction)) ** 2).mean("direction") ** 0.5
    return rms


def responses(
    prediction: xr.Dataset, directions: tuple[Direction, ...], of: str = "arc_total"
) -> xr.DataArray:
    """Sound pressure, or another variable `of` the arcs, in some of their directions.

    As `window_responses` gives it; dimensions besides direction and frequency stay between them.
    """
    angles = prediction.angle.values
    nearest = [int(np.argmin(np.abs(angles - angle))) for _, angle in directions]
    lacking = [
        in_words(direction)
        for direction, i in zip(directions, nearest, strict=True)
        if abs(angles[i] - direction[1]) > 1e-6
    ]
    if lacking:
        some = ", ".join(lacking[:3]) + (" and others" if len(lacking) > 3 else "")
        raise RoundoverError(
            f"the curves of CTA-2034-A need the arcs every {STEP:g} degrees, but nothing was "
            f"predicted at {some} ({len(lacking)} of {len(directions)} directions are missing); "
            'take an arc step that divides 10 degrees, such as "5 deg"'
        )
    named = [str(plane) for plane in prediction.plane.values]
    planes = [named.index(plane) for plane, _ in directions]
    answer: xr.DataArray = prediction[of].isel(
        plane=xr.DataArray(planes, dims="direction"), angle=xr.DataArray(nearest, dims="direction")
    )
    return answer.transpose("direction", ..., "frequency").assign_coords(
        direction=("direction", [in_words(one) for one in directions], {"long_name": "direction"})
    )


def sound_power_weights(angle: np.ndarray) -> np.ndarray:
    """Share of the sphere that a direction of the orbits stands for.

    The square on the sphere that reaches a to either side has the area 4·asin(sin² a), and what
    lies between two of them is shared by four directions, two of each orbit. This reproduces the
    table of ANSI/CTA-2034-A, annex C, to 2e-9. Over the 70 directions the shares add up to
    1 − 6·w(0) = 0.996373, so a mean divides by their sum.

    Args:
        angle: multiples of 10 degrees, either sign, shape (direction,).

    Returns:
        Shape (direction,).
    """
    away = np.abs(angle)
    away = np.minimum(away, 180 - away)

    def square(half: np.ndarray) -> np.ndarray:
        """A quarter of the square's area."""
        answer: np.ndarray = np.arcsin(np.sin(np.deg2rad(np.maximum(half, 0.0))) ** 2)
        return answer

    inner = square(away - STEP / 2)
    ring = np.where(away < 90, square(away + STEP / 2) - inner, 2 * (np.pi / 2 - inner))
    return ring / (4 * np.pi)


def in_words(direction: Direction) -> str:
    """A direction as it is called: "on axis", "30° right"."""
    plane, angle = direction
    if angle == 0:
        return "on axis"
    if abs(angle) == 180:
        return "180° behind"
    back, ahead = ("left", "right") if plane == "horizontal" else ("down", "up")
    return f"{abs(angle):g}° {ahead if angle > 0 else back}"
