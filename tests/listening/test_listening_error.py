"""How far the solver's error may put a figure off."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.listening.error import (
    FLOOR,
    NEPER,
    band_uncertainty,
    beam_change,
    curve_uncertainty,
    dip_error,
    dip_error_deeper,
    least_beam_error,
    level_error,
    level_uncertainty,
    span_error,
    window_error,
)
from acoustics.listening.height_window import height_window
from acoustics.listening.listeners import by_listener, heard
from acoustics.listening.span import TOLERANCE
from acoustics.prediction import predict
from support.by_hand import arcs

GRID = 1000.0 * 2.0 ** (np.arange(-48, 97) / 24)  # 250 Hz to 16 kHz
BAND = (300.0, 10_000.0)


@pytest.mark.parametrize("u", [0.1, 0.5, 2.0])
@pytest.mark.parametrize("depth", [1.0, 6.0, 15.0, 26.0, 45.4])
def test_a_dip_lies_between_its_bounds_and_reaches_them(u, depth):
    # A reflection in opposition, off by 2u nepers of itself to every side.
    added = 10 ** (-depth / 20) - 1
    off = 2 * u * NEPER * added * np.exp(2j * np.pi * np.arange(720) / 720)
    depths = -20 * np.log10(np.abs(1 + added + off))
    down, up = float(dip_error(u, depth)), float(dip_error_deeper(u, depth))
    assert down == pytest.approx(max(depth - depths.min(), u), rel=1e-9)
    if np.isfinite(up):
        assert up == pytest.approx(max(depths.max() - depth, u), rel=1e-9)
    else:  # 0 lies within the circle
        assert np.abs(off).max() >= 1 + added


def test_a_deep_dip_is_surely_a_deep_dip():
    # 45.4 dB with u = 1.5 dB: at least 8.7 dB, and no bound above; δ = 0.005, e = 0.344.
    assert 45.4 - dip_error(1.5, 45.4) == pytest.approx(-20 * np.log10(0.005370 + 0.343533), 1e-3)
    assert dip_error_deeper(1.5, 45.4) == np.inf
    assert dip_error(0.05, 0.0) == dip_error_deeper(0.05, 0.0) == 0.05


def test_errors_of_dips_take_arrays():
    depth = np.array([[0.0, 3.0], [30.0, np.nan]])
    for side in (dip_error, dip_error_deeper):
        answer = side(np.full((2, 2), 0.2), depth)
        assert answer.shape == (2, 2)
        assert np.isnan(answer[1, 1])
        assert (answer[0] > 0).all()


def with_axis_down_by(drop, estimate=0.3):
    """Arcs alike all round but for the axis, which is `drop` dB (frequency) below."""

    def pattern(plane, angle, frequency):
        return np.where(angle == 0, 10 ** (-drop / 20), 1.0)

    made = arcs(pattern, GRID)
    return made.assign_coords(error_estimate=("frequency", np.full(GRID.size, estimate)))


def axis_of(prediction):
    return prediction.arc_total.sel(plane="horizontal", angle=0.0)


@pytest.mark.parametrize(("drop", "times"), [(0.0, 1.0), (19.9, 1.0), (26.0, 1.995), (40.0, 10.0)])
def test_the_estimate_grows_in_a_null_as_the_pressure_falls(drop, times):
    prediction = with_axis_down_by(np.full(GRID.size, drop))
    for smoothing in (6.0, None):
        error = curve_uncertainty(prediction, axis_of(prediction), BAND, smoothing)
        assert float(error) == pytest.approx(0.3 * times, rel=1e-3)
    assert float(band_uncertainty(prediction, axis_of(prediction), BAND)) == pytest.approx(
        0.3 * times, rel=1e-3
    )
    assert level_uncertainty(prediction, BAND) == pytest.approx(0.3)


def test_a_null_at_one_frequency_counts_for_the_curve_and_not_for_its_mean():
    prediction = with_axis_down_by(np.where(np.abs(np.log2(GRID / 2000)) < 0.2, 40.0, 0.0))
    axis = axis_of(prediction)
    assert float(curve_uncertainty(prediction, axis, BAND, 6.0)) == pytest.approx(3.0, rel=1e-3)
    assert float(band_uncertainty(prediction, axis, BAND)) == pytest.approx(0.3)
    # Outside the band it is not looked at.
    assert float(curve_uncertainty(prediction, axis, (4000.0, 8000.0), 6.0)) == pytest.approx(0.3)


def test_the_least_difference_is_told_apart_no_worse_in_a_null():
    silent = with_axis_down_by(np.full(GRID.size, 400.0), estimate=0.0)
    assert float(curve_uncertainty(silent, axis_of(silent), BAND, 6.0)) == FLOOR / 2


def test_windows_move_as_their_limit_does(make_case, solve_free_field):
    prediction = predict(make_case(), solve=solve_free_field)
    grid = prediction.frequency.values
    view = heard(prediction.assign_coords(error_estimate=("frequency", np.full(grid.size, 0.4))))
    wide, narrow = (height_window(view, TOLERANCE + 2 * error) for error in (0.4, -0.4))
    found = window_error(view)
    u = level_error(view, height_window(view).crossover_frequency.values)
    assert u == pytest.approx(0.4)
    for name in ("window_low", "window_high", "window_height"):
        half = abs(wide[name] - narrow[name]) / 2
        assert found[name].dims == ("crossover", "ear_height")
        assert found[name].values == pytest.approx(half.values, abs=1e-12)
    assert float(found.window_high.max()) > 0


def test_errors_of_spans_come_by_listener(make_case, solve_free_field):
    prediction = predict(make_case(), solve=solve_free_field)
    found = by_listener(prediction, lambda view: span_error(view, 0.2))
    assert found.height_span.dims == ("listener", "ear_height")
    assert found.aside_span.dims == ("listener",)


def parabola(estimate):
    """A beam that is 6 dB down at 45° to either side, in dB a parabola."""
    frequency = np.geomspace(200.0, 12_800.0, 25)

    def pattern(plane, angle, at):
        return 10 ** (-6.0 * (np.rad2deg(angle) / 45.0) ** 2 / 20) * np.ones_like(at)

    made = arcs(pattern, frequency)
    return made.assign_coords(error_estimate=("frequency", np.full(frequency.size, estimate)))


def test_a_beam_widens_and_narrows_by_what_axis_and_sides_may_be_off():
    # On a parabola in dB the angle goes as the root of the drop, which is off by u twice.
    wide, narrow = beam_change(parabola(0.3), None)
    np.testing.assert_allclose(wide, 90 * np.sqrt(6.6 / 6), atol=0.05)
    np.testing.assert_allclose(narrow, 90 * np.sqrt(5.4 / 6), atol=0.05)
    error = least_beam_error(parabola(0.3), (500.0, 5000.0), None)
    assert error.dims == ("plane",)
    np.testing.assert_allclose(error, 45 * (np.sqrt(1.1) - np.sqrt(0.9)), atol=0.05)


def test_the_smallest_beam_counts_whichever_frequency_has_it():
    varied = parabola(0.3)
    far = np.repeat([0.1, 0.6], [12, 13])
    varied = varied.assign_coords(error_estimate=("frequency", far))
    calm = float(least_beam_error(varied, (250.0, 800.0), None)[0])
    both = float(least_beam_error(varied, (250.0, 10_000.0), None)[0])
    # Of the widest beams the least is that of 0.1 dB, of the narrowest that of 0.6 dB.
    assert calm == pytest.approx(45 * (np.sqrt(6.2 / 6) - np.sqrt(5.8 / 6)), abs=0.05)
    assert both == pytest.approx(45 * (np.sqrt(6.2 / 6) - np.sqrt(4.8 / 6)), abs=0.05)


def test_without_a_frequency_in_the_band_nothing_is_told_of_the_beam():
    assert np.isnan(least_beam_error(parabola(0.3), (20.0, 100.0), None)).all()
