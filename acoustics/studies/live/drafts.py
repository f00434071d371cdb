"""From a case to a draft and back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from acoustics.case.build import digest
from acoustics.case.design.model import Case, Driver
from acoustics.case.tables.edge_tables import edge_tables
from acoustics.case.text.units import in_unit
from acoustics.case.varied import Value, varied_case
from acoustics.conventions import CaseError
from acoustics.crossover.branch import branches_of
from acoustics.prediction.receivers import aside_ear
from acoustics.studies.layout_search.changes import layout_keys
from acoustics.studies.layout_search.crossovers import crossovers_of
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.edges import edges_of

__all__ = ["changed_keys", "draft_of", "drafted", "edges_of"]

NO_FRAME, NO_HOLE = 1.0 + 2e-6, 1.0 + 1e-6
"""Of a piston's diameter: frame and cut-out of a driver that is all piston, a file's rounding
included."""

DIGITS = 12
"""of these"""


def draft_of(case: Case) -> Draft:
    """A case as the draft that changes nothing of it."""
    return Draft(
        places=tuple(driver.position for driver in case.drivers),
        ear_height=case.seat.ear_heights[aside_ear(case)],
        distance=case.seat.main.distance,
        corners=tuple(each.frequency for each in crossovers_of(case)),
        delays=tuple(branch.delay for branch in branches_of(case)),
    )


def changed_keys(case: Case, draft: Draft) -> dict[str, str]:
    """Key paths as messages write them, with the text that each takes in the file.

    Only what differs; edges are not among them. The draft's ear height takes the place of the one
    nearest the reference axis, unless the case has it among the others.

    Args:
        case: the design.
        draft: of it.
    """
    names = [driver.name for driver in case.drivers]
    changes = layout_keys(
        case,
        dict(zip(names, draft.places, strict=True)),
        crossovers_of(case),
        draft.corners,
        dict(zip(names, draft.delays, strict=True)),
    )
    ears = [in_unit(height, "m") for height in case.seat.ear_heights]
    ear, distance = in_unit(draft.ear_height, "m"), in_unit(draft.distance, "m")
    if ear not in ears:
        changes[f"seat.ear_heights.{aside_ear(case) + 1}"] = ear
    if distance != in_unit(case.seat.main.distance, "m"):
        changes["seat.distance"] = distance
    return changes


def drafted(case: Case, draft: Draft) -> Case:
    """The case with a draft, as its file would read with these values; the case if none differs.

    What drivers are heard of does not rest on their frames: where these are in the way, the draft
    is read with none, and the answer is what the file would be if that were no fault.

    Args:
        case: read from a file.
        draft: of it.

    Raises:
        CaseError: what the file would be refused for even so.
        GeometryError: edges that stay and cannot be written.
    """
    changes: dict[str, Value] = dict(changed_keys(case, draft))
    edges = edges_of(case, draft)
    if edges is not None:
        changes |= {f"cabinet.{key}": tables for key, tables in edge_tables(edges).items()}
    if not changes:
        return case
    try:
        return varied_case(case, changes)
    except CaseError as refused:
        try:
            bare = varied_case(case, changes | _all_piston(case.drivers))
        except CaseError:
            raise refused from None
        return _with_frames(bare, case, changes)


def _all_piston(drivers: Iterable[Driver]) -> dict[str, Value]:
    """Keys with which a frame is no larger than what moves."""
    found = dict[str, Value]()
    for driver in drivers:
        sizes = {"frame_diameter": NO_FRAME}
        if driver.cutout_diameter is not None:
            sizes["cutout_diameter"] = NO_HOLE
        for key, share in sizes.items():
            text = in_unit(share * driver.piston_diameter, "mm", digits=DIGITS)
            found[f"drivers.{driver.name}.{key}"] = text
    return found


def _with_frames(bare: Case, case: Case, changes: Mapping[str, Value]) -> Case:
    """A case read without frames, with those that its drivers have."""

    def framed(one: Case) -> tuple[Driver, ...]:
        own = {driver.name: driver for driver in case.drivers}
        return tuple(
            replace(
                driver,
                frame_diameter=own[driver.name].frame_diameter,
                cutout_diameter=own[driver.name].cutout_diameter,
            )
            for driver in one.drivers
        )

    assert bare.text is not None
    assert case.text is not None
    text = replace(bare.text, changes=(*case.text.changes, *changes.items()))
    home = bare.measured_in and replace(bare.measured_in, drivers=framed(bare.measured_in))
    found = replace(bare, drivers=framed(bare), text=text, measured_in=home)
    return replace(found, digest=digest(found))
