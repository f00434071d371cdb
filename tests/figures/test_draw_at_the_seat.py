"""Reference axis, height and floor: curves are the data, marks are where the answers say."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.figures.ear_height import draw_ear_height, mark_ear_heights
from acoustics.figures.floor_bounce import draw_floor_bounce
from acoustics.figures.reference_axis import draw_reference_axis
from acoustics.listening import floor_bounce, level, lobing
from acoustics.studies.wording import hertz


def test_reference_axis_shows_sum_shares_and_crossovers(axes, prediction, curve):
    on_axis = prediction.sel(plane="horizontal", angle=0.0)
    crossovers = prediction.attrs["crossover_frequencies"]
    draw_reference_axis(axes, level(on_axis.arc_total), level(on_axis.arc_pressure), crossovers)
    _, total = curve(axes, "all together")
    np.testing.assert_array_equal(total, level(on_axis.arc_total).values)
    for driver in ("woofer", "midrange", "tweeter"):
        _, share = curve(axes, f"{driver} alone")
        np.testing.assert_array_equal(share, level(on_axis.arc_pressure.sel(driver=driver)).values)
    assert [text.get_text() for text in axes.texts] == [hertz(f) for f in crossovers]
    assert "dB re 20 µPa" in axes.get_ylabel()
    low, high = axes.get_ylim()
    assert high - low == 50


def test_height_runs_up_the_vertical_axis(axes, prediction, curve):
    around = lobing(prediction).isel(crossover=1)
    draw_ear_height(axes, around)
    levels, heights = curve(axes, "at the crossover")
    np.testing.assert_array_equal(heights, prediction.height.values)
    np.testing.assert_array_equal(levels, around.height_level.sel(offset=0.0).values)
    assert axes.get_ylabel() == "Height above the floor in m"
    assert axes.get_xlabel() == "Level in dB re 20 µPa"
    assert axes.get_ylim() == (prediction.height.values[0], prediction.height.values[-1])
    assert [text.get_text() for text in axes.texts] == ["ear 0.90 m", "ear 1.10 m"]
    names = ["at the crossover", "half an octave above", "half an octave below"]
    assert sorted(axes.get_legend_handles_labels()[1]) == names


def test_close_ear_heights_share_a_label(axes):
    axes.set_ylim(0.3, 2.0)
    mark_ear_heights(axes, np.array([1.20, 0.90, 0.93]))
    assert [text.get_text() for text in axes.texts] == ["ear 0.90, 0.93 m", "ear 1.20 m"]


def test_floor_bounce_marks_its_dips(axes, prediction, curve):
    levels = level(prediction.seat_total).isel(ear_height=0)
    dip = floor_bounce(prediction).isel(ear_height=0)
    draw_floor_bounce(axes, levels, dip)
    x, with_floor = curve(axes, "with the floor")
    shown = levels.sel(frequency=x)
    np.testing.assert_array_equal(with_floor, shown.sel(surroundings="with floor").values)
    np.testing.assert_array_equal(
        curve(axes, "no floor")[1], shown.sel(surroundings="free space").values
    )
    where = float(dip.dip_frequency)
    marks = [line.get_xdata()[0] for line in axes.lines if len(line.get_xdata()) == 2]
    assert dip.deepest_dip_depth > dip.dip_depth + 1
    assert marks == [where, float(dip.deepest_dip_frequency)]
    first, deepest = axes.get_title(loc="left").split("\n")
    assert first.startswith("ear at 0.90 m: first dip at ")
    assert hertz(where) in first
    assert str(dip.dip_driver.values) in first
    assert deepest.startswith(f"deepest at {hertz(float(dip.deepest_dip_frequency))}, ")


def test_a_deepest_dip_that_is_hardly_deeper_is_not_marked(axes, prediction):
    levels = level(prediction.seat_total).isel(ear_height=0)
    dip = floor_bounce(prediction).isel(ear_height=0)
    dip["deepest_dip_depth"] = dip.dip_depth + 0.9
    draw_floor_bounce(axes, levels, dip)
    assert "\n" not in axes.get_title(loc="left")
    assert len(axes.lines) == 3


def test_a_dip_that_is_not_known_is_no_absence_of_dips(axes, prediction):
    levels = level(prediction.seat_total).isel(ear_height=0)
    dip = floor_bounce(prediction).isel(ear_height=0)
    dip["dip_frequency"] = dip["deepest_dip_depth"] = np.nan * dip.dip_frequency
    dip["dip_note"] = dip.dip_note.copy(data="the first dip lies elsewhere")
    draw_floor_bounce(axes, levels, dip)
    assert axes.get_title(loc="left") == "ear at 0.90 m: the first dip lies elsewhere"


def test_no_dip_no_mark(axes, prediction):
    levels = level(prediction.seat_total).isel(ear_height=0)
    dip = floor_bounce(prediction).isel(ear_height=0)
    for name in ("dip_frequency", "deepest_dip_frequency", "dip_depth", "deepest_dip_depth"):
        dip[name] = np.nan * dip[name]
    draw_floor_bounce(axes, levels, dip)
    assert axes.get_title(loc="left") == "ear at 0.90 m: no dip of 1 dB or more"
    assert len(axes.lines) == 2


@pytest.mark.parametrize(
    ("frequency", "text"), [(337.7, "338 Hz"), (2179.9, "2.18 kHz"), (999.9, "1 kHz")]
)
def test_hertz(frequency, text):
    assert hertz(frequency) == text
