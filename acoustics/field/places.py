"""The field of one piston at many places of a rectangular face, from a lattice of points on it.

What a body makes of a point source is a smooth function of where on a face the point is: analytic
but on the face's edges, and no finer than the wave. So it is found, for every receiver, at the
nodes of a lattice of Gauss points on the rectangle over which the piston moves, and carried to the
piston's points, at all its places together, by products of matrices.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import Piston, edge_distances
from acoustics.cabinet.piston import LEAST_MARGIN
from acoustics.cabinet.place import FaceFrame
from acoustics.conventions import GeometryError
from acoustics.field import kernels
from acoustics.field.between import between_nodes
from acoustics.field.blas import one_blas_thread
from acoustics.field.block import on_own_face, what_is_near
from acoustics.field.face import FaceField
from acoustics.field.grid import Grid, build_grid, edges_round, feet_on_edge
from acoustics.field.legs import leg_factor, panel_weights
from acoustics.field.piston import Source, direct_sound, place_source, source_points
from acoustics.field.plan import Progress
from acoustics.field.quadrature import gauss_rule
from acoustics.field.reverse import Asked
from acoustics.field.views import view_from_edge

CHUNK = 16
"""frequencies taken together"""

POINTS = 64
"""points of a lattice taken together: what they make of a node fits the cache"""

LEFT = 1e-4
"""what a lattice may leave of a wave"""

FAR = 0.5
"""of the rectangle's longer side: from all of it, a receiver this high above the face hears a
smooth direct sound"""

ALIGNED = 1e-9
"""sine: edges that are turned by less lie along the axes of the face"""

DECIMALS = 12
"""points of a piston that agree to a picometre lie in one line"""


@dataclass(frozen=True)
class Lattice:
    """Points on a face, and what receivers hear of each alone at some frequencies of a block."""

    block: int
    part: slice
    """of the frequencies at which the block is solved"""
    right: np.ndarray
    """m from the centre of the face's frame, (right,)"""
    up: np.ndarray
    values: np.ndarray
    """complex (up, right, receiver, frequency of the part)"""


@dataclass(frozen=True)
class Places:
    """The field of one piston at all places of a grid on a face; `rows` gives it."""

    heard: FaceField
    piston: Piston
    frame: FaceFrame
    right: np.ndarray
    """m from the frame's centre, ascending"""
    up: np.ndarray
    lattices: tuple[Lattice, ...]
    close: np.ndarray
    """(receiver,): those whose direct sound is no part of the lattices"""

    def rows(self, which: slice) -> np.ndarray:
        """The field at some rows of the grid.

        Args:
            which: of the values of `up`.

        Returns:
            Pa per m³/s, complex64, shape (up, right, receiver, frequency), frequencies as asked.
        """
        plan, up = self.heard.plan, self.up[which]
        shape = (up.size, self.right.size, len(plan.receivers), plan.frequency.size)
        found = np.empty(shape, dtype=np.complex64)
        for number, block in enumerate(plan.blocks):
            nodes = self.heard.asked[number].wavenumber
            solved = np.empty((*shape[:3], nodes.size), dtype=np.complex64)
            for lattice in self.lattices:
                if lattice.block == number:
                    solved[..., lattice.part] = self._part(lattice, up)
            found[..., plan.order[block]] = self._filled_in(solved, number, up)
        found *= (0.5j * plan.frequency * plan.air.density).astype(np.complex64)
        return found

    def _filled_in(self, solved: np.ndarray, number: int, up: np.ndarray) -> np.ndarray:
        """All frequencies of a block from those at which it was solved; see `between`."""
        nodes, wavenumber = self.heard.asked[number].wavenumber, self.heard.plan.waves(number)
        if nodes.size == wavenumber.size:
            return solved
        centres = self.frame.points(*np.meshgrid(self.right, up))
        away = np.linalg.norm(self.heard.plan.receivers - centres[:, :, None], axis=-1)
        return between_nodes(solved, nodes, wavenumber, away)

    def _part(self, lattice: Lattice, up: np.ndarray) -> np.ndarray:
        """Complex (up, right, receiver, frequency), a free point source giving exp(−jkR)/R."""
        asked = self.heard.asked[lattice.block]
        wavenumber = asked.wavenumber[lattice.part]
        source = _source(asked, self.heard.face, self.piston, self.piston.centre)
        light = source_points(source, float(asked.wavenumber[-1]), asked.resolution.tolerance)
        away = np.round((light.points - source.centre) @ np.transpose(self.frame[1:3]), DECIMALS)
        # The rule may as well be turned: points in one line across share a product.
        lines = [np.unique(line).size for line in away.T]
        right, upward = away.T if lines[1] <= lines[0] else away[:, ::-1].T
        shape = (up.size, self.right.size, *lattice.values.shape[2:])
        total = np.zeros(shape, dtype=lattice.values.dtype)
        for depth in np.unique(light.depths):
            ring = light.depths == depth
            mean = _mean(
                lattice.values,
                (lattice.up, up, upward[ring]),
                (lattice.right, self.right, right[ring]),
                light.weights[ring],
            )
            total += mean * np.exp(-1j * wavenumber * depth).astype(mean.dtype) if depth else mean
        for receiver in map(int, np.flatnonzero(self.close)):
            total[:, :, receiver] += self._direct(asked, wavenumber, up, receiver)
        return total

    def _direct(
        self, asked: Asked, wavenumber: np.ndarray, up: np.ndarray, receiver: int
    ) -> np.ndarray:
        """Direct sound at a receiver, complex (up, right, frequency), place by place."""
        body, at = asked.problem.body, asked.problem.receivers[receiver : receiver + 1]
        own = on_own_face(body, self.heard.face, at)
        answer = np.empty((up.size, self.right.size, wavenumber.size), dtype=complex)
        for j, i in np.ndindex(up.size, self.right.size):
            centre = self.frame.point(float(self.right[i]), float(up[j]))
            source = _source(asked, self.heard.face, self.piston, centre)
            answer[j, i] = direct_sound(source, at, own, wavenumber)[0]
        return answer


