"""The figure of a sweep shows every point, the best at each value, and what is missing."""

from __future__ import annotations

import matplotlib.pyplot as plt
import numpy as np
import pytest
import xarray as xr

from acoustics.figures.sweep_panels import SCALES, draw_over_key, key_label, least_span, shown
from acoustics.figures.sweep_sheets import numbers_sheet
from acoustics.report.sweep import value_words
from acoustics.studies.sweeps.figures import FIGURES
from acoustics.studies.wording import WRITTEN


@pytest.fixture
def axes():
    figure, axes = plt.subplots()
    yield axes
    plt.close(figure)


X = np.array([0.0, 0.0, 0.02, 0.02, 0.06, 0.06])
Y = np.array([1.0, 1.5, 0.8, np.nan, np.nan, np.nan])


def panel(axes, **changes):
    how = {"units": "m", "logarithmic": False, "drawn": False, **changes}
    return draw_over_key(axes, X, Y, np.array([[0.0, 0.02], [1.0, 0.8]]), **how)


def test_points_and_the_best_are_where_the_data_has_them(axes):
    panel(axes)
    dots, missing = axes.collections
    known = np.isfinite(Y)
    drawn = np.asarray(dots.get_offsets())[known]
    np.testing.assert_array_equal(drawn, np.stack([1000 * X, Y], axis=-1)[known])
    (line,) = axes.lines
    np.testing.assert_array_equal(line.get_xdata(), [0.0, 20.0])
    np.testing.assert_array_equal(line.get_ydata(), [1.0, 0.8])
    np.testing.assert_array_equal(missing.get_offsets()[:, 0], [60.0])  # no point at this value
    low, high = axes.get_xlim()
    assert low < 0 < 60 < high
    assert axes.get_ylim()[0] < 0.8
    assert axes.get_ylim()[1] > 1.5


def test_drawn_keys_have_points_only(axes):
    draw_over_key(axes, X, Y, np.empty((2, 0)), units="m", logarithmic=False, drawn=True)
    assert len(axes.collections) == 1
    assert not axes.lines


def test_units_are_those_that_people_use():
    # 0 °C is 273.15 K, the SI brochure.
    np.testing.assert_allclose(shown(np.array([273.15, 293.15]), "K"), [0.0, 20.0], atol=1e-9)
    assert key_label("offset", "m") == "offset in mm"
    np.testing.assert_allclose(shown(np.array([0.0004, 0.02]), "m3"), [0.4, 20.0])
    assert key_label("volume", "m3") == "volume in l"
    # The text writes what the figure does.
    assert value_words(0.0004, "m3") == "0.4 l"
    assert value_words(0.028, "kg") == "28 g"
    assert value_words(6.5, "T m") == "6.5 T m"
    assert value_words(4.0, "1") == "4"
    assert set(SCALES) == set(WRITTEN)
    assert key_label("woofer_gain", "1") == "woofer gain"


def test_a_small_change_does_not_look_like_much(axes):
    axes.set_ylim(0.4, 0.41)
    least_span(axes, 1.0)
    assert axes.get_ylim() == (0.0, 1.0)


def sweep(ripple, beam=100.0):
    dims = ("offset", "corner")
    shape = np.shape(ripple)
    numbers = {name: np.full(shape, np.nan) for name in FIGURES}
    numbers |= {"window_ripple": ripple, "axis_ripple": 1.0 + 0 * ripple}
    numbers |= {"level_uncertainty": np.full(shape, 0.05), "least_beamwidth": np.full(shape, beam)}
    reason = np.where(np.isnan(ripple), "too wide", "")
    return xr.Dataset(
        {name: (dims, values) for name, values in numbers.items()} | {"reason": (dims, reason)},
        coords={
            "offset": ("offset", 0.02 * np.arange(shape[0]), {"units": "m"}),
            "corner": ("corner", 1000.0 * 2.0 ** np.arange(shape[1]), {"units": "Hz"}),
        },
        attrs={"title": "made by hand"},
    )


def test_only_numbers_and_keys_that_move_are_shown():
    figure = numbers_sheet(sweep(np.array([[1.0, 2.0, 1.2], [1.6, np.nan, 3.0]])))
    assert len(figure.axes) == 2  # the ripple over two keys; the beam is the same everywhere
    title = figure.get_suptitle()
    assert "6 points, of which 1 could not be predicted" in title
    over_offset, over_corner = (panel.lines[0].get_ydata().tolist() for panel in figure.axes)
    assert over_offset == [1.0, 1.6]
    assert over_corner == [1.0, 2.0, 1.2]
    assert figure.axes[1].get_xscale() == "log"
    assert figure.axes[0].get_xlabel() == "offset in mm"


def test_there_is_no_figure_where_nothing_moves():
    assert numbers_sheet(sweep(np.full((2, 2), 1.0))) is None
    assert numbers_sheet(sweep(np.full((2, 2), np.nan))) is None
