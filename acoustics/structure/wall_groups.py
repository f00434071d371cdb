"""How walls vibrate: each by itself, or together where struts join them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.linalg import eigh

from acoustics.case.design.structure_model import Brace, Structure
from acoustics.structure.plate_basis import PlateBasis
from acoustics.structure.plate_bending import plate_of
from acoustics.structure.plate_matrices import (
    Hole,
    Matrices,
    areas,
    edge_matrices,
    gram,
    plate_matrices,
    quadratic,
    solid_parts,
)
from acoustics.structure.plate_supports import (
    Rib,
    Ring,
    patch_mean,
    rib_matrices,
    ring_matrices,
    ring_values,
)
from acoustics.structure.wall_braces import Strut, ribs_of, strut_of
from acoustics.structure.wall_lines import edge_distance
from acoustics.structure.walls import Wall

SHAPES = 144
"""Shapes a wall can take, about; the first dozen modes are then good to 1e-4."""

HOLED_SHAPES = 240
"""Likewise where something is cut out. Polynomials go round a hole with difficulty: with these a
large one is good to 0.3 %, and one a tenth as wide as the wall comes out 2 % high at most."""

FEWEST, MOST = 8, 18
"""Polynomials along the shorter side at least, along the longer at most."""


FARTHEST_HOLE = 0.999
"""Share of the way from its centre to the nearest edge that a hole may reach."""


SAME_SLOWNESS = 1e-7
"""Relative difference of 1/ω² below which modes count as of one frequency."""


@dataclass(frozen=True)
class Panel:
    """A wall ready to be braced: its shapes, and what they are without any brace.

    `base` stiffness and mass with edges, cut-outs, drivers and lining; `gram` ∫ products of the
    shapes over the wall (function, function), `area` ∫ of each (function,), m; `seats` means of
    the shapes over each driver's screws, (cutout, function), zeros where there is no driver.
    """

    wall: Wall
    basis: PlateBasis
    base: Matrices
    gram: np.ndarray
    area: np.ndarray
    seats: np.ndarray

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Its cut-outs."""
        return holes_of(self.wall)


@dataclass(frozen=True)
class Group:
    """Walls that struts join, or one wall: all its modes, those of the lowest frequency first.

    Shapes are combinations of each wall's, outward positive, `vectors` (function, mode) by wall,
    scaled so that each stores the same energy: φᵀKφ = 1, so φᵀMφ = `slowness` = 1/ω² (s²). Shapes
    that move next to no mass keep a slowness of about 0 and give way as springs. `loss` is each
    mode's loss factor, that of the walls' boards weighted by the energy in each.
    """

    panels: tuple[Panel, ...]
    vectors: tuple[np.ndarray, ...]
    slowness: np.ndarray
    loss: np.ndarray

    @property
    def frequency(self) -> np.ndarray:
        """Hz, (mode,), ascending; infinite for shapes without mass."""
        with np.errstate(divide="ignore"):
            return np.asarray(1 / (2 * np.pi * np.sqrt(np.maximum(self.slowness, 0.0))))

    def compliance(self, frequency: np.ndarray) -> np.ndarray:
        """What each mode yields to a unit of its force, (mode, frequency): 1/(1 + jη − ω²/ω₀²)."""
        omega = 2 * np.pi * np.asarray(frequency, dtype=float)
        return np.asarray(1 / (1 + 1j * self.loss[:, None] - np.outer(self.slowness, omega**2)))

    @property
    def drive(self) -> np.ndarray:
        """What an even pressure inside does to each mode: ∫ over all walls, (mode,)."""
        return np.asarray(
            sum(panel.area @ each for panel, each in zip(self.panels, self.vectors, strict=True))
        )


def panel_of(wall: Wall, fixity: float) -> Panel:
    """A wall without braces, its edges kept still and held against turning by `fixity`.

    Args:
        wall: the wall.
        fixity: 0 hinged to 1 clamped, see `edge_matrices`.
    """
    basis = PlateBasis(wall.corners, _counts(wall), clamped=fixity >= 1.0)
    plate = plate_of(wall.material, wall.thickness, grain_along_y=wall.grain_up)
    parts = solid_parts(basis, holes_of(wall))
    base = plate_matrices(parts, plate, added=wall.lining)
    base += edge_matrices(basis, plate, fixity)
    seats = np.zeros((len(wall.cutouts), len(base.mass)))
    for number, cutout in enumerate(wall.cutouts):
        if cutout.driver is not None:
            base += ring_matrices(basis, Ring(cutout.centre, cutout.rim, cutout.mass))
            values, weight = ring_values(basis, cutout.centre, cutout.rim)
            seats[number] = values @ weight
    return Panel(wall, basis, base, gram(parts), areas(parts), seats)


def holes_of(wall: Wall) -> tuple[Hole, ...]:
    """The cut-outs of a wall; one that reaches over an edge counts as far as a circle fits."""
    rooms = [(cutout, edge_distance(wall.corners, cutout.centre)) for cutout in wall.cutouts]
    return tuple(
        Hole(cutout.centre, min(cutout.radius, FARTHEST_HOLE * room))
        for cutout, room in rooms
        if room > 0
    )


def _counts(wall: Wall) -> tuple[int, int]:
    """Polynomials along x and y, more along the longer side."""
    width, height = wall.size
    ratio = math.sqrt(max(width, height) / min(width, height))
    shapes = HOLED_SHAPES if wall.cutouts else SHAPES
    long = min(round(math.sqrt(shapes) * ratio), MOST)
    short = max(round(shapes / long), FEWEST)
    if len(wall.corners) != 4:
        # Of a triangle of degrees half are left.
        long, short = (min(round(count * 1.3), MOST) for count in (long, short))
    return (short, long) if height >= width else (long, short)