@dataclass(frozen=True)
class OneByOne:
    """The same for a face of any shape, each place solved by itself: much slower."""

    heard: FaceField
    piston: Piston
    frame: FaceFrame
    right: np.ndarray
    """m from the frame's centre"""
    up: np.ndarray
    there: np.ndarray
    """(up, right): where the piston fits"""

    def rows(self, which: slice) -> np.ndarray:
        """As `Places.rows`; NaN where the piston does not fit."""
        plan, there = self.heard.plan, self.there[which]
        shape = (*there.shape, len(plan.receivers), plan.frequency.size)
        found = np.full(shape, np.nan, dtype=np.complex64)
        pistons = [
            replace(
                self.piston,
                centre=self.frame.point(float(self.right[i]), float(self.up[which][j])),
                face=self.heard.face,
            )
            for j, i in np.argwhere(there)
        ]
        if pistons:
            found[there] = self.heard.field(pistons).values.swapaxes(1, 2)
        return found


def field_at_places(
    heard: FaceField,
    piston: Piston,
    frame: FaceFrame,
    right: np.ndarray,
    up: np.ndarray,
    progress: Progress | None = None,
) -> Places:
    """Prepare the field of a piston at every place of a grid on a rectangular face.

    The same numbers as `heard.field` gives for each place, within its accuracy; the work depends
    on the rectangle and the wavelength, hardly on how many places there are.

    Args:
        heard: of the face, as `face_field` gives it.
        piston: what is moved, at any place.
        frame: coordinates in the face, along its edges; they may be those of a plate's other side.
        right: places of the centre to the right of the frame's, m, ascending, shape (right,).
        up: likewise up, shape (up,).
        progress: called from time to time with (parts done, all parts).

    Returns:
        The field, to be asked for in rows: of ten thousand places it may not fit the memory.

    Raises:
        GeometryError: a face that is no rectangle along the frame's axes, or a piston that leaves
            it at one of the places.
    """
    outward = heard.asked[0].problem.body.normals[heard.face]
    height = (heard.plan.receivers - frame.point(right[0], up[0])) @ outward
    longer = max(float(np.ptp(line)) for line in (right, up)) + 2.0 * piston.radius
    far = height >= FAR * longer
    piston = replace(piston, centre=frame.point(right[0], up[0]), face=heard.face)
    lit = [_lit(asked, heard.face, piston, frame, right, up) for asked in heard.asked]
    tasks = [
        (number, slice(start, start + CHUNK))
        for number, asked in reversed(list(enumerate(heard.asked)))
        for start in range(0, asked.wavenumber.size, CHUNK)
    ]

    def lattice(task: tuple[int, slice]) -> Lattice:
        number, part = task
        points = lit[number]
        found = _points_field(heard.asked[number], heard.face, points, far, part)
        pressure = found[:, :, 0] + 1j * found[:, :, 1]
        shape = (points.up.size, points.right.size, *pressure.shape[1:])
        return Lattice(number, part, points.right, points.up, pressure.reshape(shape))

    found = []
    with one_blas_thread(), ThreadPoolExecutor(heard.plan.workers) as pool:
        for one in pool.map(lattice, tasks):
            found.append(one)
            if progress is not None:
                progress(len(found), len(tasks))
    return Places(heard, piston, frame, right, up, tuple(found), ~far & (height >= 0.0))


