"""Where a layout's centres are marked on the wood: from the middle, and from the edges."""

from __future__ import annotations

from dataclasses import dataclass, replace

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Moved
from acoustics.conventions import GeometryError
from acoustics.studies.layout_search.answer import Arranged
from acoustics.studies.layout_search.sites import Site, sites_of


@dataclass(frozen=True)
class Mark:
    """A driver's centre on its face, m.

    `right` and `up` of the face's middle; `from_left` and `from_top` of the edges of the cabinet
    before they are cut or rounded, None where the face's sides are not square to each other.
    """

    driver: str
    face: str
    right: float
    up: float
    from_left: float | None
    from_top: float | None


def marks_of(case: Case, layout: Arranged) -> tuple[Mark, ...]:
    """Where the moved drivers of a layout are marked, in their order."""
    found = []
    for name, (right, up) in layout.positions.items():
        site = _uncut(case, name)
        (left, _), (_, top) = site.spans
        found.append(
            Mark(
                name,
                site.driver.face,
                right,
                up,
                right - left if site.rectangle else None,
                top - up if site.rectangle else None,
            )
        )
    return tuple(found)


def _uncut(case: Case, name: str) -> Site:
    """A driver's face before edges are cut; as it is where it is such a cut itself."""
    sharp = replace(case, cabinet=replace(case.cabinet, rounds=(), chamfers=()))
    try:
        (site,) = sites_of(sharp, [Moved(name)])
    except GeometryError:
        (site,) = sites_of(case, [Moved(name)])
    return site