def grouped(
    panels: Sequence[Panel],
    structure: Structure,
    braces: Sequence[Brace],
    *,
    touching: Collection[str] | None = None,
) -> tuple[Group, ...]:
    """All walls with some braces, solved: one group for each wall or walls that struts join.

    Args:
        panels: every wall of the cabinet, from `panel_of`.
        structure: names the braces' materials.
        braces: those that are there.
        touching: names of walls; only what they belong to is solved. None: everything.

    Raises:
        GeometryError: a brace that holds no wall.
    """
    walls = tuple(panel.wall for panel in panels)
    ribs: dict[str, list[Rib]] = {wall.name: [] for wall in walls}
    struts = []
    for brace in braces:
        if brace.kind == "strut":
            struts.append(strut_of(walls, structure, brace))
        for name, new in ribs_of(walls, structure, brace).items():
            ribs[name] += new
    return tuple(
        solved_group(members, ribs, [strut for strut in struts if strut.walls[0] in names])
        for members in _joined(panels, struts)
        if (names := {panel.wall.name for panel in members})
        and (touching is None or not names.isdisjoint(touching))
    )


def _joined(panels: Sequence[Panel], struts: Sequence[Strut]) -> Iterator[list[Panel]]:
    """Panels that struts join, together, in the order of the walls."""
    label = {panel.wall.name: number for number, panel in enumerate(panels)}
    for strut in struts:
        low, high = sorted(label[name] for name in strut.walls)
        label = {name: low if number == high else number for name, number in label.items()}
    for number in dict.fromkeys(label.values()):
        yield [panel for panel in panels if label[panel.wall.name] == number]


def solved_group(
    panels: Sequence[Panel], ribs: Mapping[str, Sequence[Rib]], struts: Sequence[Strut]
) -> Group:
    """The modes of some walls with their ribs and the struts between them.

    The problem is solved for 1/ω² (M φ = Kφ/ω²): the lowest modes are the most exact, and shapes
    without mass, as inside a large cut-out, do no harm.
    """
    parts = []
    for panel in panels:
        part = panel.base
        for rib in ribs.get(panel.wall.name, ()):
            part += rib_matrices(panel.basis, rib, panel.holes)
        parts.append(part)
    starts = np.cumsum([0, *(len(part.mass) for part in parts)])
    cuts = [slice(a, b) for a, b in pairwise(starts)]
    stiffness, mass = np.zeros((2, starts[-1], starts[-1]))
    for cut, part in zip(cuts, parts, strict=True):
        stiffness[cut, cut], mass[cut, cut] = part.stiffness, part.mass
    names = [panel.wall.name for panel in panels]
    for strut in struts:
        near, far = np.zeros((2, len(mass)))
        # Outward at the first wall is backward along the strut.
        for ends, name, at, way in zip(
            (near, far), strut.walls, strut.ends, (-1.0, strut.cosine), strict=True
        ):
            own = names.index(name)
            ends[cuts[own]] = way * patch_mean(panels[own].basis, at, strut.size)
        stiffness += strut.stiffness * np.outer(far - near, far - near)
        # A rod whose velocity runs evenly from the one end's to the other's.
        mass += strut.mass / 6 * (np.outer(near, near) + np.outer(far, far))
        mass += strut.mass / 6 * np.outer(near + far, near + far)
    slowness, vectors = eigh(mass, stiffness)
    labels = [n * 2 * MOST + panel.basis.degrees[:, 0] for n, panel in enumerate(panels)]
    slowness = slowness[::-1]
    vectors = _signed(_untangled(slowness, vectors[:, ::-1], np.concatenate(labels)))
    shares = [
        quadratic(part.stiffness, vectors[cut]) for cut, part in zip(cuts, parts, strict=True)
    ]
    losses = np.array([panel.wall.material.loss for panel in panels])
    loss = losses @ np.array(shares) / np.sum(shares, axis=0)
    return Group(tuple(panels), tuple(vectors[cut] for cut in cuts), slowness, loss)


def _untangled(slowness: np.ndarray, vectors: np.ndarray, labels: np.ndarray) -> np.ndarray:
    """Modes of equal frequency told apart by where they are and which way they run.

    Two equal walls, or both ways across a square one, have modes in pairs, of which any mixture
    is a mode, too: rounding would choose. Here it is the one that parts the `labels` (function,).
    """
    vectors = vectors.copy()
    apart = np.flatnonzero(np.diff(slowness) < -SAME_SLOWNESS * slowness[:-1]) + 1
    for low, high in pairwise([0, *apart, len(slowness)]):
        if high - low > 1 and slowness[low] > 0:
            own = vectors[:, low:high]
            # Weighted by energy, as the shapes of a wall are orthonormal over it.
            scale = np.sqrt((own**2).sum(axis=0))
            mixed = eigh((own / scale).T @ (labels[:, None] * own / scale))[1]
            vectors[:, low:high] = own @ mixed
    return vectors


def _signed(vectors: np.ndarray) -> np.ndarray:
    """Columns turned so that the largest entry of each is positive."""
    largest = np.take_along_axis(vectors, np.abs(vectors).argmax(axis=0)[None], axis=0)
    answer: np.ndarray = vectors * np.where(largest < 0, -1.0, 1.0)
    return answer


def shapes_at(panel: Panel, vectors: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Deflection of each mode at points of a wall, shape (mode, point)."""
    return np.asarray(vectors.T @ panel.basis.values(x, y))
