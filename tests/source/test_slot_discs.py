"""Where the discs are that stand for a slot."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from acoustics.cabinet import face_of
from acoustics.case import read_case
from acoustics.source.pistons import all_pistons

CASE = """
title = "A box with a slot"
[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "0 mm"]
sensitivity = 88.0
[seat]
distance = "2.5 m"
ear_heights = ["0.95 m"]
[enclosures.bass]
kind = "vented"
drivers = ["woofer"]
volume = "14 l"
[enclosures.bass.ports.slot]
width = "WIDTH mm"
height = "HEIGHT mm"
length = "100 mm"
face = "back"
position = ["RIGHT mm", "UP mm"]
"""


@pytest.mark.parametrize(
    # A millimetre from the right or the top edge of the back face, 110 and 190 mm from its centre.
    ("width", "height", "right", "up"),
    [(30, 20, 94, 0), (50, 20, 84, 0), (20, 30, 0, 174), (20, 34, 0, 172), (160, 20, 0, 179)],
)
def test_they_are_inside_it_and_apart(
    tmp_path: Path, width: int, height: int, right: int, up: int
) -> None:
    text = CASE.replace("WIDTH", str(width)).replace("HEIGHT", str(height))
    text = text.replace("RIGHT", str(right)).replace("UP", str(up))
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    found = all_pistons(read_case(tmp_path))
    _, *discs = found.pistons
    for disc in discs:
        face_of(found.body, disc)  # refuses what crosses an edge
    # As one sees the back from outside, right is toward -x.
    places = (
        np.array([disc.centre for disc in discs])[:, :2] * [-1, 1] - np.array([right, up]) / 1e3
    )
    beyond = np.abs(places) + discs[0].radius - np.array([width, height]) / 2e3
    assert beyond.max() < 1e-12
    steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
    assert (steps >= 2 * discs[0].radius - 1e-12).all()
