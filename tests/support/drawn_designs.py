"""Cabinets, drivers and places to listen, drawn alike in every run (hypothesis)."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from hypothesis import strategies as st

from acoustics import Body, Piston
from acoustics.cabinet import (
    EdgeCut,
    Face,
    Round,
    RoundedBody,
    chamfered,
    cone,
    dome,
    edge_distances,
    flat_parts,
    rounded,
    sloped_front,
    truncated_pyramid,
)

SIDES = ("front left", "front right")

LEAST_TURN = np.radians(15.0)
"""below it the solver errs by more than its tier (DEVELOPERS, "Shallow edges")"""

MARGIN = 0.002
"""m from a rim to the nearest edge"""


class Design(NamedTuple):
    """A cabinet, a driver on any of its faces, and places round it."""

    body: Body | RoundedBody
    piston: Piston
    receivers: np.ndarray
    """(receiver, 3), m"""


@st.composite
def designs(draw, kinds=("box", "chamfers", "pyramid", "slope")):
    """Designs of the given kinds; "rounds" are bodies with true arcs."""
    body = draw(bodies(draw(st.sampled_from(kinds))).filter(turns_enough))
    faces = len(flat_parts(body).faces) if isinstance(body, Body) else 6
    piston = draw(pistons(body, draw(st.integers(0, faces - 1))).filter(lambda found: found))
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    return Design(body, piston, places_round(body, piston, rng))


@st.composite
def bodies(draw, kind):
    """A cabinet of 0.1 to 0.4 m."""
    width, height, depth = (draw(st.floats(0.10, 0.40)) for _ in range(3))
    box = Body.box(width=width, height=height, depth=depth)
    if kind == "chamfers":
        sizes = [draw(st.floats(0.005, 0.03)) for _ in range(4)]
        return chamfered(box, [EdgeCut(SIDES[n], tuple(sizes[2 * n : 2 * n + 2])) for n in (0, 1)])
    if kind == "rounds":
        return rounded(box, draw(st.floats(0.005, 0.03)), SIDES)
    if kind == "pyramid":
        across, up = draw(st.floats(0.5, 0.85)), draw(st.floats(0.5, 0.85))
        shift = draw(st.floats(-0.02, 0.02)), draw(st.floats(-0.02, 0.02))
        front = (across * width, up * height)
        return truncated_pyramid(front=front, back=(width, height), depth=depth, shift=shift)
    if kind == "slope":
        lean = np.radians(draw(st.floats(-15.0, 20.0)))
        return sloped_front(width=width, height=height, depth=depth + 0.2, lean=lean)
    return box


def turns_enough(body):
    return not isinstance(body, Body) or body.wedge_angles.min() - np.pi > LEAST_TURN


@st.composite
def pistons(draw, body, face):
    """A flat piston, a dome or a cone on a face, or None where none fits."""
    flat = flat_parts(body)
    loop = flat.points[list(flat.faces[face].corners)]
    shares = np.array([draw(st.floats(0.1, 1.0)) for _ in loop])
    centre = shares @ loop / shares.sum()
    room = float(edge_distances(flat, face, centre).min()) - MARGIN
    radius = min(draw(st.floats(0.3, 0.95)) * room, 0.06)
    if radius < 0.002:
        return None
    piston = Piston(radius, tuple(map(float, centre)), face=face)
    shape = draw(st.sampled_from(("flat", "dome", "cone")))
    deep = draw(st.floats(0.1, 0.6)) * radius
    if shape == "flat":
        return piston
    return replace(piston, profile=dome(deep, radius) if shape == "dome" else cone(deep, radius))


def places_round(body, piston, rng):
    """Outside the body: all round, in planes of faces, on faces and on extensions of edges."""
    solid = body if isinstance(body, Body) else body.with_facets([4] * len(body.rounds))
    towards = rng.normal(size=(5, 3))
    towards /= np.linalg.norm(towards, axis=1)[:, None]
    places = list(towards * 10 ** rng.uniform(-0.2, 1.0, 5)[:, None])
    if isinstance(body, Body):
        for edge in rng.choice(len(body.edges), 2, replace=False):
            start, end, along = ends_of(body, body.edges[edge])
            inward = body.in_tangent(body.edges[edge], 0)
            places.append(start + rng.uniform() * (end - start) - rng.uniform(0.1, 2.0) * inward)
            places.append(end + rng.uniform(0.1, 2.0) * along)
        face = body.faces[rng.integers(len(body.faces))]
        places.append(body.points[list(face.corners)].mean(axis=0))
    places = np.array(places)
    outside = solid.heights_above_faces(places).max(axis=1) >= 0.0
    apart = np.linalg.norm(places - piston.centre, axis=1) > 0.05
    return places[outside & apart]


def ends_of(body, edge):
    """Its ends and unit vector."""
    start, end = body.points[edge.start], body.points[edge.end]
    return start, end, (end - start) / np.linalg.norm(end - start)


def scaled(design, size):
    """All lengths times a size."""
    body, piston, receivers = design
    if isinstance(body, RoundedBody):
        rounds = tuple(Round(item.edge, size * item.radius) for item in body.rounds)
        larger = RoundedBody(_times(body.base, [size] * 3), rounds)
    else:
        larger = _times(body, [size] * 3)
    depth = tuple(size * deep for deep in piston.profile.depth)
    driver = replace(
        piston,
        radius=size * piston.radius,
        centre=tuple(size * x for x in piston.centre),
        profile=replace(piston.profile, depth=depth),
    )
    return Design(larger, driver, size * receivers)


def mirrored(design):
    """Left and right exchanged; faces keep their numbers."""
    body, piston, receivers = design
    if isinstance(body, RoundedBody):
        turn = {"left": "right", "right": "left"}
        rounds = tuple(
            Round(" ".join(turn.get(word, word) for word in item.edge.split()), item.radius)
            for item in body.rounds
        )
        base = body.base  # a box is its own image, but for the numbers of its sides
        face = {2: 3, 3: 2}.get(piston.face, piston.face)
        image = RoundedBody(base, rounds)
    else:
        other = _times(body, [-1.0, 1.0, 1.0], check=False)
        image, face = other, piston.face
    centre = (-piston.centre[0], *piston.centre[1:])
    return Design(image, replace(piston, centre=centre, face=face), receivers * [-1, 1, 1])


def _times(body, factors, check=True):
    corners = tuple(tuple(float(x) for x in corner) for corner in body.points * factors)
    faces = body.faces if check else tuple(Face(face.corners[::-1]) for face in body.faces)
    return Body(corners, faces)
