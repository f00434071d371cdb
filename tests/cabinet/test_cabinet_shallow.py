"""Edges that hardly turn: refused, with what to do."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, GeometryError, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, refuse_shallow, truncated_pyramid

BOX = Body.box(width=0.22, height=0.38, depth=0.30)


def cut(depth):
    """A chamfer 40 mm wide on the front that turns away from it by atan(depth/40 mm)."""
    return chamfered(BOX, [EdgeCut("front left", (0.04, depth))])


def test_a_chamfer_of_three_degrees_is_refused_by_name_and_place():
    with pytest.raises(GeometryError) as told:
        refuse_shallow(cut(0.0021))
    message = str(told.value)
    assert "the front face and the face 3° left turn by only 3°" in message
    assert "(-70, 190, 0) mm" in message
    assert "one flat face" in message


@pytest.mark.parametrize("body", [BOX, cut(0.003), cut(0.04)], ids=["box", "4.3°", "45°"])
def test_what_turns_by_more_is_not(body):
    refuse_shallow(body)


def test_walls_that_lean_a_little_turn_by_nearly_a_right_angle():
    refuse_shallow(truncated_pyramid(front=(0.2, 0.3), back=(0.205, 0.305), depth=0.3))


def test_the_solver_refuses_it():
    with pytest.raises(GeometryError, match="turn by only"):
        solve_field(
            cut(0.001), [Piston(0.0127, (0.02, 0.05, 0.0))], np.array([[0, 0, 1.0]]), [100.0]
        )
