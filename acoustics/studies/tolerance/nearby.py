"""A field solver that answers near one design from a few fields solved round it.

What is left of a field without the flight from a piston's centre to a receiver, without the density
and the factor jω, changes little and smoothly where a driver, an ear or the air moves a little. It
is expanded in the complex plane, where nulls are no worse than other places: value, slope and half
the curvature for every spread by itself, from central differences. The flight is put back exactly
for each build, because 100 mm of distance is many radians at 20 kHz. Where other air comes together
with a driver or an ear that strays, the mixed slope counts too: air turns what edges send against
the flight by half a radian, and without that levels near nulls were 0.1 dB off.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from acoustics.cabinet import Piston
from acoustics.conventions import Air, RoundoverError
from acoustics.prediction.fields import Solve

DECIMALS = 9
"""Receivers that agree to a nanometre are solved once."""


class Asked(NamedTuple):
    """One call of a field solver: its arguments, `how` those by keyword."""

    body: Any
    pistons: tuple[Piston, ...]
    receivers: np.ndarray
    frequency: np.ndarray
    how: dict[str, Any]

    @property
    def air(self) -> Air:
        """The medium."""
        given: Air = self.how["air"]
        return given

    def where(self) -> tuple[Any, ...]:
        """What all pistons and receivers share."""
        return self.body, self.how, self.frequency.tobytes()


class Recorder:
    """Stands in for the field solver and notes what it is asked."""

    def __init__(self) -> None:
        self.asked: list[Asked] = []

    def __call__(
        self, body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        """As `solve_field`; the answer is 1 everywhere."""
        how.pop("progress", None)
        self.asked.append(Asked(body, tuple(pistons), receivers, frequency, how))
        return _field(np.ones((len(pistons), frequency.size, len(receivers)), dtype=complex))


@dataclass(frozen=True)
class Piece:
    """The field of one piston at some receivers, expanded in the same spreads.

    coefficients: single precision, shape (1 + 2·spread + together, frequency, receiver): value,
    then slope and half the curvature of each of the `spreads`, then the mixed slope of each two of
    them that are `together`, by their places among the spreads.
    """

    piston: int
    receivers: np.ndarray
    spreads: tuple[int, ...]
    together: tuple[tuple[int, int], ...]
    coefficients: np.ndarray

    def terms(self, draws: np.ndarray) -> np.ndarray:
        """What the coefficients are multiplied by for standardised draws of all spreads."""
        t = draws[list(self.spreads)]
        mixed = [t[one] * t[other] for one, other in self.together]
        terms = np.concatenate([[1.0], np.stack([t, t**2], axis=1).ravel(), mixed])
        return terms.astype(np.float32)


@dataclass(frozen=True)
class Expansion:
    """One call of the field solver near a design; `shape` is (piston, frequency, receiver)."""

    shape: tuple[int, ...]
    pieces: tuple[Piece, ...]

    def at(self, asked: Asked, draws: np.ndarray) -> np.ndarray:
        """The field of a build with standardised draws of all spreads, as `solve_field` has it."""
        answer = np.empty(self.shape, dtype=complex)
        away = _away(asked.pistons, asked.receivers)
        omega = 2 * np.pi * asked.frequency
        turns = asked.frequency / asked.air.speed_of_sound
        for piece in self.pieces:
            terms = piece.terms(draws)
            flat = piece.coefficients.view(np.float32).reshape(terms.size, -1)
            still = (terms @ flat).view(np.complex64).reshape(piece.coefficients.shape[1:])
            way = away[piece.piston, piece.receivers]
            late = turns[:, None] * way
            # Whole turns come off in double precision; what is left single precision holds.
            late = (2 * np.pi * (np.rint(late) - late)).astype(np.float32)
            wave = np.empty(late.shape, dtype=np.complex64)
            np.cos(late, out=wave.real)
            np.sin(late, out=wave.imag)
            wave /= way.astype(np.float32)
            # In place: large arrays that come and go cost more than what is reckoned with them.
            still *= wave
            answer[piece.piston][:, _run(piece.receivers)] = still
        answer *= (1j * omega * asked.air.density)[:, None]
        return answer


@dataclass(frozen=True)
class Nearby:
    """All calls that a prediction makes, in their order."""

    expansions: tuple[Expansion, ...]

    def solver(self, draws: np.ndarray, exact: Solve) -> Solve:
        """A solver for one build, which must be asked in the order of a prediction.

        Args:
            draws: standardised, of all spreads, shape (spread,).
            exact: what solves a call of another shape than the design's.
        """
        left = list(self.expansions)

        def solve(
            body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
        ) -> xr.DataArray:
            found = left.pop(0) if left else None
            if found is None or found.shape != (len(pistons), frequency.size, len(receivers)):
                return exact(body, pistons, receivers, frequency, **how)
            asked = Asked(body, tuple(pistons), receivers, frequency, how)
            return _field(found.at(asked, draws))

        return solve


def nearby(
    design: Sequence[Asked],
    shifted: Mapping[int, tuple[float, Sequence[Asked], Sequence[Asked]]],
    names: Sequence[str],
    solve: Solve,
    done: Callable[[], None] = lambda: None,
) -> Nearby:
    """Solve what is needed to expand every call about the design.

    The field of a piston at a receiver rests on a spread only where body, air, that piston or that
    receiver differ. So pistons that move are solved all together, beside each other in one call,
    receivers that move are heard in the call of the design, and only what moves body or air is
    solved by itself.

    Args:
        design: the calls of the design, in their order.
        shifted: number of a spread → its step in standardised draws, and the calls where it strays
            by the step up and down.
        names: what the spreads are called.
        solve: the field solver.
        done: called after each call's fields are there.

    Raises:
        RoundoverError: a spread that changes how many pistons or receivers there are.
    """
    expansions = []
    for number, asked in enumerate(design):
        sides = dict[int, tuple[float, Asked, Asked]]()
        for spread, (step, *both) in shifted.items():
            pair = [each[number] if number < len(each) else None for each in both]
            for one in pair:
                if (
                    one is None
                    or len(one.pistons) != len(asked.pistons)
                    or one.receivers.shape != asked.receivers.shape
                    or one.frequency.shape != asked.frequency.shape
                ):
                    raise RoundoverError(
                        f"'{names[spread]}' changes how many pistons or receivers there are, so "
                        "what lies between cannot be told from its ends; leave it out of "
                        "[tolerance] or state a smaller spread"
                    )
            up, down = (one for one in pair if one is not None)
            sides[spread] = (step, up, down)
        expansions.append(_expanded(asked, sides, solve))
        done()
    return Nearby(tuple(expansions))


class _Solves:
    """Fields of pistons at receivers, gathered so that those in one place are solved together."""

    def __init__(self, solve: Solve) -> None:
        self._solve = solve
        self._asked: list[tuple[Asked, list[Piston], list[np.ndarray]]] = []
        self._keys: list[tuple[Any, ...]] = []
        self._found: list[tuple[dict[Piston, int], dict[bytes, int], np.ndarray]] = []

    def want(self, job: str, asked: Asked, pistons: Sequence[Piston], points: np.ndarray) -> int:
        """Ask for a field; the answer is the number of the call in which it will be solved."""
        key = (job, *asked.where())
        if key not in self._keys:
            self._keys.append(key)
            self._asked.append((asked, [], []))
        _, there, places = self._asked[self._keys.index(key)]
        there += [piston for piston in pistons if piston not in there]
        places.append(points)
        return self._keys.index(key)

    def solve(self) -> None:
        """Solve all that was asked for."""
        for asked, pistons, places in self._asked:
            points = np.unique(_rounded(np.concatenate(places)), axis=0)
            solved = self._solve(asked.body, pistons, points, asked.frequency, **asked.how)
            field = solved.transpose("piston", "frequency", "receiver").values
            rows = {point.tobytes(): row for row, point in enumerate(points)}
            self._found.append(({each: n for n, each in enumerate(pistons)}, rows, field))

    def still(self, call: int, asked: Asked, piston: Piston, points: np.ndarray) -> np.ndarray:
        """A field without flight, density and jω, complex, shape (frequency, receiver)."""
        pistons, rows, field = self._found[call]
        where = [rows[point.tobytes()] for point in _rounded(points)]
        way = _away((piston,), points)[0]
        omega = 2 * np.pi * asked.frequency[:, None]
        back = np.exp(1j * omega / asked.air.speed_of_sound * way) * way
        answer: np.ndarray = field[pistons[piston]][:, where]
        return answer * back / (1j * omega * asked.air.density)


class _Side(NamedTuple):
    """A call where one spread has strayed: which pistons and receivers differ, or all of them."""

    asked: Asked
    everything: bool
    pistons: np.ndarray
    receivers: np.ndarray
    calls: dict[str, int]


def _expanded(
    asked: Asked, sides: dict[int, tuple[float, Asked, Asked]], solve: Solve
) -> Expansion:
    """Expand one call about the design."""
    solves = _Solves(solve)
    base = solves.want("design", asked, asked.pistons, asked.receivers)
    found = {
        spread: (step, [_side(asked, one, solves, base) for one in both])
        for spread, (step, *both) in sides.items()
    }
    corners = _corners(asked, {spread: both for spread, (_, both) in found.items()}, solves)
    solves.solve()
    pieces = []
    count = len(asked.receivers)
    for number, piston in enumerate(asked.pistons):
        rests = np.zeros((len(found), count), dtype=bool)
        for row, (_, both) in enumerate(found.values()):
            for side in both:
                rests[row] |= side.receivers | side.everything | side.pistons[number]
        kinds, kind_of = np.unique(rests, axis=1, return_inverse=True)
        for kind in range(kinds.shape[1]):
            heard = np.flatnonzero(kind_of.reshape(-1) == kind)
            spreads = tuple(s for s, on in zip(found, kinds[:, kind], strict=True) if on)
            middle = solves.still(base, asked, piston, asked.receivers[heard])
            terms, together = [middle], []
            for spread in spreads:
                step, both = found[spread]
                up, down = (_strayed(solves, side, number, heard) for side in both)
                terms += [(up - down) / (2 * step), (up + down - 2 * middle) / (2 * step**2)]
            for (one, other), ends in corners.items():
                if one in spreads and other in spreads:
                    places = spreads.index(one), spreads.index(other)
                    both_stray = sum(
                        solves.still(call, end, end.pistons[number], end.receivers[heard])
                        for call, end in ends
                    )
                    steps = found[one][0], found[other][0]
                    alone = sum(
                        terms[2 + 2 * place] * step**2
                        for place, step in zip(places, steps, strict=True)
                    )
                    together.append(places)
                    terms.append((both_stray / 2 - middle - alone) / (steps[0] * steps[1]))
            stacked = np.stack(terms).astype(np.complex64)
            pieces.append(Piece(number, heard, spreads, tuple(together), stacked))
    return Expansion((len(asked.pistons), asked.frequency.size, count), tuple(pieces))


def _corners(
    asked: Asked, sides: dict[int, list[_Side]], solves: _Solves
) -> dict[tuple[int, int], list[tuple[int, Asked]]]:
    """Ask for calls where air and another spread have strayed together, both up or both down."""
    airs = [
        spread
        for spread, both in sides.items()
        if all(side.everything and side.asked.body == asked.body for side in both)
    ]
    return {
        (air, spread): [
            (solves.want("design", end, end.pistons, end.receivers), end)
            for there, side in zip(sides[air], both, strict=True)
            for end in [side.asked._replace(how=there.asked.how)]
        ]
        for air in airs
        for spread, both in sides.items()
        if not any(side.everything for side in both)
    }


def _side(asked: Asked, other: Asked, solves: _Solves, base: int) -> _Side:
    """Find what differs of a call, and ask for it."""
    everything = other.where() != asked.where()
    pistons = np.array([a != b for a, b in zip(asked.pistons, other.pistons, strict=True)])
    receivers = np.any(_rounded(asked.receivers) != _rounded(other.receivers), axis=1)
    calls = {"still": base}
    if everything:
        calls["moved"] = calls["still"] = solves.want(
            "design", other, other.pistons, other.receivers
        )
    else:
        strayed = [piston for piston, on in zip(other.pistons, pistons, strict=True) if on]
        if strayed:
            calls["moved"] = solves.want("moved", other, strayed, other.receivers)
        if receivers.any():
            rest = [piston for piston in other.pistons if piston not in strayed]
            solves.want("design", other, rest, other.receivers[receivers])
    return _Side(other, everything, pistons, receivers, calls)


def _strayed(solves: _Solves, side: _Side, piston: int, heard: np.ndarray) -> np.ndarray:
    """What `_Solves.still` has of a call that strayed, at some of its receivers."""
    call = side.calls["moved" if side.pistons[piston] or side.everything else "still"]
    return solves.still(call, side.asked, side.asked.pistons[piston], side.asked.receivers[heard])


def _away(pistons: Sequence[Piston], receivers: np.ndarray) -> np.ndarray:
    """Way from each piston to each receiver, m, (piston, receiver).

    To the rim rather than the centre, so that it is not 0 on the piston itself.
    """
    centres = np.array([piston.centre for piston in pistons])
    radii = np.array([piston.radius for piston in pistons])
    apart = np.linalg.norm(receivers[None] - centres[:, None], axis=-1)
    return np.hypot(apart, radii[:, None])


def _run(numbers: np.ndarray) -> slice | np.ndarray:
    """Ascending numbers as a slice where they follow each other, which is quicker."""
    first, last = int(numbers[0]), int(numbers[-1])
    return slice(first, last + 1) if last - first + 1 == numbers.size else numbers


def _rounded(points: np.ndarray) -> np.ndarray:
    return np.round(points, DECIMALS) + 0.0


def _field(values: np.ndarray) -> xr.DataArray:
    return xr.DataArray(values, dims=("piston", "frequency", "receiver"))
