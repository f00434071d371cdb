"""One driver on a face that receivers have asked, as fast as it goes: for a hand that moves it.

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
from numpy.typing import DTypeLike

from acoustics.cabinet import Body
from acoustics.cabinet.profile import Profile
from acoustics.field import kernels
from acoustics.field.block import on_own_face, what_is_near
from acoustics.field.grid import Grid, build_grid, feet_on_edge
from acoustics.field.legs import leg_factor, panel_weights
from acoustics.field.piston import Light, Source, direct_sound, rim_points
from acoustics.field.quadrature import gauss_rule
from acoustics.field.reverse import Asked
from acoustics.field.views import View, view_from_edge

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
    (frequency, receiver).
    """

    parts: np.ndarray
    scale: np.ndarray


@dataclass(frozen=True)
class Lean:
    """What receivers ask of the edges of one face in one block, laid out for one source.

    `shares` are of those that asked together, and, after `beside`, of others that asked of the
    same grid.
    """

    asked: Asked
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
        return Lean(here, self.shares + other.shares)


class Listening:
    """Receivers (receiver, 3), m, and how edges of a body see and hear them, found once.

    Of groups side by side, what is found is kept with each, for when another of them changes.
    """

    def __init__(self, receivers: np.ndarray, groups: tuple[Listening, ...] = ()) -> None:
        self.receivers = receivers
        self._groups = groups
        # What a key is told from is kept with it: none takes another's place in memory.
        self._seen: dict[tuple[int, int, int], tuple[Body, View]] = {}
        self._on: dict[tuple[int, int], tuple[Body, np.ndarray]] = {}
        self._waves: dict[tuple[int, int, int], tuple[Grid, np.ndarray]] = {}

    @classmethod
    def beside(cls, groups: Sequence[Listening]) -> Listening:
        """Groups side by side; of one, itself."""
        if len(groups) == 1:
            return groups[0]
        return cls(np.concatenate([each.receivers for each in groups]), tuple(groups))

    def view(self, asked: Asked, edge: int, side: int) -> View:
        """As `view_from_edge` has it."""
        body = asked.problem.body
        key = id(body), edge, side
        if key not in self._seen:
            if self._groups:
                view = self._joined([each.view(asked, edge, side) for each in self._groups])
            else:
                view = view_from_edge(body, asked.problem.edges, edge, side, self.receivers)
            self._seen[key] = body, view
        return self._seen[key][1]

    def _joined(self, views: Sequence[View]) -> View:
        joined = View(*(np.concatenate(each) for each in zip(*views, strict=True)))
        counts = [len(each.receivers) for each in self._groups]
        firsts = np.cumsum([0, *counts[:-1]])
        shift = np.repeat(firsts, [view.index.size for view in views])
        return joined._replace(index=joined.index + shift)

    def on_face(self, asked: Asked, face: int) -> np.ndarray:
        """As `on_own_face` has it."""
        body = asked.problem.body
        key = id(body), face
        if key not in self._on:
            self._on[key] = body, on_own_face(body, face, self.receivers)
        return self._on[key][1]

    def waves(self, asked: Asked, grid: Grid, panel: int, side: int, real: DTypeLike) -> np.ndarray:
        """As `kernels.hearing` fills it; kept on the grid of those that asked."""
        key = id(asked.grid), panel, side
        if grid is asked.grid and key in self._waves:
            return self._waves[key][1]
        if self._groups:
            each = [group.waves(asked, grid, panel, side, real) for group in self._groups]
            found = np.concatenate(each, axis=1)
        else:
            view = self.view(asked, int(grid.edge[panel]), side)
            nodes = slice(int(grid.first[panel]), int(grid.first[panel] + grid.count[panel]))
            z, half_turns = grid.node_z[nodes], asked.wavenumber / np.pi
            found = np.empty((z.size, view.z.size, 2, half_turns.size), dtype=real)
            factor = leg_factor(grid, int(grid.edge[panel]), view)
            kernels.hearing(z, view.z, view.rho, factor, half_turns, found)
        if grid is asked.grid:
            self._waves[key] = grid, found
        return found


def lean(asked: Asked) -> Lean:
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
    return Lean(replace(asked, shares=()), (Shares(short, scale),))


