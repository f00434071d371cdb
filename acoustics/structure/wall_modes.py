"""The modes of a cabinet's walls: frequencies, shapes, and what excites them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.field.blas import one_blas_thread
from acoustics.structure.plate_matrices import quadratic
from acoustics.structure.plate_points import Points, within
from acoustics.structure.wall_groups import Group, Panel, grouped, panel_of, shapes_at
from acoustics.structure.walls import Wall, walls_of

GRID, FEWEST_POINTS = 41, 15
"""Points along the longer side of a wall on which shapes are given to be drawn, and along the
shorter one at least."""

WITHIN = 1e-6
"""Of a wall's side that the outermost points stay away from its edge."""


LEAST_SHARE = 0.01
"""Of a mode's kinetic energy in a wall below which it is none of that wall's."""


@dataclass(frozen=True)
class WallModes:
    """The modes of a wall up to a frequency, the lowest at least.

    Where struts join it to `partners`, modes belong to all of them; `share` is the part of each
    mode's kinetic energy that is in this wall (1 of a wall by itself), and those of which it has
    less than a hundredth are left out. Shapes are positive outward
    and 1 where they are largest on any of the walls.

    Attributes:
        wall: the wall.
        partners: walls that struts join it to.
        frequency: Hz, shape (mode,), ascending.
        share: shape (mode,).
        modal_mass: of the whole mode, kg, shape (mode,).
        loss: loss factors, shape (mode,).
        area: ∫ φ dA over this wall, m², shape (mode,).
        drive: that over this wall and its partners: even pressure inside times it is the mode's
            force, m², shape (mode,).
        rms: of the shape over this wall, shape (mode,).
        drivers: names of the drivers on this wall.
        driver_value: mean of the shape over each driver's screws, shape (mode, driver).
        x: to the right from the middle of the wall, m, shape (column,).
        y: upward, m, shape (row,).
        shape: shape (mode, row, column); NaN beside the wall and in cut-outs.
    """

    wall: Wall
    partners: tuple[str, ...]
    frequency: np.ndarray
    share: np.ndarray
    modal_mass: np.ndarray
    loss: np.ndarray
    area: np.ndarray
    drive: np.ndarray
    rms: np.ndarray
    drivers: tuple[str, ...]
    driver_value: np.ndarray
    x: np.ndarray
    y: np.ndarray
    shape: np.ndarray

    @property
    def most_driven(self) -> int:
        """Number of the mode by which this wall yields most to an even pressure inside."""
        stiffness = self.modal_mass * (2 * np.pi * self.frequency) ** 2
        return int(np.abs(self.area * self.drive / stiffness).argmax())


def panels_of(case: Case, structure: Structure) -> tuple[Panel, ...]:
    """Every wall that bends, without braces.

    Raises:
        GeometryError: as `walls_of`.
    """
    with one_blas_thread():
        return tuple(panel_of(wall, structure.fixity) for wall in walls_of(case, structure))


def groups_of(panels: Sequence[Panel], structure: Structure) -> tuple[Group, ...]:
    """All walls with their braces, solved; walls that struts join together.

    Args:
        panels: every wall, from `panels_of`.
        structure: what holds them.

    Raises:
        GeometryError: a brace that holds no wall, or stands in a cut-out.
    """
    with one_blas_thread():
        return grouped(panels, structure, structure.braces)


def wall_modes(case: Case, structure: Structure) -> tuple[WallModes, ...]:
    """The modes of every wall up to `structure.reach`, in the order of the faces.

    The box is empty and stands in vacuum: air inside and outside weighs on the lowest modes of a
    light wall by a few per cent, and stiffens a small closed box; neither is in here.

    Args:
        case: the design.
        structure: what its walls are made of.

    Raises:
        GeometryError: as `walls_of` and `groups_of`.
    """
    panels = panels_of(case, structure)
    found = modes_of(groups_of(panels, structure), structure.reach)
    order = [panel.wall.name for panel in panels]
    return tuple(sorted(found, key=lambda modes: order.index(modes.wall.name)))


