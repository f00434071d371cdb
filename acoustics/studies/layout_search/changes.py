"""Which keys of a case take which values in the layout that was found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from acoustics.case.design.model import Case
from acoustics.case.text.units import in_unit
from acoustics.crossover.branch import branches_of
from acoustics.studies.layout_search.answer import Arranged, LayoutFound
from acoustics.studies.layout_search.crossovers import Crossover, moved_branches
from acoustics.studies.layout_search.question import searched_crossovers

DIGITS = 6


def changed_keys(case: Case, found: LayoutFound, layout: Arranged | None = None) -> dict[str, str]:
    """Key paths of a case, as messages write them, with the text that they take in a layout.

    Entries of lists count from 1: {"drivers.tweeter.position.1": "27.5 mm"}. Keys whose value stays
    are left out. Edges are not among them: they are the layout's `treatment`, which takes the place
    of the cabinet's rounds and chamfers where it is not None.

    Args:
        case: the design.
        found: what was found for it.
        layout: one of its layouts; None for the best.
    """
    layout = found.best if layout is None else layout
    crossovers = searched_crossovers(case, found.question)
    return layout_keys(case, layout.positions, crossovers, layout.corners, layout.delays)


def layout_keys(
    case: Case,
    positions: Mapping[str, tuple[float, float]],
    crossovers: Sequence[Crossover],
    corners: Sequence[float],
    delays: Mapping[str, float],
) -> dict[str, str]:
    """Key paths with the text that they take; keys whose text would be the same are left out.

    Args:
        case: the design.
        positions: by driver, right and up from the middle of its face, m.
        crossovers: those that move, both sides in one ratio.
        corners: where they move to, Hz.
        delays: by driver, s.
    """
    changes = dict[str, str]()

    def put(key: str, now: float, then: float, unit: str) -> None:
        text = in_unit(then, unit, digits=DIGITS)
        if text != in_unit(now, unit, digits=DIGITS):
            changes[key] = text

    for name, place in positions.items():
        for n, (now, then) in enumerate(zip(case.driver(name).position, place, strict=True), 1):
            put(f"drivers.{name}.position.{n}", now, then, "mm")
    before, after = branches_of(case), moved_branches(case, crossovers, corners)
    for crossover in crossovers:
        for corner in crossover.corners:
            old, new = (
                branches[corner.driver].sections[corner.section] for branches in (before, after)
            )
            way = "low" if corner.low else "high"
            key = f"{way}_frequency" if getattr(new, "kind", "") == "band-pass" else "frequency"
            path = f"crossover.{before[corner.driver].driver}.sections.{corner.section + 1}.{key}"
            now, then = (getattr(each, f"{way}_corner") for each in (old, new))
            put(path, now, then, "Hz")
    present = {branch.driver: branch.delay for branch in before}
    for name, delay in delays.items():
        put(f"crossover.{name}.delay", present[name], delay, "ms")
    return changes
