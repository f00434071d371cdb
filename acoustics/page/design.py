"""What a tab is told of a design first: what there is, and how far it may be moved."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from acoustics.cabinet import face_frame
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import uncut_body
from acoustics.conventions import PLACEMENT
from acoustics.page.reading import Reading
from acoustics.prediction import package_version
from acoustics.studies.driver_map.study import METRICS
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.grid import AXIS_ANGLES, page_frequencies, page_heights
from acoustics.studies.live.limits import Limits, ValueLimits

FRONT = 0
"""index of every body's front face"""


def design_message(reading: Reading, draft: Draft, limits: Limits) -> dict[str, Any]:
    """The message "design"; lengths in m, frequencies in Hz, delays in s."""
    case = reading.case
    return {
        "say": "design",
        "title": case.title,
        "note": case.note,
        "file": reading.file.name,
        "seen": reading.seen,
        "draft": draft_message(case, draft),
        "drivers": [
            {
                "name": driver.name,
                "face": driver.face,
                "radius": driver.piston_diameter / 2,
                "frame": driver.frame_diameter / 2,
                "movable": limit.movable,
                "why": limit.why_not,
                "span": [list(limit.right), list(limit.up)],
                "inverted": driver.inverted,
            }
            for driver, limit in zip(case.drivers, limits.places, strict=True)
        ],
        "front": {"outline": _outline(case), "others": list(_others(case))},
        "limits": {
            "ear_height": list(limits.ear_height),
            "distance": list(limits.distance),
            "corners": [{"name": each.name, **_value(each)} for each in limits.corners],
            "delays": {each.name: _value(each) for each in limits.delays},
            "edges": [
                {"kind": each.kind, "most": each.most, "why": each.why_not} for each in limits.edges
            ],
        },
        "frequency": page_frequencies(case).values().tolist(),
        "angles": list(AXIS_ANGLES),
        "heights": page_heights(case).tolist(),
        "ear_heights": list(case.seat.ear_heights),
        "pair": case.placement.pair,
        "surfaces": [surface.name for surface in case.surfaces],
        "map_metrics": [
            {"by": by, "words": PLACEMENT[by].long_name, "less_is_better": sense > 0}
            for by, sense in METRICS.items()
        ],
        "version": package_version(),
    }


def draft_message(case: Case, draft: Draft) -> dict[str, Any]:
    """A draft by the names of drivers."""
    names = [driver.name for driver in case.drivers]
    return {
        "places": {name: list(at) for name, at in zip(names, draft.places, strict=True)},
        "ear_height": draft.ear_height,
        "distance": draft.distance,
        "corners": list(draft.corners),
        "delays": dict(zip(names, draft.delays, strict=True)),
        "edges": {"kind": draft.edges.kind, "size": draft.edges.size},
    }


def _value(limit: ValueLimits) -> dict[str, Any]:
    return {"span": list(limit.span), "movable": limit.movable, "why": limit.why_not}


def _outline(case: Case) -> list[list[float]]:
    """Corners of the front face before its edges are cut, from its centre."""
    body = uncut_body(case.cabinet)
    frame = face_frame(body, FRONT)
    corners = body.points[list(body.faces[FRONT].corners)] - frame.centre
    return [[float(x @ frame.right), float(x @ frame.up)] for x in corners]


def _others(case: Case) -> Iterator[dict[str, Any]]:
    """Ports and passive radiators; a slot as the disc of its area, with its width and height."""
    for enclosure in case.enclosures:
        for port in enclosure.ports:
            radius = math.sqrt(math.prod(port.size) / math.pi) if port.slot else port.size[0] / 2
            slot = {"size": list(port.size)} if port.slot else {}
            yield _other(f"port {port.name}", port.face, port.position, radius) | slot
        for cone in enclosure.passive_radiators:
            what = f"passive radiator {cone.name}"
            yield _other(what, cone.face, cone.position, cone.frame_diameter / 2)


def _other(what: str, face: str, at: tuple[float, float], radius: float) -> dict[str, Any]:
    return {"what": what, "face": face, "at": list(at), "radius": radius}
