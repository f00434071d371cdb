"""Trying braces: how loud walls are with them, by the same sound that shakes the walls now."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.structure_model import Brace, Structure
from acoustics.field.blas import one_blas_thread
from acoustics.structure.wall_forced import WallResponse, wall_responses
from acoustics.structure.wall_groups import Group, Panel, grouped, panel_of
from acoustics.structure.walls import Wall
from acoustics.studies.structure.found import Excitation
from acoustics.studies.structure.heard import Heard
from acoustics.studies.structure.sound import velocities

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
    heard: Heard | None
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

    def squares(self, responses: Sequence[WallResponse]) -> dict[str, np.ndarray]:
        """Power of each wall over the drivers', shape (frequency,), by its name."""
        answer = {}
        for each in responses:
            if self.shaken is None or self.heard is None:
                answer[each.wall.name] = np.abs(each.per_pressure) ** 2
                continue
            sent = each.patch_area[:, None] * velocities(each, self.shaken)[0]
            pressure = np.einsum("pf,prf->rf", sent, self.heard.walls[each.wall.name])
            answer[each.wall.name] = self.heard.weights @ np.abs(pressure) ** 2 / self.against
        return answer


def thicker(trials: Trials, name: str, thickness: float) -> Trials:
    """The same with one wall of another thickness, m."""
    panels = tuple(
        panel_of(replace(panel.wall, thickness=thickness), trials.structure.fixity)
        if panel.wall.name == name
        else panel
        for panel in trials.panels
    )
    own = {each: (each, *rest) for each, *rest in trials.structure.wall_materials}
    material = own[name][1] if name in own else trials.structure.material
    own[name] = (name, material, thickness)
    structure = replace(trials.structure, wall_materials=tuple(own.values()))
    return replace(trials, panels=panels, structure=structure)


def in_order(responses: Sequence[WallResponse], walls: Sequence[Wall]) -> tuple[WallResponse, ...]:
    """Responses in the order of the walls."""
    names = [wall.name for wall in walls]
    return tuple(sorted(responses, key=lambda each: names.index(each.wall.name)))
