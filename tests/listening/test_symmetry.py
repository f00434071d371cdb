"""Left held against right, with levels put in by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.listening.symmetry import mirrored_difference, rms_side_difference, side_difference

FREQUENCY = np.geomspace(100.0, 20_000.0, 93)
ANGLES = np.arange(-90.0, 91.0, 30.0)


def louder_to_the_right(decibels):
    """A horizontal arc whose right is louder by so many dB at each angle, the vertical one even."""
    gain = {angle: 10 ** (more / 20) for angle, more in decibels.items()}
    arc = np.ones((2, ANGLES.size, FREQUENCY.size), dtype=complex)
    for row, angle in enumerate(ANGLES):
        arc[0, row] = gain.get(angle, 1.0)
    return xr.Dataset(
        {"arc_total": (("plane", "angle", "frequency"), arc)},
        coords={"plane": ["horizontal", "vertical"], "angle": ANGLES, "frequency": FREQUENCY},
    )


def test_the_right_less_the_left_up_to_60_degrees():
    arcs = louder_to_the_right({30.0: 2.0, 60.0: -1.0, 90.0: 7.0})
    found = side_difference(arcs)
    assert found.angle.values.tolist() == [30.0, 60.0]
    assert found.sel(angle=30.0).values == pytest.approx(2.0)
    assert found.sel(angle=60.0).values == pytest.approx(-1.0)
    assert found.frequency.values.min() >= 300.0
    assert found.frequency.values.max() <= 10_000.0
    assert found.attrs["units"] == "dB"
    # Root mean square of 2 dB and −1 dB.
    assert float(rms_side_difference(arcs)) == pytest.approx(np.sqrt(2.5))
    assert side_difference(arcs, within=30.0).angle.values.tolist() == [30.0]


def test_mirrored_pairs_of_directions():
    """Pairs are found wherever they stand; what is vertical, ahead or alone has no mirror image."""
    directions = [
        ("horizontal", 0.0), ("horizontal", -30.0), ("vertical", 30.0), ("vertical", -30.0),
        ("horizontal", 60.0), ("horizontal", 30.0), ("horizontal", -60.0), ("horizontal", 80.0),
    ]  # fmt: skip
    level = np.array([5.0, 0.0, 9.0, -9.0, 3.0, 4.0, 0.0, 20.0])
    power = 10 ** (level[:, None] / 10) * np.ones(FREQUENCY.size)
    one = xr.DataArray(power, dims=("direction", "frequency"))
    found = mirrored_difference(one, directions, FREQUENCY)
    assert float(found) == pytest.approx(np.sqrt((4.0**2 + 3.0**2) / 2))
    alone = mirrored_difference(one[:1], directions[:1], FREQUENCY)
    assert float(alone) == 0.0
    several = xr.concat([one, one * 2.0], "design").transpose("frequency", "direction", "design")
    both = mirrored_difference(several, directions, FREQUENCY)
    assert both.dims == ("design",)
    assert both.values == pytest.approx(float(found))


def test_one_degree_beside_the_axis_counts():
    """On a fine arc the first angle to the right is 1 degree; the axis has no mirror image."""
    arcs = louder_to_the_right({30.0: 2.0}).assign_coords(angle=ANGLES / 30.0)
    assert side_difference(arcs).angle.values.tolist() == [1.0, 2.0, 3.0]
    assert side_difference(arcs).sel(angle=1.0).values == pytest.approx(2.0)
