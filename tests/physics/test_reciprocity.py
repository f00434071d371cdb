"""A small source and its receiver change places and nothing changes (Rayleigh 1873)."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, plate

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
CHAMFERED = chamfered(
    BOX, [EdgeCut("front left", (0.025, 0.025)), EdgeCut("front right", (0.025, 0.025))]
)
FREQUENCY = np.array([80.0, 700.0, 3000.0])
# A piston this small is a point: its own extent counts for (ka)²/8, 4e-8 at 3 kHz.
TINY = 1e-5
PAIRS = {
    "same face": (BOX, (0.03, 0.08, 0.0), (-0.05, -0.1, 0.0)),
    "neighbouring faces": (BOX, (0.03, 0.08, 0.0), (0.11, -0.06, -0.12)),
    "opposite faces": (BOX, (0.03, 0.08, 0.0), (0.05, -0.1, -0.30)),
    "top and side": (BOX, (0.03, 0.19, -0.1), (-0.11, -0.06, -0.22)),
    "close to an edge": (BOX, (0.105, 0.08, 0.0), (0.02, -0.1, -0.30)),
    "chamfered": (CHAMFERED, (0.03, 0.08, 0.0), (0.0975, -0.06, -0.0125)),
    "plate": (plate(width=0.3, height=0.4), (0.03, 0.08, 0.0), (-0.05, -0.1, 0.0)),
}


def both_ways(body, one, other, accuracy):
    """The field of a piston at each of two points, heard at both."""
    pistons = [Piston(TINY, one), Piston(TINY, other)]
    return solve_field(body, pistons, np.array([one, other]), FREQUENCY, accuracy=accuracy)


@pytest.mark.parametrize("accuracy", [0.1, 0.03, 0.01])
@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS.keys())
def test_within_the_accuracy_or_the_error_reported(pair, accuracy):
    field = both_ways(*pair, accuracy)
    there, back = field.values[0, :, 1], field.values[1, :, 0]
    reported = field.error_estimate.values[0, :, 1] + field.error_estimate.values[1, :, 0]
    difference = np.abs(20 * np.log10(np.abs(there / back)))
    assert (difference <= np.maximum(accuracy, reported)).all()


@pytest.mark.slow
@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS.keys())
def test_at_the_finest(pair):
    body, one, other = pair
    field = both_ways(body, one, other, 0.001).values
    # Twice a free source's sound at the straight distance: the most there is.
    most = 1.2 * FREQUENCY / np.linalg.norm(np.subtract(one, other))
    share = np.abs(field[0, :, 1] - field[1, :, 0]) / most
    assert share.max() <= 1e-6