def no_shares(asked: Asked) -> Shares:
    """Of receivers that did not ask."""
    shape = asked.wavenumber.size, asked.problem.receivers.shape[0]
    return Shares(np.empty((*shape, 2, 0), dtype=np.int16), np.zeros(shape))


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
    light = few_points(source, float(k[-1]), asked.resolution.tolerance)
    grid = _grid(asked, source)
    first = np.zeros((count, 2, k.size), dtype=real)
    sent = _sent(asked, grid, source.face, light, heard, first, higher)
    direct = _direct(source, light, heard.receivers, heard.on_face(asked, source.face), k)
    nearest = direct + first[:, 0] + 1j * first[:, 1]
    if not higher:
        asking = sum(shares.scale.shape[1] for shares in block.shares)
        return Orders(nearest, np.zeros((asking, k.size), complex))
    apart = np.stack([sent.real, sent.imag], axis=1)
    parts = [np.empty(shares.scale.shape[::-1], dtype=complex) for shares in block.shares]
    for shares, part in zip(block.shares, parts, strict=True):
        kernels.weigh_short(apart, shares.parts, shares.scale, part)
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
    source: Source, light: Light, receivers: np.ndarray, on_face: np.ndarray, k: np.ndarray
) -> np.ndarray:
    offset = receivers - source.centre
    far = np.linalg.norm(offset, axis=1) > FAR * source.radius
    if not (far & (np.abs(offset @ source.normal) > 0.0)).all():
        return direct_sound(source, receivers, on_face, k)
    sent = np.zeros((receivers.shape[0], 2, k.size))
    kernels.sum_points(*light, receivers, k / np.pi, sent)
    # The face doubles what the points would send without it; see `direct_sound`.
    lit = (offset @ source.normal > 0.0)[:, None]
    return np.where(lit, 2.0 * (sent[:, 0] + 1j * sent[:, 1]), 0.0)


def _grid(asked: Asked, source: Source) -> Grid:
    """The grid of those that asked, or a finer one where the source's rim is near an edge."""
    grid, edges = asked.grid, asked.problem.edges
    rim = rim_points(source)
    panels = grid.face_panel[grid.face_first[source.face] : grid.face_first[source.face + 1]]
    if kernels.rim_is_plain(
        rim, panels, grid.edge, grid.start, grid.length, grid.count, edges.origin, edges.along,
        edges.wedge, asked.resolution.tolerance,
    ):  # fmt: skip
        return grid
    near = what_is_near(edges, [source], asked.problem.receivers)
    wavelength = 2.0 * np.pi / float(asked.wavenumber[-1])
    return build_grid(edges, len(asked.problem.body.faces), near, wavelength, asked.resolution)


def _sent(
    asked: Asked,
    grid: Grid,
    face: int,
    light: Light,
    heard: Listening,
    first: np.ndarray,
    sending: bool,
) -> np.ndarray:
    """Add the first order to `first`; what leaves the edges, (frequency, node × …), is returned."""
    panels: dict[int, list[tuple[int, int]]] = {edge: [] for edge in asked.edges}
    for panel, side in grid.panels_of_face(face):
        panels[int(grid.edge[panel])].append((panel, side))
    parts = []
    for edge, own in panels.items():
        nodes = grid.nodes_of_edge(edge)
        count = asked.wavenumber.size if sending else 0
        shape = count, nodes.stop - nodes.start, 2 * asked.resolution.directions
        sent = np.zeros(shape, dtype=np.complex64)
        for panel, side in own:
            start = int(grid.first[panel]) - nodes.start
            part = sent[:, start : start + int(grid.count[panel])]
            _light_panel(asked, grid, panel, light, side, heard, first, part)
        if sending and grid is not asked.grid:
            sent = asked.spread(grid, edge).T.astype(sent.dtype) @ sent
        parts.append(sent.reshape(count, sent.shape[1] * sent.shape[2]))
    return np.ascontiguousarray(np.concatenate(parts, axis=1), dtype=np.complex64)


def _light_panel(
    asked: Asked,
    grid: Grid,
    panel: int,
    light: Light,
    side: int,
    heard: Listening,
    first: np.ndarray,
    sent: np.ndarray,
) -> None:
    edge, edges, real = int(grid.edge[panel]), grid.edges, first.dtype
    view, half_turns = heard.view(asked, edge, side), asked.wavenumber / np.pi
    foot, rho = feet_on_edge(edges, edge, light.points)
    nodes = slice(int(grid.first[panel]), int(grid.first[panel] + grid.count[panel]))
    z = grid.node_z[nodes]
    legs = np.empty((z.size, view.z.size, foot.size), dtype=real)
    panel_weights(grid, panel, foot, rho, view, legs)
    hearing = heard.waves(asked, grid, panel, side, real)
    kernels.send_once(
        foot, rho, light.weights, light.depths, z, grid.node_weight[nodes], edges.nu[edge], side,
        gauss_rule(asked.resolution.directions).x, legs, hearing, view.index, half_turns,
        sent.size > 0, first, sent,
    )  # fmt: skip
    rule = gauss_rule(z.size)
    kernels.boundary_waves(
        foot, rho, grid.start[panel], grid.length[panel], rule.x, rule.w, edges.wedge[edge],
        view.z, view.rho, view.theta, view.share, light.weights, light.depths, half_turns,
        view.index, first,
    )  # fmt: skip
