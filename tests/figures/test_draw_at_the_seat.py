"""Axis, height, room and filters: curves are the data, marks are where the answers say."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.model import Placement, Surface
from acoustics.figures.at_the_seat import FREE, ROOM, draw_at_the_seat, labelled_dips
from acoustics.figures.ear_height import draw_ear_height, mark_ear_heights
from acoustics.figures.filters import draw_filters
from acoustics.figures.reference_axis import draw_reference_axis
from acoustics.figures.room import ABOVE, draw_room
from acoustics.figures.span_map import draw_span_map
from acoustics.figures.standard_curves import (
    CURVES,
    draw_directivity_indices,
    draw_standard_curves,
)
from acoustics.figures.style import new_figure
from acoustics.listening import dips, heard, height_span, level, lobing, standard_curves
from acoustics.listening.plan import room_plan
from acoustics.prediction import predict
from acoustics.studies.wording import hertz
from support.cases import seat_at


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
    around = lobing(heard(prediction)).isel(crossover=1)
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


def test_the_seat_with_and_without_reflections(axes, prediction, curve):
    view = heard(prediction).sel(ear_height=[0.9])
    levels, found = level(view.seat_total).isel(ear_height=0), dips(view).isel(ear_height=0)
    draw_at_the_seat(axes, levels, found)
    x, room = curve(axes, ROOM)
    assert x[-1] <= 5000
    shown = levels.sel(frequency=x)
    np.testing.assert_array_equal(room, shown.sel(surroundings="with reflections").values)
    np.testing.assert_array_equal(curve(axes, FREE)[1], shown.sel(surroundings="free space").values)
    assert axes.get_title(loc="left") == "ears at 0.90 m"
    chosen = labelled_dips(found)
    assert 0 < len(chosen) <= 4
    texts = [f"{found.dip_cause.values[i]}\n{hertz(float(found.dip_frequency[i]))}" for i in chosen]
    assert [text.get_text() for text in axes.texts] == texts
    assert texts[0].startswith("floor\n")


def test_the_deepest_dips_are_labelled_where_labels_have_room():
    frequency = np.array([100.0, 150.0, 400.0, 900.0, 4000.0, np.nan])
    found = xr.Dataset(
        {
            "dip_frequency": ("dip", frequency),
            "dip_depth": ("dip", np.array([5.0, 9.0, 4.0, 3.0, 30.0, np.nan])),
        }
    )
    # 100 Hz is too close to the deeper one at 150 Hz; 4 kHz is above those that bear a label.
    assert labelled_dips(found) == [1, 2, 3]


def test_filters_and_where_they_are_held(axes, curve):
    frequency = np.array([100.0, 1000.0, 10_000.0])
    gains = xr.DataArray(
        [[0.0, -6.0, -40.0], [6.0, 6.0, 0.0]],
        dims=("driver", "frequency"),
        coords={"driver": ["woofer", "tweeter"], "frequency": frequency},
    )
    held = gains.copy(data=[[False] * 3, [True, True, False]])
    draw_filters(axes, gains, held)
    np.testing.assert_array_equal(curve(axes, "woofer")[1], [0.0, -6.0, -40.0])
    x, y = curve(axes, "held at its largest gain")
    np.testing.assert_array_equal(x, frequency[:2])
    np.testing.assert_array_equal(y, [6.0, 6.0])
    assert axes.get_ylabel() == "Gain in dB"


def test_standard_curves_and_their_indices(axes, prediction, curve):
    curves = standard_curves(prediction)
    draw_standard_curves(axes, curves)
    for name, label in CURVES.items():
        np.testing.assert_array_equal(curve(axes, label)[1], curves[name].values)
    colours = {line.get_label(): line.get_color() for line in axes.lines}
    other = new_figure(3.0)[1][0, 0]
    draw_directivity_indices(other, curves)
    early, power = other.lines
    np.testing.assert_array_equal(power.get_ydata(), curves.sound_power_index.values)
    assert power.get_color() == colours["sound power"]
    assert early.get_color() == colours["early reflections"]


def test_span_map_marks_the_narrowest_place(axes, prediction):
    view = heard(prediction)
    span = height_span(view).sel(ear_height=0.9)
    at_ears = level(view.seat_total.sel(surroundings="free space", ear_height=0.9, drop=True))
    relative = (level(view.height_total) - at_ears).transpose("height", "frequency")
    draw_span_map(axes, relative, span, 0.9, "Height above the floor in m")
    (words,) = [text.get_text() for text in axes.texts]
    assert words.endswith(f"{float(span.narrowest_span):.2f} m")
    ends = [np.array(line.get_ydata()) for line in axes.lines]
    assert any(np.array_equal(each, span.span_low.values) for each in ends)
    assert any(np.array_equal(each, span.span_high.values) for each in ends)


def test_the_room_is_drawn_to_scale(make_case, solve_free_field, axes):
    pair = make_case(
        placement=Placement(pair=True, spacing=2.0, toe_in=30.0),
        seat=seat_at(2.5, (0.9,), 0.3),
        surfaces=(Surface("floor", 0.0), Surface("front wall", 0.7), Surface("right wall", 1.9)),
    )
    plan = room_plan(predict(pair, solve=solve_free_field))
    assert plan.seats["main"] == pytest.approx(np.array([[0.3, 0.9, 2.5]]))
    assert plan.surfaces == {
        "floor": (1, pytest.approx(0.0)),
        "front wall": (2, pytest.approx(-0.7)),
        "right wall": (0, pytest.approx(1.9)),
    }
    # Toe-in of 30 degrees about (−1, 0): the axis runs toward the middle.
    start, end = plan.axes["left"]
    assert end - start == pytest.approx([0.5, 0.0, np.cos(np.deg2rad(30))])
    mirrored = plan.cabinets["right"] * [-1, 1, 1]
    assert np.sort(mirrored, axis=0) == pytest.approx(np.sort(plan.cabinets["left"], axis=0))
    draw_room(axes, plan, ABOVE, "from above")
    assert axes.get_aspect() == 1.0
    assert axes.yaxis_inverted()
    assert len(axes.patches) == 2


@pytest.mark.parametrize(
    ("frequency", "text"), [(337.7, "338 Hz"), (2179.9, "2.18 kHz"), (999.9, "1 kHz")]
)
def test_hertz(frequency, text):
    assert hertz(frequency) == text
