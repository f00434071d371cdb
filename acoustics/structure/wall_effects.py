"""What each brace does, and what others would: to the lowest mode, and to how much walls move."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from acoustics.case.design.structure_model import Brace, Structure
from acoustics.field.blas import one_blas_thread
from acoustics.structure.plate_matrices import quadratic
from acoustics.structure.wall_braces import cutouts_met, walls_held
from acoustics.structure.wall_groups import Group, Panel, grouped
from acoustics.structure.walls import Wall, wall_named

LOWEST = 50.0
"""Hz: from here to the structure's reach the motion of walls is averaged."""

PER_OCTAVE = 60
"""Frequencies for that: several to the width of a resonance with a loss factor of 0.02."""

PART_OF_IT = 0.01
"""Share of a mode's energy, or of the most that one yields, below which it does not count."""

BAR_HEIGHT = 2.5
"""Height of a bar or strut that is tried, in thicknesses of the wall; it is one thickness wide
(common practice, no source)."""


Way = Literal["lengthwise", "crosswise", "thirds", "strut"]


@dataclass(frozen=True)
class Figures:
    """How stiff and how still a wall is.

    `lowest` is its lowest mode (Hz), `driven` the lowest that an even pressure inside moves: by
    which the wall yields to it a hundredth as much as by the one that yields most (Hz). `motion` is
    its mean square velocity times its area, `volume` the square of its volume velocity, each for
    1 Pa inside, averaged by the octave from 50 Hz to the structure's reach: m⁴/s²/Pa² and
    m⁶/s²/Pa².
    """

    lowest: float
    driven: float
    motion: float
    volume: float


@dataclass(frozen=True)
class BraceEffect:
    """What a brace does to a wall: figures without it and with it.

    A lowest mode that rises does not say that the wall moves less: a bar along a line where a
    mode has its node, or one that leaves two large fields, moves the first mode up and leaves the
    pressure as much to move. So `motion` and `volume`, the change of both in dB (negative: less),
    stand beside it.
    """

    brace: str
    wall: str
    without: Figures
    braced: Figures

    @property
    def motion(self) -> float:
        """Change of the wall's motion, dB."""
        return float(10 * np.log10(self.braced.motion / self.without.motion))

    @property
    def volume(self) -> float:
        """Change of its volume velocity, dB."""
        return float(10 * np.log10(self.braced.volume / self.without.volume))


@dataclass(frozen=True)
class BraceOption:
    """A way to brace a wall: the effect on each wall that is held, and cut-outs in the way.

    `name` says how it runs; `braces` is one, or two at the thirds of the length. A bar is counted
    as interrupted by cut-outs; a strut that would stand in one has no effects.
    """

    name: Way
    braces: tuple[Brace, ...]
    effects: tuple[BraceEffect, ...]
    blocked: tuple[str, ...]


def brace_effects(panels: Sequence[Panel], structure: Structure) -> tuple[BraceEffect, ...]:
    """What each brace does: the walls it holds with all braces, and with all but this one.

    Args:
        panels: every wall, from `panels_of`.
        structure: what holds them.

    Returns:
        one for each brace and wall that it holds, in their order.

    Raises:
        GeometryError: as `groups_of`.
    """
    with one_blas_thread():
        walls = tuple(panel.wall for panel in panels)
        whole = _figures(grouped(panels, structure, structure.braces), structure.reach)
        effects = []
        for brace in structure.braces:
            held = walls_held(walls, structure, brace)
            others = [each for each in structure.braces if each is not brace]
            left = grouped(panels, structure, others, touching=held)
            without = _figures(left, structure.reach)
            effects += [BraceEffect(brace.name, wall, without[wall], whole[wall]) for wall in held]
    return tuple(effects)


