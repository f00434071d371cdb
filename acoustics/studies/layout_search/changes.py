"""Which keys of a case take which values in the layout that was found."""

from __future__ import annotations

from acoustics.case.model import Case
from acoustics.case.units import in_unit
from acoustics.crossover.branch import branches_of
from acoustics.studies.layout_search.answer import Arranged, LayoutFound
from acoustics.studies.layout_search.crossovers import moved_branches
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
    changes = {}
    for name, place in layout.positions.items():
        for n, (now, then) in enumerate(zip(case.driver(name).position, place, strict=True), 1):
            if now != then:
                changes[f"drivers.{name}.position.{n}"] = in_unit(then, "mm", digits=DIGITS)
    crossovers = searched_crossovers(case, found.question)
    before, after = branches_of(case), moved_branches(case, crossovers, layout.corners)
    for crossover in crossovers:
        for corner in crossover.corners:
            old, new = (
                branches[corner.driver].sections[corner.section] for branches in (before, after)
            )
            way = "low" if corner.low else "high"
            then = getattr(new, f"{way}_corner")
            if getattr(old, f"{way}_corner") != then:
                key = f"{way}_frequency" if getattr(new, "kind", "") == "band-pass" else "frequency"
                owner = before[corner.driver].driver
                path = f"crossover.{owner}.sections.{corner.section + 1}.{key}"
                changes[path] = in_unit(then, "Hz", digits=DIGITS)
    delays = {branch.driver: branch.delay for branch in before}
    for name, delay in layout.delays.items():
        if delays[name] != delay:
            changes[f"crossover.{name}.delay"] = in_unit(delay, "ms", digits=DIGITS)
    return changes