def _mean(
    values: np.ndarray,
    first: tuple[np.ndarray, np.ndarray, np.ndarray],
    second: tuple[np.ndarray, np.ndarray, np.ndarray],
    weights: np.ndarray,
) -> np.ndarray:
    """Weighted sums over the points of a piston, at every place: complex (first, second, …).

    Args:
        values: complex, at the nodes of a lattice, (first, second, …).
        first: along one axis the lattice's nodes, the places, and the points from there, m.
        second: likewise along the other.
        weights: of the points.
    """
    (nodes, places, off), (other_nodes, other_places, other_off) = first, second
    lines = np.unique(off)
    real = values.real.dtype
    along = np.stack([carried(nodes, places + line) for line in lines], axis=1).astype(real)
    across = np.stack(
        [
            sum(
                weights[n] * carried(other_nodes, other_places + other_off[n])
                for n in np.flatnonzero(off == line)
            )
            for line in lines
        ],
        axis=1,
    ).astype(real)
    flat = values.view(real).reshape(nodes.size, -1)
    lit = along.reshape(-1, nodes.size) @ flat
    lit = lit.reshape(places.size, lines.size * other_nodes.size, -1)
    found: np.ndarray = across.reshape(other_places.size, -1) @ lit
    return found.view(values.dtype).reshape(places.size, other_places.size, *values.shape[2:])


def field_over_face(
    heard: FaceField,
    piston: Piston,
    frame: FaceFrame,
    right: np.ndarray,
    up: np.ndarray,
    there: np.ndarray,
    progress: Progress | None = None,
) -> Places | OneByOne:
    """The field of a piston at the places of a grid: by a lattice where the face is a rectangle.

    Args:
        heard: as in `field_at_places`.
        piston: likewise.
        frame: likewise.
        right: likewise.
        up: likewise.
        there: (up, right), where the piston fits: on a rectangle, everywhere.
        progress: likewise.
    """
    if all(is_rectangle(asked, heard.face, frame) for asked in heard.asked):
        return field_at_places(heard, piston, frame, right, up, progress)
    return OneByOne(heard, piston, frame, right, up, there)


def is_rectangle(asked: Asked, face: int, frame: FaceFrame) -> bool:
    """Whether a face is a rectangle along the axes of its frame."""
    edges = asked.problem.edges
    along = edges.along[list(edges_round(edges, face))]
    sides = np.abs(along @ np.transpose(frame[1:3]))
    return along.shape[0] == 4 and bool((sides.min(axis=1) < ALIGNED).all())


