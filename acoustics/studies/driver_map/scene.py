"""What stays fixed while drivers are moved: the other drivers, the filters, the listeners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acoustics.case.design.model import Branch, Case
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
from acoustics.prediction.fields import by_receiver, heard_at
from acoustics.prediction.filters import filters_of, latency
from acoustics.prediction.layout import Layout, layout_of, over_the_floor
from acoustics.prediction.microphones import with_measured
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
class Taken:
    """A driver that is taken out of a scene: what it does apart from where it sits."""

    driver: int
    branch: Branch
    filter: np.ndarray
    """where it is now, V/V, (frequency,); that is its own anywhere but with acoustic slopes"""
    source: np.ndarray
    low_end: np.ndarray
    own: np.ndarray
    """shares of the source that leave the cones of the drivers taken out, (taken, frequency)"""
    rest: tuple[np.ndarray, np.ndarray]
    """what ports, passive radiators and the cones that stay add to its field, in the window and at
    the seats"""

    def field(self, cones: Sequence[np.ndarray], where: int) -> np.ndarray:
        """Its field with all that moves along, from the fields of the cones of all taken out.

        Args:
            cones: Pa per m³/s, each of shape (place, …, frequency).
            where: 0 in the window, 1 at the seats.
        """
        parts = [cone * own for cone, own in zip(cones, self.own, strict=True) if own.any()]
        answer: np.ndarray = sum(parts[1:], parts[0]) + self.rest[where]
        return answer


@dataclass(frozen=True)
class Scene:
    """A design with some drivers taken out; pressures are rms, Pa.

    window (direction, frequency) and seat (speaker, seat, path, frequency) hold the other drivers',
    those whose filters stay first, then those with acoustic slopes, whose delay may change. What
    those others move of the cones taken out (in one box with them) stays where it was.
    """

    case: Case
    layout: Layout
    taken: tuple[Taken, ...]
    frequency: np.ndarray
    directions: tuple[Direction, ...]
    heard: Points
    strength: np.ndarray
    """of every driver where it is now, Pa m, (driver, frequency)"""
    late: float
    window: tuple[np.ndarray, np.ndarray]
    seat: tuple[np.ndarray, np.ndarray]

    def drives(
        self,
        on_axis: Sequence[np.ndarray],
        cones: Sequence[np.ndarray],
        centres: Sequence[np.ndarray],
        factors: Sequence[np.ndarray | None] | None = None,
    ) -> tuple[list[np.ndarray], np.ndarray]:
        """Volume velocities of the drivers taken out, and how others with acoustic slopes turn.

        With acoustic slopes a filter is computed anew for every place, as a prediction does.

        Args:
            on_axis: of each, its field on the reference axis, Pa per m³/s, shape (…, frequency).
            cones: likewise that of its cone alone.
            centres: likewise its centre, m, shape (…, 3).
            factors: likewise by what its slopes are multiplied, complex, shape (…, frequency), or
                None where they stay; None for all.

        Returns:
            m³/s, complex, and a factor, all of shape (…, frequency).
        """
        late = self._latency(centres)
        turn = -2j * np.pi * self.frequency
        found = [
            self._drive(one, axis, cone, None if late is None else turn * late[..., None], factor)
            for one, axis, cone, factor in zip(
                self.taken, on_axis, cones, factors or [None] * len(self.taken), strict=True
            )
        ]
        if late is None:
            return found, np.ones((1,) * on_axis[0].ndim)
        return found, np.exp(turn * (late[..., None] - self.late))

    def _drive(
        self,
        one: Taken,
        on_axis: np.ndarray,
        cone: np.ndarray,
        turned: np.ndarray | None,
        factor: np.ndarray | None,
    ) -> np.ndarray:
        branch, distance = one.branch, self.case.reference.distance
        if branch.slopes != "acoustic":
            answer = one.filter * one.source * DRIVE_VOLTAGE
            answer = answer if factor is None else answer * factor
            return np.broadcast_to(answer, np.broadcast_shapes(answer.shape, on_axis.shape))
        assert turned is not None
        low_end = heard_low_end(one.low_end, on_axis, cone)
        polarity = -1.0 if self.case.drivers[one.driver].inverted else 1.0
        target = polarity * target_pressure(
            branch,
            self.frequency,
            distance=distance,
            speed_of_sound=self.case.air.speed_of_sound,
            low_end=low_end,
        )
        if factor is not None:
            target = target * factor
        filters = needed_filter(
            target * np.exp(turned),
            DRIVE_VOLTAGE * one.source * on_axis,
            branch.most_gain,
            full_with_low_end(branch, distance, low_end),
        )
        return filters * one.source * DRIVE_VOLTAGE

    def _latency(self, centres: Sequence[np.ndarray]) -> np.ndarray | None:
        """As `prediction.filters.latency`, for the drivers at many places, s, shape (…).

        None where no driver taken out has acoustic slopes: then it stays as it is.
        """
        case, speed = self.case, self.case.air.speed_of_sound
        computed = {
            one.driver: centre
            for one, centre in zip(self.taken, centres, strict=True)
            if one.branch.slopes == "acoustic"
        }
        if not computed:
            return None
        others = [
            replace(branch, slopes="electrical") if n in computed else branch
            for n, branch in enumerate(branches_of(case))
        ]
        late: np.ndarray = np.asarray(latency(case, tuple(others), self.layout.centres))
        microphone = np.array([*case.reference.point, case.reference.distance])
        for driver, centre in computed.items():
            way = np.linalg.norm(centre - microphone, axis=-1)
            way = way + case.drivers[driver].acoustic_depth - case.reference.distance
            late = np.maximum(late, np.maximum(way, 0.0) / speed)
        return late

    def at(self, which: np.ndarray) -> Scene:
        """The same scene at some of its frequencies, as indices or a mask."""

        def cut(pair: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
            return pair[0][..., which], pair[1][..., which]

        return replace(
            self,
            frequency=self.frequency[which],
            strength=self.strength[:, which],
            window=cut(self.window),
            seat=cut(self.seat),
            taken=tuple(
                replace(
                    one,
                    filter=one.filter[which],
                    source=one.source[which],
                    low_end=one.low_end[which],
                    own=one.own[:, which],
                    rest=cut(one.rest),
                )
                for one in self.taken
            ),
        )


def scene_of(case: Case, drivers: Sequence[int], directions: tuple[Direction, ...]) -> Scene:
    """Solve a design as it is, and take some drivers out.

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
    alone = window, seat
    window, seat = together(window, shares), together(seat, shares)
    on_axis = window[:, 0]
    low_ends = heard_low_end(source.low_end, on_axis, alone[0][: layout.drivers, 0])
    found = filters_of(case, frequency, source, on_axis, layout.centres, low_ends)
    filters, strength = found.filters, found.strength
    drive = filters * source.source * DRIVE_VOLTAGE
    branches = branches_of(case)
    kinds = [
        [
            n
            for n, branch in enumerate(branches)
            if n not in drivers and (branch.slopes == "acoustic") == computed
        ]
        for computed in (False, True)
    ]

    def others(pressure: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        spread = drive.reshape(drive.shape[0], *(1,) * (pressure.ndim - 2), -1)
        as_they_are, computed = ((spread * pressure)[kind].sum(axis=0) for kind in kinds)
        return as_they_are, computed

    def taken(driver: int) -> Taken:
        companions = np.array(shares[:, [driver]])
        companions[list(drivers)] = 0.0
        return Taken(
            driver=driver,
            branch=branches[driver],
            filter=filters[driver],
            source=source.source[driver],
            low_end=source.low_end[driver],
            own=shares[list(drivers), driver],
            rest=(_summed(companions, alone[0]), _summed(companions, alone[1])),
        )

    return Scene(
        case=case,
        layout=layout,
        taken=tuple(map(taken, drivers)),
        frequency=frequency,
        directions=directions,
        heard=heard,
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
