"""Ripple and tilt of curves whose figures are known."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.listening import ripple_and_tilt

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-96, 97) / 24)
OCTAVE = np.log2(FREQUENCY / 1000.0)
BAND = (250.0, 4000.0)  # four octaves, symmetric about 1 kHz


def curve(values):
    return xr.DataArray(values, dims="frequency", coords={"frequency": FREQUENCY})


@pytest.mark.parametrize("smoothing", [None, 6, 3])
@pytest.mark.parametrize("slope", [-3.0, 0.0, 1.25])
def test_a_straight_line_has_no_ripple_and_its_own_tilt(slope, smoothing):
    ripple, tilt = ripple_and_tilt(curve(80 + slope * OCTAVE), FREQUENCY, BAND, smoothing)
    assert float(ripple) == pytest.approx(0, abs=1e-9)
    assert float(tilt) == pytest.approx(slope, abs=1e-9)
    assert (ripple.attrs["units"], tilt.attrs["units"]) == ("dB", "dB/octave")


def test_a_cosine_about_a_line_has_its_amplitude_as_ripple():
    # Whole periods, even about the band's centre: no slope of its own, both extremes on the grid.
    level = curve(80 - 0.7 * OCTAVE + 1.5 * np.cos(2 * np.pi * OCTAVE))
    ripple, tilt = ripple_and_tilt(level, FREQUENCY, BAND, None)
    assert float(ripple) == pytest.approx(1.5, abs=1e-9)
    assert float(tilt) == pytest.approx(-0.7, abs=1e-9)


def test_smoothing_averages_power_before_the_ripple_is_read():
    # 1/1 octave over one-octave waves leaves their mean: nothing to see but the ends of chords.
    power = 1 + 0.5 * np.cos(2 * np.pi * OCTAVE)
    ripple, _ = ripple_and_tilt(curve(10 * np.log10(power)), FREQUENCY, BAND, 1)
    assert float(ripple) == pytest.approx(0, abs=1e-9)


def test_only_the_band_counts_and_other_dimensions_stay():
    outside = np.where(FREQUENCY > 5000, 20.0, 0.0)
    both = xr.concat([curve(outside), curve(outside + np.abs(OCTAVE))], dim="ear_height")
    ripple, tilt = ripple_and_tilt(both, FREQUENCY, BAND, None)
    assert ripple.dims == ("ear_height",)
    # |x| over −2…2 about its mean line: from 0 to 2.
    assert ripple.values == pytest.approx([0.0, 1.0], abs=1e-9)
    assert tilt.values == pytest.approx([0.0, 0.0], abs=1e-9)


def test_every_octave_counts_alike_on_a_linear_grid():
    # A ripple in the lowest octave must not drown in the many points of the highest.
    frequency = np.arange(200.0, 5000.0, 2.0)
    x = np.log2(frequency / 1000.0)
    level = xr.DataArray(0.5 * x**3, dims="frequency", coords={"frequency": frequency})
    _, tilt = ripple_and_tilt(level, frequency, BAND, None)
    # Least squares of x³ over ±2: slope 3·2²/5 = 2.4; 0.01 for the sum that stands for an integral.
    assert float(tilt) == pytest.approx(0.5 * 2.4, abs=0.01)
    inside = (frequency >= BAND[0]) & (frequency <= BAND[1])
    assert abs(np.polyfit(x[inside], level.values[inside], 1)[0] - 1.2) > 0.1  # every point alike


def test_a_band_without_a_curve_gives_nan():
    ripple, tilt = ripple_and_tilt(curve(OCTAVE), FREQUENCY, (1000.0, 1020.0))
    assert np.isnan(ripple)
    assert np.isnan(tilt)