def brace_options(
    panels: Sequence[Panel], structure: Structure, names: Sequence[str] | None = None
) -> dict[str, tuple[BraceOption, ...]]:
    """What braces would do that could be added to walls, beside those that are there.

    On each wall: a bar lengthwise at mid-width, one crosswise at mid-length, two crosswise at the
    thirds, a strut from the middle to the opposite wall; all of the board that braces are of
    unless they say otherwise, one wall's thickness wide and `BAR_HEIGHT` as high.

    Args:
        panels: every wall, from `panels_of`.
        structure: what holds them.
        names: of walls; None: all.

    Returns:
        the options of each wall by its name.

    Raises:
        GeometryError: as `groups_of`, or a wall that is not there.
    """
    with one_blas_thread():
        walls = tuple(panel.wall for panel in panels)
        present = _figures(grouped(panels, structure, structure.braces), structure.reach)
        wanted = [wall.name for wall in walls] if names is None else names
        return {
            name: tuple(
                _option(panels, structure, present, way, braces)
                for way, braces in _candidates(wall_named(walls, name))
            )
            for name in wanted
        }


def _option(
    panels: Sequence[Panel],
    structure: Structure,
    present: dict[str, Figures],
    way: Way,
    braces: tuple[Brace, ...],
) -> BraceOption:
    walls = tuple(panel.wall for panel in panels)
    met = tuple(
        dict.fromkeys(name for each in braces for name in cutouts_met(walls, structure, each))
    )
    if met and way == "strut":
        return BraceOption(way, braces, (), met)
    held = walls_held(walls, structure, braces[0])
    more = grouped(panels, structure, (*structure.braces, *braces), touching=held)
    braced = _figures(more, structure.reach)
    return BraceOption(
        way,
        braces,
        tuple(BraceEffect(braces[0].name, wall, present[wall], braced[wall]) for wall in held),
        met,
    )


def _candidates(wall: Wall) -> Iterator[tuple[Way, tuple[Brace, ...]]]:
    """Braces to try on a wall."""
    low, high = wall.corners.min(axis=0), wall.corners.max(axis=0)
    along = 1 if wall.upright else 0
    middle, length = (low + high) / 2, wall.size[along]
    bar = Brace("", "bar", (wall.name,), width=wall.thickness, height=BAR_HEIGHT * wall.thickness)
    at = float(middle[1 - along])
    yield "lengthwise", (replace(bar, name="lengthwise bar", run="lengthwise", at=at),)
    at = float(middle[along])
    yield "crosswise", (replace(bar, name="crosswise bar", at=at),)
    thirds = [replace(bar, name="bars at the thirds", at=at + k * length / 6) for k in (-1, 1)]
    yield "thirds", tuple(thirds)
    place = (float(middle[0]), float(middle[1]))
    yield "strut", (replace(bar, name="strut", kind="strut", position=place),)


def _figures(groups: Sequence[Group], reach: float) -> dict[str, Figures]:
    """Figures of every wall of some groups, by its name."""
    octaves = np.log2(reach / LOWEST)
    count = max(2, math.ceil(PER_OCTAVE * octaves))
    frequency = LOWEST * 2 ** (octaves * np.arange(count) / (count - 1))
    return {
        panel.wall.name: figures
        for group in groups
        for panel, figures in zip(group.panels, _group_figures(group, frequency), strict=True)
    }


def _group_figures(group: Group, frequency: np.ndarray) -> list[Figures]:
    modes = 2j * np.pi * frequency * group.compliance(frequency) * group.drive[:, None]
    energies = np.array(
        [
            quadratic(panel.base.mass, vectors)
            for panel, vectors in zip(group.panels, group.vectors, strict=True)
        ]
    )
    answer = []
    for panel, vectors, energy in zip(group.panels, group.vectors, energies, strict=True):
        own = energy > PART_OF_IT * energies.sum(axis=0)
        yielding = np.abs(panel.area @ vectors * group.drive)
        driven = yielding > PART_OF_IT * yielding.max()
        squares = vectors.T @ panel.gram @ vectors
        motion = np.einsum("mf,mf->f", modes.conj(), squares @ modes).real
        volume = np.abs((panel.area @ vectors) @ modes) ** 2
        answer.append(
            Figures(
                lowest=float(group.frequency[np.flatnonzero(own)[0]]),
                driven=float(group.frequency[np.flatnonzero(driven)[0]]),
                motion=float(motion.mean()),
                volume=float(volume.mean()),
            )
        )
    return answer
