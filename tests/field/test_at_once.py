"""One piston in one pass over the edges is the same field as the solver's own sum over them."""

from __future__ import annotations

import numpy as np
import pytest

import acoustics as ac
from acoustics.cabinet import dome
from acoustics.field.at_once import Listening, lean, orders_of
from acoustics.field.piston import place_source

BODY = ac.Body.box(width=0.21, height=0.36, depth=0.28)
RECEIVERS = np.array([[0.0, 0.09, 2.0], [1.0, 0.1, 1.7], [-1.4, 0.0, 1.2], [0.3, -0.4, -1.5]])
FREQUENCY = np.array([120.0, 500.0, 1700.0, 2900.0])

WITHIN = 0.02
"""dB, where levels are within 20 dB of the loudest"""

ACCURACY = 0.1
"""dB likewise: what the solver keeps to unless told"""


@pytest.fixture(scope="module")
def heard():
    return ac.face_field(BODY, 0, RECEIVERS, FREQUENCY)


def at_once(heard, piston, receivers=RECEIVERS):
    """The whole field, (frequency, receiver), and its nearest orders alone."""
    listening = Listening(receivers)
    whole, nearest = [], []
    for asked in heard.asked:
        source = place_source(asked.problem.body, piston)
        parts = orders_of(lean(asked, 0), source, listening)
        whole.append((parts.first + parts.higher).T)
        nearest.append(parts.first.T)
    return np.concatenate(whole), np.concatenate(nearest)


def bare(solved):
    """A field as it is in units where a free point source gives exp(−jkR)/R."""
    scale = 0.5j * FREQUENCY * ac.Air().density
    return solved.values[0] / scale[:, None]


def deviation(found, truth):
    size = np.abs(truth)
    counts = size > 0.1 * size.max(axis=1, keepdims=True)
    return np.abs(20 * np.log10(np.abs(found) / size))[counts].max()


@pytest.mark.parametrize(
    "piston",
    [
        ac.Piston(0.0127, (0.02, 0.09, 0.0)),
        ac.Piston(0.06, (0.0, -0.07, 0.0)),
        ac.Piston(0.0127, (0.091, 0.166, 0.0)),
        ac.Piston(0.0127, (0.01, 0.1, 0.0), profile=dome(0.004, 0.0127)),
    ],
    ids=["tweeter", "woofer", "in a corner", "dome"],
)
def test_it_is_the_field_of_the_solver(heard, piston):
    found, _ = at_once(heard, piston)
    assert deviation(found, bare(heard.field([piston]))) < WITHIN
    forward = bare(ac.solve_field(BODY, [piston], RECEIVERS, FREQUENCY))
    assert deviation(found, forward) < ACCURACY


def test_higher_orders_are_a_part_of_it(heard):
    piston = ac.Piston(0.0127, (0.02, 0.09, 0.0))
    found, nearest = at_once(heard, piston)
    assert deviation(nearest, found) > 0.3


def test_nearest_orders_reach_receivers_that_did_not_ask(heard):
    piston, moved = ac.Piston(0.03, (0.02, 0.05, 0.0)), RECEIVERS + np.array([0.3, 0.2, 0.1])
    _, nearest = at_once(heard, piston, moved)
    other = ac.face_field(BODY, 0, moved, FREQUENCY)
    np.testing.assert_allclose(nearest, at_once(other, piston, moved)[1], rtol=1e-4, atol=1e-6)
