"""Fields where a design was measured, and near by: a microphone never stands quite as stated.

What is left of a field without the flight from a piston to the microphone changes smoothly. It is
solved along three lines through every place, to the right, up and away. What it changes along the
lines adds up; the flight is put back exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acoustics.cabinet import flat_parts
from acoustics.conventions import Air
from acoustics.prediction.fields import Solve, by_receiver
from acoustics.prediction.layout import Layout
from acoustics.studies.verification.bench.lines import (
    TURN,
    Line,
    count_of,
    nodes_of,
    offsets_at,
)

NEARER = 0.5
"""Share of its distance by which a microphone may be nearer; farther by the same factor."""

TOUCHING = 1e-3
"""m"""

DECIMALS = 9
"""Places that agree to a nanometre are one."""

Place = tuple[float, float, float]


def key_of(place: Sequence[float] | np.ndarray) -> Place:
    """A place (m) as it is looked up."""
    x, y, z = (np.round(np.asarray(place, dtype=float), DECIMALS) + 0.0).tolist()
    return x, y, z


@dataclass(frozen=True, eq=False)
class Around:
    """The field of every piston at a place and near by.

    place, origin, centres: m, of the microphone, the reference point and the pistons. field: at the
    place itself, Pa per m³/s, complex, shape (piston, frequency). lines: to the right, up and away
    from the reference point; none where only the place counts.
    """

    place: np.ndarray
    origin: np.ndarray
    centres: np.ndarray
    frequency: np.ndarray
    air: Air
    field: np.ndarray
    lines: tuple[Line, ...]

    def at(self, offset: tuple[float, float, float]) -> np.ndarray:
        """The field at an offset from the place, as `field`.

        Args:
            offset: to the right, up and away, m; beyond the ends of the lines it is taken to be at
                their ends.
        """
        if not self.lines or not any(offset):
            return self.field
        held = [line.held(each) for line, each in zip(self.lines, offset, strict=True)]
        moved = self.place + sum(
            each * line.ahead for line, each in zip(self.lines, held, strict=True)
        )
        # Far away it is the angle that counts, not how many millimetres it is aside.
        distance = float(np.linalg.norm(self.place - self.origin))
        nearer = distance / (distance + held[2])
        held = [held[0] * nearer, held[1] * nearer, held[2]]
        still = self.field * _unflown(self.place[None], self)[0]
        for line, each in zip(self.lines, held, strict=True):
            if each:
                still = still + line.at(each)
        answer: np.ndarray = still / _unflown(moved[None], self)[0]
        return answer


def fields_round(
    layout: Layout,
    places: Sequence[Place],
    alone: Sequence[Place],
    reference: tuple[float, float],
    frequency: np.ndarray,
    solve: Solve,
    how: dict[str, Any],
) -> dict[Place, Around]:
    """Solve the fields at some places and along the lines through them, in one call.

    Args:
        layout: body and pistons.
        places: of microphones, m, distinct.
        alone: of which only the place itself counts.
        reference: x and y of the reference point on the front face, m; "away" is away from it.
        frequency: Hz, shape (frequency,).
        solve: the field solver.
        how: its arguments by keyword.

    Raises:
        GeometryError: a place inside the body.
    """
    origin = np.array([*reference, 0.0])
    size = float(np.ptp(layout.corners, axis=0).max())
    wave = 2 * np.pi * float(frequency.max()) / how["air"].speed_of_sound
    centres = np.array([piston.centre for piston in layout.pistons])
    laid = [_lines(layout, np.array(place), origin) for place in places]
    points = [np.array([*places, *alone], dtype=float).reshape(-1, 3)]
    for place, ways in zip(places, laid, strict=True):
        for ahead, reach, distance in ways:
            offsets = offsets_at(nodes_of(count_of(wave, size, reach, distance)), reach, distance)
            points.append(np.array(place) + offsets[:, None] * ahead)
    asked = np.concatenate(points)
    heard = asked.copy()
    if layout.side == 0:  # what is its own mirror image sounds alike on both sides
        heard[:, 0] = np.abs(heard[:, 0])
    unique, found = np.unique(np.round(heard, DECIMALS) + 0.0, axis=0, return_inverse=True)
    solved = by_receiver(solve(layout.body, layout.pistons, unique, frequency, **how))
    field = np.swapaxes(solved[:, found.reshape(-1)], 0, 1)  # (point, piston, frequency)
    answer: dict[Place, Around] = {}
    start = len(places) + len(alone)
    for number, place in enumerate((*places, *alone)):
        here = Around(np.array(place), origin, centres, frequency, how["air"], field[number], ())
        lines = []
        still = here.field * _unflown(here.place[None], here)[0]
        for ahead, reach, distance in laid[number] if number < len(laid) else ():
            part = slice(start, start + count_of(wave, size, reach, distance))
            start = part.stop
            changes = field[part] * _unflown(asked[part], here) - still
            lines.append(Line(ahead, reach, distance, changes))
        answer.setdefault(key_of(place), replace(here, lines=tuple(lines)))
    return answer


def _lines(
    layout: Layout, place: np.ndarray, origin: np.ndarray
) -> list[tuple[np.ndarray, float, float | None]]:
    """Unit vector, reach (m) and distance (m; None across) of the lines through a place.

    To the right is as one sees it who looks from there at the reference point. No node is nearer
    to the cabinet than half the way; one that all but touches it stays where it is.
    """
    clear = float(flat_parts(layout.body).heights_above_faces(place[None]).max())
    if clear < TOUCHING:
        return []
    away = place - origin
    distance = float(np.linalg.norm(away))
    away = away / distance
    right = np.cross([0.0, 1.0, 0.0], away)
    if np.linalg.norm(right) < 1e-6:  # straight above or below
        right = np.array([1.0, 0.0, 0.0])
    right = right / np.linalg.norm(right)
    up = np.cross(away, right)
    most = NEARER * clear
    side = min(distance * float(np.tan(TURN)), most)
    return [(right, side, None), (up, side, None), (away, min(NEARER * distance, most), distance)]


def _unflown(points: np.ndarray, around: Around) -> np.ndarray:
    """What takes flight, spreading and jωρ out of a field, (point, piston, frequency)."""
    omega = 2 * np.pi * around.frequency
    way = np.linalg.norm(points[:, None] - around.centres, axis=-1)[..., None]
    wave = np.exp(1j * omega / around.air.speed_of_sound * way)
    answer: np.ndarray = way * wave / (1j * omega * around.air.density)
    return answer