def carried(nodes: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Interpolation from Gauss points over an interval to places in it, (place, node)."""
    rule = gauss_rule(nodes.size)
    half = (nodes[-1] - nodes[0]) / (rule.x[-1] - rule.x[0])
    out = np.empty((places.size, nodes.size))
    x = (places - 0.5 * (nodes[0] + nodes[-1])) / half
    kernels.interpolation(x, rule.x, rule.bary, out)
    return out


def nodes_between(low: float, high: float, wavenumber: float, room: float) -> np.ndarray:
    """Gauss points from `low` to `high` that carry a wave, m.

    A function bounded by exp(k·|Im x|) on the ellipse ϱ is left to exp(½kL·½(ϱ−1/ϱ))·ϱ^−n by n
    points; the ellipse may reach to what lies `room` beyond the ends, the edges (Trefethen,
    Approximation Theory and Approximation Practice, 2013, th. 8.2).
    """
    half = 0.5 * (high - low)
    end = 1.0 + room / half
    widest = end + math.sqrt(end * end - 1.0)
    ellipse = 1.0 + (min(widest, 6.0) - 1.0) * np.linspace(0.02, 1.0, 50)
    grown = -math.log(LEFT) + 0.5 * wavenumber * half * (ellipse - 1.0 / ellipse)
    count = math.ceil(float((grown / np.log(ellipse)).min()))
    return 0.5 * (low + high) + half * gauss_rule(count).x


def _source(asked: Asked, face: int, piston: Piston, centre: tuple[float, float, float]) -> Source:
    return place_source(asked.problem.body, replace(piston, centre=centre, face=face))


@dataclass(frozen=True)
class _Band:
    """Points of a lattice about as far from an edge, and a grid whose panels there resolve them."""

    edge: int
    points: np.ndarray
    """which"""
    foot: np.ndarray
    rho: np.ndarray
    grid: Grid


@dataclass(frozen=True)
class _Lit:
    """The points of a lattice, and how the edges of their face are lit from them."""

    right: np.ndarray
    up: np.ndarray
    points: np.ndarray
    """(up × right, 3), m"""
    bands: tuple[_Band, ...]


def _lit(
    asked: Asked, face: int, piston: Piston, frame: FaceFrame, right: np.ndarray, up: np.ndarray
) -> _Lit:
    """The lattice for one block."""
    if not is_rectangle(asked, face, frame):
        raise GeometryError("the face is no rectangle along the axes of its frame")
    body, top = asked.problem.body, float(asked.wavenumber[-1])
    corners = frame.points(*np.meshgrid(right[[0, -1]], up[[0, -1]]))
    room = float(edge_distances(body, face, corners).min()) - piston.radius
    if room < LEAST_MARGIN:
        raise GeometryError(
            f"the piston of radius {piston.radius} m touches or crosses an edge of its face at one "
            f"of the places (margin {room * 1e3:.2f} mm); leave it out"
        )
    nodes = [
        nodes_between(line[0] - piston.radius, line[-1] + piston.radius, top, room)
        for line in (right, up)
    ]
    upward, across = np.meshgrid(nodes[1], nodes[0], indexing="ij")
    points = frame.points(across.ravel(), upward.ravel())
    return _Lit(nodes[0], nodes[1], points, tuple(_bands(asked, points)))


def _bands(asked: Asked, points: np.ndarray) -> Iterator[_Band]:
    """Grids that resolve every point from every edge, as coarse as the point is far from it."""
    problem, wavelength = asked.problem, 2.0 * np.pi / float(asked.wavenumber[-1])
    near = what_is_near(problem.edges, [], problem.receivers)
    for edge in asked.edges:
        foot, rho = feet_on_edge(problem.edges, edge, points)
        ring = np.floor(np.log2(rho / rho.min()))
        for each in np.unique(ring):
            which = np.flatnonzero(ring == each)
            about = list(near)
            about[edge] = (
                np.append(near[edge][0], foot[which]),
                np.append(near[edge][1], rho[which]),
            )
            faces = len(problem.body.faces)
            grid = build_grid(problem.edges, faces, about, wavelength, asked.resolution)
            yield _Band(edge, which, foot[which], rho[which], grid)


def _points_field(asked: Asked, face: int, lit: _Lit, far: np.ndarray, part: slice) -> np.ndarray:
    """What receivers hear of each point alone, (point, receiver, 2, frequency of the part)."""
    wavenumber, real = asked.wavenumber[part], asked.resolution.real
    receivers = asked.problem.receivers
    shape = (lit.points.shape[0], receivers.shape[0], 2, wavenumber.size)
    found = np.zeros(shape, dtype=real)
    for receiver in np.flatnonzero(far):
        way = np.linalg.norm(lit.points - receivers[receiver], axis=1)[:, None]
        direct = 2.0 * np.exp(-1j * wavenumber * way) / way
        found[:, receiver, 0], found[:, receiver, 1] = direct.real, direct.imag
    for band in lit.bands:
        here = np.zeros((band.points.size, *shape[1:]), dtype=real)
        shares = asked.part(band.edge, part, band.grid)
        for panel, side in band.grid.panels_of_face(face):
            if band.grid.edge[panel] == band.edge:
                _light_panel(asked, band, panel, side, shares, part, here)
        found[band.points] += here
    return found


def _light_panel(
    asked: Asked,
    band: _Band,
    panel: int,
    side: int,
    shares: np.ndarray,
    part: slice,
    found: np.ndarray,
) -> None:
    """Add what a panel sends on of a band's points to `found` (point, receiver, 2, frequency)."""
    problem, grid, edge = asked.problem, band.grid, band.edge
    half_turns, real = asked.wavenumber[part] / np.pi, asked.resolution.real
    nodes = grid.nodes_of_panel(panel)
    shares = shares[nodes - grid.nodes_of_edge(edge).start]
    view = view_from_edge(problem.body, problem.edges, edge, side, problem.receivers)
    hearing = np.empty((nodes.size, view.z.size, 2, half_turns.size), dtype=real)
    kernels.hearing(
        grid.node_z[nodes], view.z, view.rho, leg_factor(grid, edge, view), half_turns, hearing
    )
    basis, rule = gauss_rule(asked.resolution.directions), gauss_rule(nodes.size)
    for start in range(0, band.points.size, POINTS):
        few = slice(start, start + POINTS)
        foot, rho = band.foot[few], band.rho[few]
        weights = np.empty((nodes.size, view.z.size, foot.size), dtype=real)
        panel_weights(grid, panel, foot, rho, view, weights)
        kernels.light_points(
            foot, rho, grid.node_z[nodes], problem.edges.nu[edge], side, basis.x, shares,
            view.index, weights, hearing, half_turns, found[few],
        )  # fmt: skip
        kernels.boundary_waves_of_points(
            foot, rho, grid.start[panel], grid.length[panel], rule.x, rule.w,
            problem.edges.wedge[edge], view.z, view.rho, view.theta, view.share, half_turns,
            view.index, found[few],
        )  # fmt: skip
