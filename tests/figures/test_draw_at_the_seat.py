"""Axis, height, room and filters: curves are the data, marks are where the answers say."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import Placement, Surface
from acoustics.figures.at_the_seat import (
    FREE,
    MOST_DIPS,
    ROOM,
    draw_at_the_seat,
    labelled_dips,
)
from acoustics.figures.ear_height import draw_ear_height, mark_ear_heights
from acoustics.figures.filters import draw_filters
from acoustics.figures.reference_axis import LINE, TARGETS, draw_reference_axis
from acoustics.figures.room import ABOVE, SIDE, draw_room
from acoustics.figures.side_by_side import fitting_labels, side_by_side
from acoustics.figures.span_map import EVERYWHERE, draw_span_map
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


def test_fitted_line_and_targets(axes, curve):
    frequency = np.array([100.0, 1000.0, 10_000.0])
    total = xr.DataArray([80.0, 81.0, 80.0], dims="frequency", coords={"frequency": frequency})
    shares = total.expand_dims(driver=["woofer", "tweeter"])
    targets = shares.copy(data=[[np.nan] * 3, [60.0, 70.0, 80.0]])  # only the tweeter's is acoustic
    line = total.sel(frequency=slice(300, None)) - 1
    draw_reference_axis(axes, total, shares, np.array([]), line, targets)
    x, y = curve(axes, LINE)
    np.testing.assert_array_equal((x, y), (frequency[1:], [80.0, 79.0]))
    (drawn,) = [each for each in axes.lines if each.get_label() == LINE]
    assert (drawn.get_marker(), drawn.get_markevery()) == ("|", [0, -1])
    np.testing.assert_array_equal(curve(axes, TARGETS)[1], [60.0, 70.0, 80.0])


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
    draw_at_the_seat(axes, {"": levels}, {"": found})
    x, room = curve(axes, ROOM)
    assert x[-1] <= 5000
    shown = levels.sel(frequency=x)
    np.testing.assert_array_equal(room, shown.sel(surroundings="with reflections").values)
    np.testing.assert_array_equal(curve(axes, FREE)[1], shown.sel(surroundings="free space").values)
    assert axes.get_title(loc="left") == "ears at 0.90 m"
    chosen = labelled_dips({"": found}, axes.get_xlim())
    assert 0 < len(chosen) <= MOST_DIPS
    known = [
        f"{cause}\n{hertz(float(at))}"
        for at, cause in zip(found.dip_frequency.values, found.dip_cause.values, strict=True)
    ]
    texts = [text.get_text() for text in axes.texts]
    assert texts == [dip.text for dip, _ in chosen]
    assert set(texts) <= set(known)
    assert texts[0].startswith("floor\n")


def some_dips(*dips):
    frequency, depth, cause = zip(*dips, strict=True)
    named = {"dip_frequency": frequency, "dip_depth": depth, "dip_cause": cause}
    return xr.Dataset({name: ("dip", np.array(values)) for name, values in named.items()})


def test_the_deepest_dips_are_labelled_where_labels_have_room():
    found = some_dips(
        (100.0, 5.0, "floor"),
        (140.0, 9.0, "floor"),
        (150.0, 4.0, "floor"),
        (900.0, 3.0, "floor"),
        (4000.0, 30.0, "floor"),
        (np.nan, np.nan, ""),
    )
    # 100 Hz steps aside for 140 Hz, 150 Hz has no room; 4 kHz is above those that bear a label.
    told = labelled_dips({"": found}, (20.0, 5000.0))
    assert [dip.frequency for dip, _ in told] == [100.0, 140.0, 900.0]


def test_a_dip_at_both_cabinets_is_labelled_once():
    left = some_dips((100.0, 5.0, "floor"), (600.0, 5.0, "left wall"))
    right = some_dips((104.0, 9.0, "floor"), (1200.0, 4.0, "right wall"))
    told = labelled_dips({"left cabinet": left, "right cabinet": right}, (20.0, 5000.0))
    assert [(dip.frequency, dip.curve) for dip, _ in told] == [(104.0, 1), (600.0, 0), (1200.0, 1)]


def test_labels_stay_beside_one_another_and_inside():
    places, widths = np.array([0.02, 0.5, 0.52, 0.99]), np.array([0.1, 0.1, 0.2, 0.1])
    centres = side_by_side(places, widths)
    assert centres == pytest.approx([0.05, 0.435, 0.585, 0.95])
    # The two in the middle are 0.15 apart and as near their places as that allows.
    assert (centres[1:3] - places[1:3]).sum() == pytest.approx(0)


def test_labels_that_do_not_fit_are_left_out():
    assert list(fitting_labels(np.array([0.5, 0.51, 0.9]), np.full(3, 0.2), most=5)) == [0, 2]
    assert list(fitting_labels(np.array([0.9, 0.5, 0.1]), np.full(3, 0.1), most=2)) == [1, 0]
    assert fitting_labels(np.array([]), np.array([]), most=5) == {}


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
    assert words.split("\n")[0].endswith(f"{float(span.narrowest_span):.2f} m")
    narrower = float((span.span_high - span.span_low).min()) < float(span.narrowest_span)
    assert ("300 Hz to 10 kHz" in words) == narrower
    ends = [np.array(line.get_ydata()) for line in axes.lines]
    assert any(np.array_equal(each, span.span_low.values) for each in ends)
    assert any(np.array_equal(each, span.span_high.values) for each in ends)


def test_span_map_says_where_the_line_is_never_left(axes, prediction):
    view = heard(prediction)
    height = view.height.values
    flat = level(view.height_total).transpose("height", "frequency") * 0.0
    span = height_span(view).sel(ear_height=0.9)
    span["narrowest_span"] = height[-1] - height[0]
    draw_span_map(axes, flat, span, 0.9, "Height above the floor in m")
    assert [text.get_text() for text in axes.texts] == [EVERYWHERE]


def test_an_index_below_0_is_not_cut_off(axes, prediction):
    curves = standard_curves(prediction)
    draw_directivity_indices(axes, curves - 2.5 - float(curves.sound_power_index.min()))
    low, high = axes.get_ylim()
    assert low <= min(line.get_ydata().min() for line in axes.lines) < 0
    assert high >= 15


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
    assert [text.get_text() for text in axes.texts] == ["front wall", "right wall"]
    (ears,) = [line for line in axes.lines if line.get_label() == "ears, main seat"]
    assert (ears.get_xdata(), ears.get_ydata()) == (pytest.approx([0.3]), pytest.approx([2.5]))
    side = new_figure(3.0)[1][0, 0]
    draw_room(side, plan, SIDE, "from the left")
    # Seen from the left, what is ahead of the cabinets lies to the right, and up is up.
    assert not side.xaxis_inverted()
    assert not side.yaxis_inverted()
    assert [text.get_text() for text in side.texts] == ["floor", "front wall"]


@pytest.mark.parametrize("view", [ABOVE, SIDE])
def test_names_of_surfaces_lie_beyond_them(make_case, solve_free_field, axes, view):
    six = ("floor", "ceiling", "front wall", "rear wall", "left wall", "right wall")
    places = dict(zip(six, (0.0, 2.5, 0.7, 3.5, 1.5, 1.9), strict=True))
    closed = make_case(surfaces=tuple(Surface(name, at) for name, at in places.items()))
    plan = room_plan(predict(closed, solve=solve_free_field))
    draw_room(axes, plan, view, "")
    axes.figure.draw_without_rendering()
    to_metres = axes.transData.inverted()
    for text in axes.texts:
        normal, place = plan.surfaces[text.get_text()]
        box = text.get_window_extent().transformed(to_metres)
        low, high = sorted(((box.x0, box.x1), (box.y0, box.y1))[view.index(normal)])
        if text.get_text() in ("floor", "front wall", "left wall"):
            assert high < place, text.get_text()
        else:
            assert low > place, text.get_text()
    assert len(axes.texts) == 4


@pytest.mark.parametrize(
    ("frequency", "text"), [(337.7, "338 Hz"), (2179.9, "2.18 kHz"), (999.9, "1 kHz")]
)
def test_hertz(frequency, text):
    assert hertz(frequency) == text
