"""Trying braces: how loud walls are with them, by the same sound that shakes the walls now."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from acoustics.case.design.structure_model import Brace, Structure
from acoustics.field.blas import one_blas_thread
from acoustics.structure.wall_forced import (
    WallResponse,
    driver_seats,
    patches_of,
    wall_responses,
)
from acoustics.structure.wall_groups import Group, Panel, grouped, panel_of
from acoustics.structure.walls import Wall
from acoustics.studies.structure.found import Excitation
from acoustics.studies.structure.wall_fields import WallFields

PATCH = 0.08
"""m: sides of patches, at most: a third of the shortest wave in air that is told"""


@dataclass(frozen=True)
class Trials:
    """What it takes to try braces.

    panels: every wall without braces. structure: whose materials they are of. frequency: Hz.
    shaken and heard: what shakes the walls and what is heard of them; None: volume velocities for
    1 Pa at every frequency are compared. against: power of the drivers on the same scale,
    shape (frequency,); 1 where nothing is known of them.
    """

    panels: tuple[Panel, ...]
    structure: Structure
    frequency: np.ndarray
    shaken: Excitation | None
    heard: WallFields | None
    against: np.ndarray

    @property
    def walls(self) -> tuple[Wall, ...]:
        """All walls."""
        return tuple(panel.wall for panel in self.panels)

    def groups(
        self, braces: Sequence[Brace], touching: Collection[str] | None = None
    ) -> tuple[Group, ...]:
        """The walls with some braces."""
        with one_blas_thread():
            return grouped(self.panels, self.structure, braces, touching=touching)

    def responses(
        self, braces: Sequence[Brace], touching: Collection[str] | None = None
    ) -> tuple[WallResponse, ...]:
        """What walls answer with some braces, in the order of the walls."""
        found = wall_responses(self.groups(braces, touching), self.frequency, patch=PATCH)
        return in_order(found, self.walls)

    def squares(
        self, braces: Sequence[Brace], touching: Collection[str] | None = None
    ) -> dict[str, np.ndarray]:
        """Power of each wall over the drivers' with some braces, shape (frequency,), by name.

        Args:
            braces: that are there.
            touching: names of walls; only what they belong to is told. None: everything.
        """
        found: dict[str, np.ndarray] = {}
        with one_blas_thread():
            for group in grouped(self.panels, self.structure, braces, touching=touching):
                found |= self._group_squares(group)
        return found

    def _group_squares(self, group: Group) -> dict[str, np.ndarray]:
        # As in `wall_responses`, with all that acts on a mode added up before it moves.
        yielding = 2j * np.pi * self.frequency * group.compliance(self.frequency)
        areas = {
            panel.wall.name: panel.area @ vectors
            for panel, vectors in zip(group.panels, group.vectors, strict=True)
        }
        if self.shaken is None or self.heard is None:
            modes = group.drive[:, None] * yielding
            return {name: np.abs(each @ modes) ** 2 for name, each in areas.items()}
        acting = np.zeros(yielding.shape, dtype=complex)
        for name, each in areas.items():
            acting += np.outer(each, self.shaken.wall_pressure[self.shaken.walls.index(name)])
        for driver, seat in zip(*driver_seats(group), strict=True):
            if driver in self.shaken.drivers:
                acting += np.outer(seat, self.shaken.force[self.shaken.drivers.index(driver)])
        modes = acting * yielding
        answer = {}
        for panel, vectors in zip(group.panels, group.vectors, strict=True):
            name = panel.wall.name
            sent = (self.patches[name] @ vectors) @ modes
            pressure = np.einsum("pf,prf->rf", sent, self.heard.walls[name])
            answer[name] = self.heard.weights @ np.abs(pressure) ** 2 / self.against
        return answer

    @cached_property
    def patches(self) -> dict[str, np.ndarray]:
        """What each patch of a wall sends out for each of its shapes, m², (patch, function)."""
        found = {}
        for panel in self.panels:
            _, area, means = patches_of(panel, PATCH)
            found[panel.wall.name] = area[:, None] * means
        return found


def thicker(trials: Trials, name: str, thickness: float) -> Trials:
    """The same with one wall of another thickness, m."""
    panels = tuple(
        panel_of(replace(panel.wall, thickness=thickness), trials.structure.fixity)
        if panel.wall.name == name
        else panel
        for panel in trials.panels
    )
    own = {each: material for each, material, _ in trials.structure.wall_materials}
    others = [each for each in trials.structure.wall_materials if each[0] != name]
    new = (name, own.get(name, trials.structure.material), thickness)
    structure = replace(trials.structure, wall_materials=(*others, new))
    return replace(trials, panels=panels, structure=structure)


def in_order(responses: Sequence[WallResponse], walls: Sequence[Wall]) -> tuple[WallResponse, ...]:
    """Responses in the order of the walls."""
    names = [wall.name for wall in walls]
    return tuple(sorted(responses, key=lambda each: names.index(each.wall.name)))