def modes_of(groups: Sequence[Group], reach: float) -> tuple[WallModes, ...]:
    """The modes of solved walls up to a frequency (Hz), group by group."""
    with one_blas_thread():
        return tuple(modes for group in groups for modes in _group_modes(group, reach))


def _group_modes(group: Group, reach: float) -> list[WallModes]:
    energies = np.array(
        [
            quadratic(panel.base.mass, each)
            for panel, each in zip(group.panels, group.vectors, strict=True)
        ]
    )
    shares = energies / energies.sum(axis=0)
    taking_part = [np.flatnonzero(share > LEAST_SHARE) for share in shares]
    kept = [own[: max(1, np.count_nonzero(group.frequency[own] <= reach))] for own in taking_part]
    count = max(own[-1] for own in kept) + 1
    vectors = [each[:, :count] for each in group.vectors]
    grids = [_grid(panel.wall) for panel in group.panels]
    shapes = [
        _drawn(panel, each, x, y)
        for panel, each, (x, y) in zip(group.panels, vectors, grids, strict=True)
    ]
    flat = np.concatenate([shape.reshape(count, -1) for shape in shapes], axis=1)
    largest = np.nanargmax(np.abs(flat), axis=1)
    scale = 1 / flat[np.arange(count), largest]
    answer = []
    for number, (panel, own) in enumerate(zip(group.panels, kept, strict=True)):
        wall, by = panel.wall, scale[own]
        scaled = vectors[number][:, own] * by
        on = [n for n, cutout in enumerate(wall.cutouts) if cutout.driver is not None]
        squares = np.maximum(quadratic(panel.gram, scaled), 0.0)
        (x, y) = grids[number]
        answer.append(
            WallModes(
                wall=wall,
                partners=tuple(each.wall.name for each in group.panels if each is not panel),
                frequency=group.frequency[own],
                share=shares[number, own],
                modal_mass=group.slowness[own] * by**2,
                loss=group.loss[own],
                area=panel.area @ scaled,
                drive=group.drive[own] * by,
                rms=np.sqrt(squares / wall_area(panel)),
                drivers=tuple(wall.cutouts[n].name for n in on),
                driver_value=(panel.seats[on] @ scaled).T,
                x=x,
                y=y,
                shape=by[:, None, None] * shapes[number][own],
            )
        )
    return answer


def wall_area(panel: Panel) -> float:
    """Area of a wall without its cut-outs, m²."""
    holes = sum(np.pi * hole.radius**2 for hole in panel.holes)
    return float(panel.basis.area_points.weight.sum() - holes)


def _grid(wall: Wall) -> tuple[np.ndarray, np.ndarray]:
    low, high = wall.corners.min(axis=0), wall.corners.max(axis=0)
    counts = [max(FEWEST_POINTS, round(GRID * size / max(wall.size))) for size in wall.size]
    # Points on an edge itself are there or not as rounding has it.
    low, high = low + WITHIN * (high - low), high - WITHIN * (high - low)
    return (
        np.linspace(low[0], high[0], counts[0]),
        np.linspace(low[1], high[1], counts[1]),
    )


def _drawn(panel: Panel, vectors: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Shapes on a grid, NaN where there is no board, (mode, row, column)."""
    columns, rows = (each.ravel() for each in np.meshgrid(x, y))
    shape = shapes_at(panel, vectors, columns, rows)
    shape[:, ~on_board(panel, columns, rows)] = np.nan
    return shape.reshape(-1, len(y), len(x))


def on_board(panel: Panel, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Whether points lie on a wall and in none of its cut-outs, shape (point,)."""
    numbered = within(Points(x, y, np.arange(len(x))), panel.basis.corners)
    there = np.zeros(len(x), dtype=bool)
    there[numbered.weight] = True
    for hole in panel.holes:
        there &= np.hypot(x - hole.centre[0], y - hole.centre[1]) >= hole.radius
    return there
