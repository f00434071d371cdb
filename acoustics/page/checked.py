"""A draft that was sent, held against what the design lets one move."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from acoustics.page.messages import NotUnderstoodError, SentDraft
from acoustics.studies.live.draft import Draft, Edges

SLACK = 1e-9
"""m, Hz or s by which a value may be off: browsers add and subtract before they send"""


def checked_draft(sent: SentDraft, design: Mapping[str, Any]) -> Draft:
    """The draft, everything in its span.

    Args:
        sent: as it came.
        design: the message that told the tab what there is and how far it may be moved.

    Raises:
        NotUnderstoodError: other drivers or crossovers than the design's, or a value that the page
            does not let anybody set.
    """
    names = [driver["name"] for driver in design["drivers"]]
    for what, given in (("places", sent.places), ("delays", sent.delays)):
        if set(given) != set(names):
            raise NotUnderstoodError(f"A draft has {what} of other drivers than the design.")
    limits, own = design["limits"], design["draft"]
    if len(sent.corners) != len(own["corners"]):
        raise NotUnderstoodError(
            f"A draft has {len(sent.corners)} crossovers; of the design {len(own['corners'])} can "
            "be moved."
        )
    return Draft(
        places=tuple(
            _place(sent.places[driver["name"]], own["places"][driver["name"]], driver)
            for driver in design["drivers"]
        ),
        ear_height=_within(sent.ear_height, limits["ear_height"], "the ear height"),
        distance=_within(sent.distance, limits["distance"], "the seat's distance"),
        corners=tuple(
            _movable(corner, before, limit, f"the crossover {limit['name']}")
            # Limits go on with crossovers that cannot be moved and are in no draft.
            for corner, before, limit in zip(
                sent.corners, own["corners"], limits["corners"], strict=False
            )
        ),
        delays=tuple(
            _movable(
                sent.delays[name],
                own["delays"][name],
                limits["delays"][name],
                f"the delay of '{name}'",
            )
            for name in names
        ),
        edges=_edges(sent, limits["edges"]),
    )


def _place(
    sent: tuple[float, float], before: tuple[float, float], driver: Mapping[str, Any]
) -> tuple[float, float]:
    name = driver["name"]
    if driver["movable"]:
        across, up = driver["span"]
        return (
            _within(sent[0], across, f"the place of '{name}' across"),
            _within(sent[1], up, f"the place of '{name}' up"),
        )
    if any(abs(now - was) > SLACK for now, was in zip(sent, before, strict=True)):
        raise NotUnderstoodError(f"'{name}' cannot be moved: {driver['why']}")
    return before[0], before[1]


def _movable(sent: float, before: float, limit: Mapping[str, Any], what: str) -> float:
    if limit["movable"]:
        return _within(sent, limit["span"], what)
    if not math.isclose(sent, before, rel_tol=SLACK, abs_tol=SLACK):
        raise NotUnderstoodError(f"{what} cannot be moved: {limit['why']}".capitalize())
    return before


def _within(value: float, span: tuple[float, float], what: str) -> float:
    low, high = span
    if not low - SLACK <= value <= high + SLACK:
        raise NotUnderstoodError(f"{what} is to lie between {low:g} and {high:g}.".capitalize())
    return min(max(value, low), high)


def _edges(sent: SentDraft, kinds: list[Mapping[str, Any]]) -> Edges:
    kind = sent.edges.kind
    possible = {each["kind"]: each for each in kinds}
    if kind not in possible or possible[kind]["why"]:
        why = possible[kind]["why"] if kind in possible else "this shape has none"
        raise NotUnderstoodError(f"The edges cannot be made {kind}: {why}")
    if kind in ("as drawn", "square"):
        return Edges(kind)
    return Edges(kind, _within(sent.edges.size, (0.0, possible[kind]["most"]), "the edges' size"))
