"""The field of one driver on a face by reciprocity, fast enough for a hand that moves it.

The same sums as in `reverse.Asked.solve`, in one pass over the edges of the face: the shares are
laid out for it, the piston has as few points as a few hundredths of a decibel take, and no error
is estimated. What arrives straight and past one edge is found for receivers anywhere; what passes
more edges only for those that asked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body
from acoustics.cabinet.profile import Profile
from acoustics.field import kernels
from acoustics.field.block import Problem, on_own_face, what_is_near
from acoustics.field.grid import Grid, build_grid
from acoustics.field.piston import Light, Source, direct_sound, rim_points
from acoustics.field.quadrature import gauss_rule
from acoustics.field.reverse import Asked
from acoustics.field.round_face import RoundFace, Views, round_face, side_by_side, views_round

LOOSER = 10.0
"""times as much as the rules leave of a rim close to an edge may be left of one that moves"""

FAR = 10.0
"""radii: a receiver this far away hears a piston as the sum of its points"""


LARGEST = np.iinfo(np.int16).max


class Orders(NamedTuple):
    """The field of one source in one block, in units where a free point gives exp(−jkR)/R.

    Direct sound and first order, and all higher orders, each complex (receiver, frequency).
    """

    first: np.ndarray
    higher: np.ndarray


class Shares(NamedTuple):
    """Shares of a block as short integers times a scale.

    They are read from memory each time, which takes longer than the sums. What rounding leaves is
    90 dB below the largest of a receiver.

    parts: int16 (frequency, receiver, 2, node × side × direction), edge after edge; scale:
    (frequency, receiver). Receivers before `first` are left out.
    """

    parts: np.ndarray
    scale: np.ndarray
    first: int = 0

    @property
    def receivers(self) -> int:
        """How many there are."""
        return self.scale.shape[1] - self.first


@dataclass(frozen=True)
class Lean:
    """What receivers ask of the edges of one face in one block, laid out for one source.

    `shares` are of those that asked together, and, after `beside`, of others that asked of the
    same grid.
    """

    asked: Asked
    around: RoundFace
    shares: tuple[Shares, ...]

    def beside(self, other: Lean) -> Lean | None:
        """What both ask, or None where they ask of different grids."""
        here, there = self.asked, other.asked
        if not (
            here.problem.body == there.problem.body
            and here.edges == there.edges
            and np.array_equal(here.grid.node_z, there.grid.node_z)
            and np.array_equal(here.grid.count, there.grid.count)
            and np.array_equal(here.wavenumber, there.wavenumber)
            and here.resolution == there.resolution
        ):
            return None
        return Lean(here, self.around, self.shares + other.shares)

    def after(self, first: int) -> Lean:
        """Without the receivers before `first`."""
        if all(each.first == first for each in self.shares):
            return self
        return replace(self, shares=tuple(each._replace(first=first) for each in self.shares))


class Listening:
    """Receivers (receiver, 3), m, and how the edges round the faces of bodies see them, found once.

    Of groups side by side, what is found is kept with each, for when another of them changes.
    """

    def __init__(self, receivers: np.ndarray, groups: tuple[Listening, ...] = ()) -> None:
        self.receivers = receivers
        self._groups = groups
        # What a key is told from is kept with it: none takes another's place in memory.
        self._seen: dict[tuple[int, int], tuple[Body, Views]] = {}
        self._after: dict[int, Listening] = {0: self}
        self._beside: tuple[tuple[Listening, ...], Listening] | None = None

    def after(self, first: int) -> Listening:
        """Without the receivers before `first`."""
        if first not in self._after:
            self._after[first] = Listening(self.receivers[first:])
        return self._after[first]

    def beside(self, others: Sequence[Listening]) -> Listening:
        """These and others side by side; the last answer is kept."""
        if not others:
            return self
        groups = (self, *others)
        if self._beside is None or self._beside[0] != groups:
            receivers = np.concatenate([each.receivers for each in groups])
            self._beside = groups, Listening(receivers, groups)
        return self._beside[1]

    def views(self, problem: Problem, face: int) -> Views:
        """As `views_round` has them."""
        body = problem.body
        key = id(body), face
        if key not in self._seen:
            if self._groups:
                each = [group.views(problem, face) for group in self._groups]
                found = side_by_side(each, [len(group.receivers) for group in self._groups])
            else:
                found = views_round(body, problem.edges, face, self.receivers)
            self._seen[key] = body, found
        return self._seen[key][1]


def lean(asked: Asked, face: int) -> Lean:
    """Lay the shares of a block out for one source after the other, in place of what it has."""
    count = asked.problem.receivers.shape[0]
    parts = []
    for own in asked.shares:
        by_frequency = own.reshape(*own.shape[:3], count, -1)
        last = by_frequency.reshape(-1, 2, count, by_frequency.shape[-1])
        parts.append(last.transpose(3, 2, 1, 0))
    whole = np.concatenate(parts, axis=-1)
    scale = np.maximum(np.abs(whole).max(axis=(2, 3)), np.finfo(np.float32).tiny) / LARGEST
    short = np.rint(whole / scale[:, :, None, None]).astype(np.int16, order="C")
    return Lean(replace(asked, shares=()), round_face(asked.grid, face), (Shares(short, scale),))


def without_shares(asked: Asked, face: int) -> Lean:
    """Of receivers that did not ask."""
    shape = asked.wavenumber.size, asked.problem.receivers.shape[0]
    nothing = Shares(np.empty((*shape, 2, 0), dtype=np.int16), np.zeros(shape))
    return Lean(asked, round_face(asked.grid, face), (nothing,))


def orders_of(block: Lean, source: Source, heard: Listening, higher: bool = True) -> Orders:
    """The field of a source on the face, as `Asked.solve` has it.

    Args:
        block: what receivers ask of the face.
        source: on the face.
        heard: receivers of direct sound and first order: those that asked, or others.
        higher: whether the higher orders are wanted, as those that asked hear them; else they are
            left out.
    """
    asked = block.asked
    k, real, count = asked.wavenumber, asked.resolution.real, heard.receivers.shape[0]
    light = few_points(source, float(k[-1]), LOOSER * asked.resolution.tolerance)
    first = np.zeros((count, 2, k.size), dtype=real)
    sent = _sent(block, source, light, heard, first, higher)
    direct = _direct(source, light, heard.receivers, asked.problem.body, k)
    nearest = direct + first[:, 0] + 1j * first[:, 1]
    parts = [np.zeros((shares.receivers, k.size), dtype=complex) for shares in block.shares]
    if higher:
        for shares, part in zip(block.shares, parts, strict=True):
            kernels.weigh_short(sent, shares.parts, shares.scale, shares.first, part)
    return Orders(nearest, np.concatenate(parts))


def few_points(source: Source, wavenumber: float, tolerance: float) -> Light:
    """As `piston.source_points`, as few as its edges hear within a few hundredths of a decibel.

    Rings at Gauss points in the squared radius, whatever the profile.
    """
    ka = wavenumber * source.radius
    reach = 1.0 + source.margin / source.radius
    ellipse = reach + math.sqrt(reach**2 - 1.0)
    close = math.ceil(-0.5 * math.log(tolerance) / math.log(ellipse))
    around = max(math.ceil(ka + 2.0 * ka ** (1 / 3) + 1), close, 6)
    rings = max(math.ceil(ka / 4 + 1.2), math.ceil(close / 6), 2 if source.profile.flat else 4)
    plane, weights, depths = _on_rings(source.profile, source.radius, around, rings)
    return Light(source.centre + plane @ source.across, weights, depths)


@lru_cache(maxsize=256)
def _on_rings(
    profile: Profile, radius: float, around: int, rings: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rule = gauss_rule(rings)
    part = np.sqrt(0.5 * (1.0 + rule.x))
    share = rule.w * np.interp(part, profile.radii, profile.velocity)
    angles = 2.0 * np.pi * (np.arange(around) + 0.5) / around
    circle = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    plane = (radius * part[:, None, None] * circle[None, :, :]).reshape(-1, 2)
    weights = np.repeat(share / share.sum() / around, around)
    return plane, weights, np.repeat(np.interp(part, profile.radii, profile.depth), around)


def _direct(
    source: Source, light: Light, receivers: np.ndarray, body: Body, k: np.ndarray
) -> np.ndarray:
    offset = receivers - source.centre
    above = offset @ source.normal
    far = np.einsum("ri,ri->r", offset, offset) > (FAR * source.radius) ** 2
    if not (far & (above != 0.0)).all():
        return direct_sound(source, receivers, on_own_face(body, source.face, receivers), k)
    sent = np.zeros((receivers.shape[0], 2, k.size))
    kernels.sum_points(*light, receivers, k / np.pi, sent)
    # The face doubles what the points would send without it; see `direct_sound`.
    lit = np.where(above > 0.0, 2.0, 0.0)[:, None]
    answer: np.ndarray = lit * (sent[:, 0] + 1j * sent[:, 1])
    return answer


def _grid(asked: Asked, source: Source) -> Grid:
    """The grid of those that asked, or a finer one where the source's rim is near an edge."""
    grid, edges = asked.grid, asked.problem.edges
    rim = rim_points(source)
    panels = grid.face_panel[grid.face_first[source.face] : grid.face_first[source.face + 1]]
    if kernels.rim_is_plain(
        rim, panels, grid.edge, grid.start, grid.length, grid.count, edges.origin, edges.along,
        edges.wedge, LOOSER * asked.resolution.tolerance,
    ):  # fmt: skip
        return grid
    near = what_is_near(edges, [source], asked.problem.receivers)
    wavelength = 2.0 * np.pi / float(asked.wavenumber[-1])
    looser = replace(asked.resolution, tolerance=LOOSER * asked.resolution.tolerance)
    return build_grid(edges, len(asked.problem.body.faces), near, wavelength, looser)


def _sent(
    block: Lean, source: Source, light: Light, heard: Listening, first: np.ndarray, sending: bool
) -> np.ndarray:
    """Add the first order to `first`; what leaves the edges, (f, 2, node × …), is returned."""
    asked = block.asked
    grid = _grid(asked, source)
    own = grid is asked.grid
    around = block.around if own else round_face(grid, source.face)
    items = 2 * asked.resolution.directions
    sent = np.empty((asked.wavenumber.size, 2, around.nodes * items * sending), dtype=first.dtype)
    kernels.light_face(
        *light, around, grid, heard.views(asked.problem, source.face),
        gauss_rule(asked.resolution.directions).x, asked.wavenumber / np.pi, sending, first, sent,
    )  # fmt: skip
    if own or not sending:
        return sent
    parts, begin = [], 0
    by_node = sent.reshape(*sent.shape[:2], around.nodes, items)
    for edge in asked.edges:
        spread = asked.spread(grid, edge).astype(sent.dtype)
        parts.append(spread.T @ by_node[:, :, begin : begin + spread.shape[0]])
        begin += spread.shape[0]
    return np.concatenate(parts, axis=2).reshape(*sent.shape[:2], -1)
