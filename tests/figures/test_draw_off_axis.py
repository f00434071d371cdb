"""Off-axis curves and maps show the data, on the side they say."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.figures.off_axis_curves import draw_off_axis_curves, shown_angles
from acoustics.figures.off_axis_map import STEPS, draw_off_axis_map, signed
from acoustics.listening import level, off_axis_level


@pytest.mark.parametrize(
    ("plane", "side", "title"),
    [
        ("horizontal", 1, "to the right"),
        ("horizontal", -1, "to the left"),
        ("vertical", 1, "up"),
        ("vertical", -1, "down"),
    ],
)
def test_curves_are_the_levels_of_their_angles(axes, prediction, curve, plane, side, title):
    levels = level(prediction.arc_total.sel(plane=plane))
    draw_off_axis_curves(axes, levels, side=side)
    assert axes.get_title(loc="left") == title
    assert axes.get_xlabel() == "Frequency in Hz"
    assert axes.get_ylabel() == "Level in dB re 20 µPa"
    names = [text.get_text() for text in axes.get_legend().get_texts()]
    assert names == ["0°", "15°", "30°", "45°", "60°", "75°", "90°"]
    for angle in (0, 30, 90):
        x, y = curve(axes, f"{angle}°")
        np.testing.assert_array_equal(x, prediction.frequency.values)
        np.testing.assert_array_equal(y, levels.sel(angle=side * angle).values)
    low, high = axes.get_ylim()
    assert high - low == 50
    assert high > float(levels.sel(angle=0).max())


@pytest.mark.parametrize(
    ("step", "side", "angles"),
    [
        (5.0, 1, [0, 15, 30, 45, 60, 75, 90]),
        (5.0, -1, [0, -15, -30, -45, -60, -75, -90]),
        (30.0, 1, [0, 30, 60, 90]),
    ],
)
def test_angles_not_predicted_are_not_invented(step, side, angles):
    shown = shown_angles(np.arange(-180 + step, 180.1, step), side)
    assert set(angles) <= set(shown)
    assert len(shown) == len(set(shown))
    assert set(shown) <= set(np.arange(-180 + step, 180.1, step))


def test_map_covers_the_circle_in_steps_of_3_decibels(axes, prediction):
    relative = off_axis_level(prediction).sel(plane="vertical")
    draw_off_axis_map(axes, relative)
    assert axes.get_ylim() == (-180, 180)
    assert "down −, up +" in axes.get_ylabel()
    filled = axes.collections[0]
    np.testing.assert_array_equal(filled.levels, STEPS)
    assert set(np.diff(STEPS)) == {3.0}
    bar = axes.figure.axes[-1]
    assert "relative to the axis in dB" in bar.get_ylabel()
    assert [label.get_text() for label in bar.get_yticklabels()] == [
        "−36", "−30", "−24", "−18", "−12", "−6", "0", "+6"
    ]  # fmt: skip


def test_map_marks_the_beam_where_the_level_has_fallen_by_6_decibels(axes, prediction):
    relative = off_axis_level(prediction).sel(plane="horizontal")
    draw_off_axis_map(axes, relative)
    (beam,) = [c for c in axes.collections if list(getattr(c, "levels", [])) == [-6.0]]
    points = np.concatenate([path.vertices for path in beam.get_paths()])
    frequency = 16_000.0
    near = points[np.isclose(points[:, 0], frequency, rtol=0.02)]
    drawn = near[(near[:, 1] > 0) & (near[:, 1] < 90)][:, 1]
    # 25 mm piston: 2·J1(x)/x = 1/2 at x = 2.2151 (Beranek & Mellow, Acoustics, 2012, from memory).
    k = 2 * np.pi * frequency / 343.0
    expected = np.degrees(np.arcsin(2.2151 / (k * 0.0125)))
    assert drawn == pytest.approx(expected, abs=4)  # straight lines between angles 5° apart


@pytest.mark.parametrize(("step", "text"), [(-6.0, "−6"), (0.0, "0"), (3.0, "+3")])
def test_levels_have_their_sign(step, text):
    assert signed(step) == text
