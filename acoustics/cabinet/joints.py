"""How the walls of a convex body meet: which part of the shell is whose board.

Of a point in the shell let d be the depth below a face's outer plane and t the thickness of its
wall; it is in that wall where d ≤ t. Where two walls overlap, the joint says whose the point is, so
boards fill the shell without gaps, whatever the angles:

    butt     the wall's that comes first in the order
    mitre    that of the least d/t: the plane through the outer and the inner edge
    rebate   the first one's where d ≤ t/2, else the last one's: an end sits in half of the other
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from acoustics.cabinet.convex import Region, common

Joint = Literal["butt", "mitre", "rebate"]


class WallPart(NamedTuple):
    """The board of one wall.

    `face` is the index of its plane, `region` the board as it is sawn, `owners` the face that
    each plane of the region belongs to. `cut` is what rebates take of it, m³, on the edges where
    the faces `rebated` meet it.
    """

    face: int
    region: Region
    owners: tuple[int, ...]
    cut: float = 0.0
    rebated: tuple[int, ...] = ()

    @property
    def volume(self) -> float:
        """Of the board with its rebates cut, m³."""
        return self.region.volume() - self.cut


def wall_parts(
    outside: Region, thickness: np.ndarray, joint: Joint, order: Sequence[int]
) -> tuple[WallPart, ...]:
    """The boards of a shell, one for each of its planes; together they are the shell.

    Args:
        outside: the outer planes.
        thickness: of the wall behind each, shape (plane,), m.
        joint: how they meet.
        order: all planes, from the one that runs past the others on; a mitre has no order.
    """
    rank = {face: place for place, face in enumerate(order)}
    return tuple(_part(outside, thickness, joint, rank, face) for face in range(len(thickness)))


def _part(
    outside: Region, thickness: np.ndarray, joint: Joint, rank: dict[int, int], face: int
) -> WallPart:
    count = len(thickness)
    others = [other for other in range(count) if other != face]
    own = _below(outside, thickness, face)
    if joint == "mitre":
        sides = [_nearer(outside, thickness, face, other) for other in others]
        region = common(outside, own, *sides)
        return WallPart(face, region, (*range(count), face, *others))
    earlier = [other for other in others if rank[other] < rank[face]]
    later = [other for other in others if rank[other] > rank[face]]
    share = 0.5 if joint == "rebate" else 1.0
    sides = [_beneath(outside, share * thickness, other) for other in earlier]
    region = common(outside, own, *sides)
    owners = (*range(count), face, *earlier)
    if joint == "butt":
        return WallPart(face, region, owners)
    inner_half = common(region, _beneath(outside, thickness / 2, face))
    kept = common(inner_half, *(_beneath(outside, thickness, other) for other in later))
    solid = region.solid()
    rebated = tuple(other for other in later if solid is not None and solid.loops[other])
    return WallPart(face, region, owners, inner_half.volume() - kept.volume(), rebated)


def _below(outside: Region, thickness: np.ndarray, face: int) -> Region:
    """What is no deeper below a plane than its wall is thick."""
    return Region(-outside.normals[[face]], -(outside.offsets - thickness)[[face]])


def _beneath(outside: Region, depth: np.ndarray, face: int) -> Region:
    """What is deeper below a plane than some depth of its own."""
    return Region(outside.normals[[face]], (outside.offsets - depth)[[face]])


def _nearer(outside: Region, thickness: np.ndarray, face: int, other: int) -> Region:
    """What is nearer to a plane than to another, both counted in the thickness of their walls."""
    one, two = 1 / thickness[face], 1 / thickness[other]
    way = two * outside.normals[other] - one * outside.normals[face]
    length = np.linalg.norm(way)
    offset = two * outside.offsets[other] - one * outside.offsets[face]
    return Region(way[None] / length, np.array([offset / length]))
