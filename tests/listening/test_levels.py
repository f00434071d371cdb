"""Levels, smoothing and band means against their closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.listening import band_level, level
from acoustics.listening.bands import in_band
from acoustics.listening.levels import smoothed, smoothed_power

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-480, 384) / 96)
OCTAVE = np.log2(FREQUENCY / 1000.0)


def curve(power):
    return xr.DataArray(
        20e-6 * np.sqrt(np.asarray(power)).astype(complex),
        dims="frequency",
        coords={"frequency": FREQUENCY},
    )


def test_one_pascal_is_94_decibels():
    # IEC 60942: 1 Pa is 93.98 dB re 20 µPa.
    answer = level(xr.DataArray([1.0 + 0j, 1j, 0.0], dims="x"))
    assert answer.values[:2] == pytest.approx([93.9794, 93.9794], abs=1e-4)
    assert answer.values[2] == -np.inf
    assert answer.attrs["units"] == "dB"


@pytest.mark.parametrize("fraction", [1, 3, 6, 24])
def test_smoothing_multiplies_a_wave_in_log_frequency_by_a_sinc(fraction):
    # Mean of cos(2πnx) over a window of width w: cos(2πnx)·sin(πnw)/(πnw).
    n = 2.0
    wave = np.cos(2 * np.pi * n * OCTAVE)
    power = xr.DataArray(1 + 0.5 * wave, dims="frequency")
    smooth = smoothed_power(power, FREQUENCY, fraction)
    expected = 1 + 0.5 * wave * np.sinc(n / fraction)
    inner = (np.abs(OCTAVE - OCTAVE[0]) > 0.5) & (np.abs(OCTAVE[-1] - OCTAVE) > 0.5)
    # 1.5e-3: chords of the wave at 96 points an octave lie inside it by (2πn/96)²/12.
    assert smooth.values[inner] == pytest.approx(expected[inner], abs=1.5e-3)


def test_smoothing_keeps_a_flat_curve_flat_to_its_ends_and_none_is_none():
    flat = xr.DataArray(np.ones(FREQUENCY.size), dims="frequency")
    assert smoothed_power(flat, FREQUENCY, 6).values == pytest.approx(flat.values, abs=1e-12)
    rough = flat + OCTAVE**2
    np.testing.assert_array_equal(smoothed_power(rough, FREQUENCY, None), rough)


def test_band_level_is_the_mean_power_per_octave():
    # ∫ 2^x dx over −1…2 divided by 3 is (4 − ½)/(3·ln 2).
    answer = band_level(curve(2.0**OCTAVE), FREQUENCY, (500.0, 4000.0))
    assert 10 ** (float(answer) / 10) == pytest.approx(3.5 / (3 * np.log(2)), rel=1e-5)
    # a band between the frequencies is cut there, not at the nearest frequency
    narrow = band_level(curve(OCTAVE + 9), FREQUENCY, (1003.0, 1004.0))
    assert 10 ** (float(narrow) / 10) == pytest.approx(9 + np.log2(1.0035), abs=1e-5)
    assert np.isnan(band_level(curve(2.0**OCTAVE), FREQUENCY, (30e3, 40e3)))


def test_a_single_frequency_has_nothing_to_be_smoothed_with():
    assert smoothed(np.array([4.0]), np.array([1000.0]), 6.0).tolist() == [4.0]


def test_a_band_has_its_ends_even_where_they_were_rounded():
    third = 1000.0 * 2 ** (1 / 3)
    frequency = np.array([999.0, 1000.0 * (1 - 1e-12), third * (1 + 1e-12), 1300.0])
    assert in_band(frequency, (1000.0, third)).tolist() == [False, True, True, False]
