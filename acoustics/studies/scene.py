"""What does not move while one driver does: the other drivers, the filters, where it is heard."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acoustics.case.model import Branch, Case
from acoustics.conventions import DRIVE_VOLTAGE, PLANES
from acoustics.crossover.acoustic import (
    full_with_low_end,
    heard_low_end,
    needed_filter,
    target_pressure,
)
from acoustics.crossover.branch import branches_of
from acoustics.field import solve_field
from acoustics.listening.standard_curves import Direction
from acoustics.prediction.filters import filters_of, latency
from acoustics.prediction.layout import Layout, layout_of, over_the_floor
from acoustics.prediction.microphones import with_measured
from acoustics.prediction.predict import by_receiver, heard_at
from acoustics.prediction.realised import with_needed_filters
from acoustics.prediction.receivers import (
    DECIMALS,
    Receivers,
    arc_points,
    receivers_of,
    reflections_of,
)
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of


@dataclass(frozen=True)
class Points:
    """Where a map is heard: every point once, and where the window and the seats find theirs.

    points (point, 3), m; window (direction,); seat (speaker, seat, path), at the ear height nearest
    the reference axis.
    """

    points: np.ndarray
    window: np.ndarray
    seat: np.ndarray
    receivers: Receivers
    ear_height: float


def points_of(case: Case, directions: tuple[Direction, ...]) -> Points:
    """The directions of the window, and the seats with their images in the surfaces."""
    everything = receivers_of(case)
    ears = np.array(case.seat.ear_heights)
    ear = int(np.argmin(np.abs(ears - everything.aside_ear_height)))
    receivers = replace(everything, seat=everything.seat[:, :, :, ear : ear + 1])
    angles = np.array([angle for _, angle in directions])
    arcs = arc_points(case, angles)
    window = [arcs[PLANES.index(plane), n] for n, (plane, _) in enumerate(directions)]
    seats = receivers.seat.reshape(-1, 3)
    every = np.round(np.concatenate([window, seats]), DECIMALS) + 0.0
    points, found = np.unique(every, axis=0, return_inverse=True)
    found = found.reshape(-1)
    count = len(directions)
    seat = found[count:].reshape(receivers.seat.shape[:3])
    return Points(points, found[:count], seat, receivers, float(ears[ear]))


@dataclass(frozen=True)
class Scene:
    """A design with one driver taken out; pressures are rms, Pa.

    window (direction, frequency) and seat (speaker, seat, path, frequency) hold the other drivers',
    those whose filters stay first, then those with acoustic slopes, whose delay may change.
    """

    case: Case
    layout: Layout
    driver: int
    frequency: np.ndarray
    directions: tuple[Direction, ...]
    heard: Points
    filter: np.ndarray
    """of the moved driver where it is now, V/V, (frequency,); that is its own anywhere but with
    acoustic slopes"""
    source: np.ndarray
    low_end: np.ndarray
    own: np.ndarray
    """share of the source that leaves the moved driver's cone, (frequency,)"""
    rest: tuple[np.ndarray, np.ndarray]
    """what ports and passive radiators add to its field, in the window and at the seats"""
    strength: np.ndarray
    """of every driver where it is now, Pa m, (driver, frequency)"""
    late: float
    window: tuple[np.ndarray, np.ndarray]
    seat: tuple[np.ndarray, np.ndarray]

    @property
    def branch(self) -> Branch:
        """The moved driver's part of the crossover."""
        return branches_of(self.case)[self.driver]

    def drive(
        self, on_axis: np.ndarray, cone: np.ndarray, centres: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """The moved driver's volume velocity, and how others with acoustic slopes are turned.

        With acoustic slopes the filter is computed anew for every place, as a prediction does.

        Args:
            on_axis: its field on the reference axis, Pa per m³/s, shape (…, frequency).
            cone: that of its cone alone, likewise.
            centres: its centre, m, shape (…, 3).

        Returns:
            m³/s, complex, and a factor, both of shape (…, frequency).
        """
        branch, frequency = self.branch, self.frequency
        turn = -2j * np.pi * frequency
        if branch.slopes != "acoustic":
            answer = self.filter * self.source * DRIVE_VOLTAGE
            shape = on_axis.shape
            return np.broadcast_to(answer, shape), np.ones((1,) * len(shape))
        distance, air = self.case.reference.distance, self.case.air
        late = self._latency(centres)
        low_end = heard_low_end(self.low_end, on_axis, cone)
        polarity = -1.0 if self.case.drivers[self.driver].inverted else 1.0
        target = polarity * target_pressure(
            branch,
            frequency,
            distance=distance,
            speed_of_sound=air.speed_of_sound,
            low_end=low_end,
        )
        unfiltered = DRIVE_VOLTAGE * self.source * on_axis
        filters = needed_filter(
            target * np.exp(turn * late[..., None]),
            unfiltered,
            branch.most_gain,
            full_with_low_end(branch, distance, low_end),
        )
        return filters * self.source * DRIVE_VOLTAGE, np.exp(turn * (late[..., None] - self.late))

    def _latency(self, centres: np.ndarray) -> np.ndarray:
        """As `prediction.filters.latency`, for the driver at many places, s, shape (…)."""
        case, air = self.case, self.case.air
        branches = branches_of(case)
        others = [
            branch if n != self.driver else replace(branch, slopes="electrical")
            for n, branch in enumerate(branches)
        ]
        least = latency(case, tuple(others), self.layout.centres)
        microphone = np.array([*case.reference.point, case.reference.distance])
        way = np.linalg.norm(centres - microphone, axis=-1)
        way = way + case.drivers[self.driver].acoustic_depth - case.reference.distance
        return np.maximum(np.maximum(way, 0.0) / air.speed_of_sound, least)


def scene_of(case: Case, driver: int, directions: tuple[Direction, ...]) -> Scene:
    """Solve a design as it is, and take one driver out.

    Computed filters are those that are needed, without what a processor's taps make of them.
    """
    case = with_needed_filters(case)
    layout, heard = layout_of(case), points_of(case, directions)
    frequency = case.frequencies.values()
    how: dict[str, Any] = {"air": case.air, "accuracy": case.accuracy, "memory": case.memory}
    solved = solve_field(layout.body, layout.pistons, heard.points, frequency, **how)
    field = layout.per_radiator(by_receiver(solved))
    window = field[:, heard.window]
    seat = field[:, heard.seat]
    if case.floor is not None and case.floor.mirrors_cabinet:
        both = over_the_floor(layout, case.cabinet.floor_level)
        ears = heard.points[heard.seat[:, :, 0]]
        solved = solve_field(both.body, both.pistons, ears.reshape(-1, 3), frequency, **how)
        above, below = np.split(by_receiver(solved), 2)
        whole = layout.per_radiator(above + below)
        seat[:, :, :, 1] = whole.reshape(-1, *ears.shape[:2], frequency.size) - seat[:, :, :, 0]
    centres = layout.radiator_centres
    seat = seat * reflections_of(case, heard.receivers, centres, frequency)[..., 0, :]
    source = drive_of(case, frequency)
    if any(each.measured for each in case.drivers):
        measured = heard_at(case, frequency, solve_field, how)
        source, _ = with_measured(case, source, measured, frequency)
    shares = source.shares
    companions = np.array(shares[:, [driver]])
    companions[driver] = 0.0
    rest = window, seat
    window, seat = together(window, shares), together(seat, shares)
    on_axis = window[:, 0]
    low_ends = heard_low_end(source.low_end, on_axis, rest[0][: layout.drivers, 0])
    found = filters_of(case, frequency, source, on_axis, layout.centres, low_ends)
    filters, strength = found.filters, found.strength
    drive = filters * source.source * DRIVE_VOLTAGE
    branches = branches_of(case)
    kinds = [
        [n for n, b in enumerate(branches) if n != driver and (b.slopes == "acoustic") == computed]
        for computed in (False, True)
    ]

    def others(pressure: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        spread = drive.reshape(drive.shape[0], *(1,) * (pressure.ndim - 2), -1)
        as_they_are, computed = ((spread * pressure)[kind].sum(axis=0) for kind in kinds)
        return as_they_are, computed

    return Scene(
        case=case,
        layout=layout,
        driver=driver,
        frequency=frequency,
        directions=directions,
        heard=heard,
        filter=filters[driver],
        source=source.source[driver],
        low_end=source.low_end[driver],
        own=shares[driver, driver],
        rest=(_summed(companions, rest[0]), _summed(companions, rest[1])),
        strength=strength,
        late=latency(case, branches, layout.centres),
        window=others(window),
        seat=others(seat),
    )


def _summed(shares: np.ndarray, field: np.ndarray) -> np.ndarray:
    """Field of a driver's companions: (radiator, …, frequency) → (…, frequency)."""
    between = (1,) * (field.ndim - 2)
    answer: np.ndarray = (shares.reshape(field.shape[0], *between, -1) * field).sum(axis=0)
    return answer
