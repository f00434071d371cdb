"""A draft as the engine hears it: a case made from objects, without reading its file again."""

from __future__ import annotations

from dataclasses import asdict, replace

from acoustics.case.checks.meaning import reference_driver
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import faces_of
from acoustics.case.varied import values_with
from acoustics.studies.layout_search.crossovers import Crossover, moved_branches
from acoustics.studies.layout_search.variant import treated_cabinet
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.edges import edges_of
from acoustics.studies.live.grid import page_frequencies


def posed(case: Case, draft: Draft, crossovers: tuple[Crossover, ...], axis: int | None) -> Case:
    """`exact.heard_case` without reading the file again, which takes too long for a moving hand.

    Args:
        case: the design.
        draft: of it.
        crossovers: of the case, see `crossovers_of`.
        axis: the driver from which the reference axis starts, see `axis_driver`.
    """
    edges = edges_of(case, draft)
    cabinet = case.cabinet if edges is None else treated_cabinet(case.cabinet, edges)
    drivers = tuple(
        replace(driver, position=place)
        for driver, place in zip(case.drivers, draft.places, strict=True)
    )
    branches = moved_branches(case, crossovers, draft.corners)
    main = replace(case.seat.main, distance=draft.distance)
    found = replace(
        case,
        cabinet=cabinet,
        drivers=drivers,
        crossover=tuple(
            replace(branch, delay=delay)
            for branch, delay in zip(branches, draft.delays, strict=True)
        ),
        seat=replace(case.seat, places=(main,), ear_heights=(draft.ear_height,)),
        frequencies=page_frequencies(case),
    )
    if axis is not None:
        x, y, _ = faces_of(case.cabinet).frame("front").point(*draft.places[axis])
        found = replace(found, reference=replace(case.reference, point=(x, y)))
    return found


def axis_driver(case: Case) -> int | None:
    """The driver with which the reference axis of a case moves; None: it stays at its point."""
    if case.text is None:
        return None
    stated = values_with(case, dict(case.text.changes)).get("reference", {})
    if "point" in stated:
        return None
    name: str | None = stated.get("driver") or reference_driver(
        {d.name: asdict(d) for d in case.drivers}
    )
    names = [driver.name for driver in case.drivers]
    return names.index(name) if name in names else None
