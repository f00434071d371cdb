"""Why a draft cannot be built, in plain words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Moved, Place, Span
from acoustics.case.text.units import hertz, in_unit
from acoustics.conventions import GeometryError
from acoustics.studies.layout_search.places import broken
from acoustics.studies.layout_search.rules import rules_of
from acoustics.studies.layout_search.sites import sites_of
from acoustics.studies.layout_search.variant import treated_cabinet
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.edges import edges_of
from acoustics.studies.live.limits import corner_limits, delay_limits, distance_span, ear_span

SLACK = 1e-9


def why_not(case: Case, draft: Draft) -> tuple[str, ...]:
    """What keeps a draft from being built: a frame over an edge, two in each other's way, a port.

    Empty if nothing does. What is in the way of frames alone does not keep a draft from being
    heard. Quick, so that it can be asked while a hand moves; what else a case file would be refused
    for is told by `drafted`.
    """
    return (*_on_the_faces(case, draft), *_beyond_limits(case, draft))


def _on_the_faces(case: Case, draft: Draft) -> tuple[str, ...]:
    """Rules of the wood, every driver being one that may move."""
    try:
        edges = edges_of(case, draft)
        if edges is not None:
            case = replace(case, cabinet=treated_cabinet(case.cabinet, edges))
        sites = sites_of(case, [Moved(driver.name) for driver in case.drivers])
    except GeometryError as error:
        return (f"the edges cannot be had: {error}",)
    return broken(rules_of(case, Place(), sites), [np.array(place) for place in draft.places])


def _beyond_limits(case: Case, draft: Draft) -> Iterator[str]:
    """Values that a draft cannot have."""
    spans: dict[str, tuple[float, Span, Callable[[float], str]]] = {
        "the ears": (draft.ear_height, ear_span(case), _metres),
        "the main seat": (draft.distance, distance_span(case), _metres),
    }
    for at, corner in zip(draft.corners, corner_limits(case), strict=False):
        spans[f"the corner of {corner.name}"] = (at, corner.span, hertz)
    for delay, each in zip(draft.delays, delay_limits(case), strict=True):
        spans[f"the delay of '{each.name}'"] = (delay, each.span, _milliseconds)
    for what, (value, span, said) in spans.items():
        if not _within(value, span):
            yield (
                f"{what}: {said(value)} is beyond what can be set, "
                f"{said(span[0])} to {said(span[1])}"
            )


def _within(value: float, span: Span) -> bool:
    slack = SLACK * max(map(abs, span))
    return span[0] - slack <= value <= span[1] + slack


def _metres(value: float) -> str:
    return in_unit(value, "m", digits=4)


def _milliseconds(value: float) -> str:
    return in_unit(value, "ms", digits=4)
