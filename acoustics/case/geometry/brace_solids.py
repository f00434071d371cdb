"""What braces fill of the inside of a cabinet, as convex solids behind planes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np

from acoustics.cabinet.convex import Region, common, slab
from acoustics.case.design.structure_model import Brace
from acoustics.case.geometry.shell import Shell


def inside_of(shell: Shell) -> Region:
    """The inside of a cabinet, its planes in the order of the body's faces."""
    return Region(shell.body.normals, shell.body.offsets - shell.thicknesses)


def axes_of(shell: Shell, brace: Brace) -> tuple[np.ndarray, np.ndarray]:
    """Unit vectors along a bar and across it, both in its wall, shape (3,)."""
    name = brace.walls[0]
    frame = shell.faces.frame(name)
    upward = runs_upward(shell, name) == (brace.run == "lengthwise")
    return (frame.up, frame.right) if upward else (frame.right, frame.up)


def runs_upward(shell: Shell, name: str) -> bool:
    """Whether the longer side of a wall, by its outer size, runs upward; yes if both are alike."""
    frame = shell.faces.frame(name)
    corners = shell.body.points[list(shell.body.faces[shell.faces.index(name)].corners)]
    wide, tall = np.ptp(corners @ frame.right), np.ptp(corners @ frame.up)
    return bool(wide <= tall * (1 + 1e-9))


def spans_of(shell: Shell, brace: Brace) -> list[tuple[str, np.ndarray, float, float]]:
    """Between which planes a brace stands: what is measured, along which unit vector, low, high.

    The walls bound it where nothing is said here.
    """
    if brace.kind == "shelf":
        upward = np.array([0.0, 1.0, 0.0])
        middle = _middle(shell) + brace.at
        return [("thickness", upward, middle - brace.height / 2, middle + brace.height / 2)]
    name = brace.walls[0]
    frame = shell.faces.frame(name)
    if brace.kind == "bar":
        _, across = axes_of(shell, brace)
        middle = across @ frame.centre + brace.at
        surface = frame.outward @ frame.centre - shell.wall_behind(name)
        return [
            ("width", across, middle - brace.width / 2, middle + brace.width / 2),
            ("height", frame.outward, surface - brace.height, surface),
        ]
    right, up = (
        way @ frame.centre + place
        for way, place in zip((frame.right, frame.up), brace.position, strict=True)
    )
    return [
        ("width", frame.right, right - brace.width / 2, right + brace.width / 2),
        ("height", frame.up, up - brace.height / 2, up + brace.height / 2),
    ]


@lru_cache(maxsize=16)
def _middle(shell: Shell) -> float:
    """Height of the middle of the inside, m."""
    solid = inside_of(shell).solid()
    assert solid is not None  # no braces are asked for where walls leave no room
    heights = solid.points[:, 1]
    return float(heights.min() + heights.max()) / 2


def region_of(shell: Shell, brace: Brace) -> Region:
    """What a brace fills, the planes of the inside first; a shelf's opening is not taken out."""
    own = (slab(way, low, high) for _, way, low, high in spans_of(shell, brace))
    return common(inside_of(shell), *own)


@lru_cache(maxsize=256)
def brace_volume(shell: Shell, brace: Brace) -> float:
    """What a brace takes of the inside, m³; where braces cross, both count."""
    return region_of(shell, brace).volume() * (1 - brace.open)


def owner_of(brace: Brace, enclosures: Sequence[str]) -> str:
    """The enclosure that a brace takes volume of: the one it names, or the only one, else ""."""
    if brace.enclosure or len(enclosures) != 1:
        return brace.enclosure
    return enclosures[0]


def volumes_taken(
    shell: Shell, braces: Iterable[Brace], enclosures: Sequence[str]
) -> dict[str, float]:
    """What braces take of each enclosure, m³, by its name; 0 where there are none."""
    volumes = dict.fromkeys(enclosures, 0.0)
    for brace in braces:
        owner = owner_of(brace, enclosures)
        if owner in volumes:
            volumes[owner] += brace_volume(shell, brace)
    return volumes
