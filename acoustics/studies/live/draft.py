"""What somebody has set on the live page: a design as far as it can be changed there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

EdgeKind = Literal["as drawn", "square", "rounded", "chamfered"]


@dataclass(frozen=True)
class Edges:
    """What is done to the edges round the front face.

    `size` is the radius or the setback on both sides, m; 0 where `kind` has none. "as drawn" are
    the edges of the case file, whatever they are.
    """

    kind: EdgeKind = "as drawn"
    size: float = 0.0


@dataclass(frozen=True)
class Draft:
    """One setting of everything that can be changed; lengths in m, in the order of the case.

    Two drafts that are equal sound equal.
    """

    places: tuple[tuple[float, float], ...]
    """of every driver, right and up from the middle of its face"""
    ear_height: float
    """above the floor"""
    distance: float
    """of the main seat, ahead of the front faces"""
    corners: tuple[float, ...]
    """Hz, of the crossovers that have corners to move, from the lowest up"""
    delays: tuple[float, ...]
    """s, of every driver"""
    edges: Edges = Edges()
