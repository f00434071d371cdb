"""Just behind the plane of a face: who is told so, how it dies out, and that all ways agree."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Air, Body, Piston, face_field, solve_field
from acoustics.cabinet import thin_plate
from acoustics.field.grid import edge_table
from acoustics.field.penumbra import BAND, basis_shares, behind_faces, view_behind
from acoustics.field.quadrature import gauss_rule
from acoustics.field.views import view_from_edge

AIR = Air(speed_of_sound=343.0, density=1.2)
BOX = Body.box(width=0.2, height=0.3, depth=0.25)
FRONT = 0


def edge_of_front(body, edges, direction):
    """The edge of the front face whose inward tangent points in a direction, and its side."""
    for edge in range(edges.length.size):
        for side in (0, 1):
            inward = edges.tangent[edge, side]
            if edges.faces[edge, side] == FRONT and inward @ direction > 0.99:
                return edge, side
    raise AssertionError("no such edge")


def beside(angle, distance=1.0):
    """A receiver so far to the right of the box's left front edge, at an angle above the plane."""
    return [-0.1 + distance * np.cos(angle), 0.03, distance * np.sin(angle)]


def seen_behind(body, places):
    """What the left edge of the front face sees in the band, and where that receiver lies."""
    edges = edge_table(body)
    edge, side = edge_of_front(body, edges, np.array([1.0, 0.0, 0.0]))
    receivers = np.array(places)
    view = view_from_edge(body, edges, edge, side, receivers)
    behind = behind_faces(body, edges, receivers)
    return view_behind(edges, edge, side, receivers, view, behind)


@pytest.mark.parametrize("part", [0.01, 0.5, 0.99])
def test_who_is_in_the_band_is_seen_as_in_the_plane(part):
    found = seen_behind(BOX, [beside(-part * BAND), beside(0.1 * BAND), beside(-1.01 * BAND)])
    assert found.index.tolist() == [0]
    assert found.theta[0] == 0.0
    # The distance is kept, so that waves arrive when they did.
    assert found.rho[0] == pytest.approx(1.0, rel=1e-12)
    assert found.share[0] == pytest.approx((1.0 - part**2) ** 2, rel=1e-9)


def test_who_is_in_the_plane_gets_the_half_that_the_edge_does_not_see():
    found = seen_behind(BOX, [beside(0.0)])
    assert found.index.tolist() == [0]
    assert found.share[0] == 0.5


def test_who_is_behind_the_face_itself_is_not_in_the_band():
    """Of a plate alone: behind other faces lies the body."""
    plate = thin_plate([(-0.1, -0.15), (0.1, -0.15), (0.1, 0.15), (-0.1, 0.15)])
    over, beyond = [0.05, 0.0, -1e-4], [0.5, 0.0, -1e-4]
    assert seen_behind(plate, [over, beyond]).index.tolist() == [1]


def test_the_basis_carries_what_it_is_made_of():
    """(1 − x²)·p(x) with x = tanh(νa/2) and any polynomial p of lower degree than it has nodes."""
    nu, directions = 2.0 / 3.0, 8
    ahead = np.array([[-2.0, -0.3, 0.0], [0.1, 0.7, 3.0]])
    rho = np.array([0.4, 0.5, 0.6])
    x = np.tanh(0.5 * nu * np.arcsinh(ahead / rho))

    def spectrum(x):
        return (1.0 - x**2) * (0.3 - x + 2.0 * x**3 - x**7)

    shares = basis_shares(ahead, rho, nu, directions)
    told = shares @ spectrum(gauss_rule(directions).x)
    np.testing.assert_allclose(told, spectrum(x), atol=1e-13)


FREQUENCY = np.array([150.0, 1200.0])


def both_sides(body, piston, accuracy):
    """Field over ±0.001° and in the plane, at −2, −0.5 and 2 bands, relative to the largest."""
    turns = np.array([-2.0 * BAND, -0.5 * BAND, -1.7e-5, 0.0, 1.7e-5, 2.0 * BAND])
    receivers = np.array([beside(turn) for turn in turns])
    field = solve_field(body, [piston], receivers, FREQUENCY, air=AIR, accuracy=accuracy).values[0]
    return receivers, field / np.abs(field).max(axis=-1, keepdims=True)


@pytest.mark.parametrize("centre", [(0.0, 0.0, 0.0), (0.08, 0.0, -0.25)], ids=["front", "back"])
def test_the_band_keeps_to_the_tier_and_makes_no_step(centre):
    piston = Piston(0.015, centre)
    _, coarse = both_sides(BOX, piston, 0.1)
    _, fine = both_sides(BOX, piston, 0.01)
    # The field itself leans; only a step bends it.
    assert np.abs(np.diff(coarse[:, 2:5], n=2)).max() < 1e-5
    assert np.abs(coarse - fine).max() < 5e-3


def test_by_reciprocity_the_band_is_the_same():
    """But for where the sweeps end: in the band by as much as outside it, of which 6e-4 is left."""
    piston = Piston(0.015, (0.02, 0.05, 0.0))
    receivers, _ = both_sides(BOX, piston, 0.1)
    one = solve_field(BOX, [piston], receivers, FREQUENCY, air=AIR).values
    other = face_field(BOX, FRONT, receivers, FREQUENCY, air=AIR).field([piston]).values
    assert (np.abs(one - other) / np.abs(one).max(axis=-1, keepdims=True)).max() < 1e-3
