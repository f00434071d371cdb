"""Deconvolution against two libraries: scipy's polynomial division and pyfar's inversion."""

from __future__ import annotations

import importlib
import warnings

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.measurement.impulse import transfer
from acoustics.measurement.sweep import deconvolved, make_sweep

RATE = 48_000.0
FREQUENCY = np.geomspace(40.0, 18_000.0, 300)
CLOSE = 0.05
"""dB"""


@pytest.fixture(scope="module")
def pyfar():
    with warnings.catch_warnings():
        # What the library's own imports warn of is none of our business.
        warnings.simplefilter("ignore")
        return importlib.import_module("pyfar")


@pytest.fixture(scope="module")
def recorded():
    """A sweep through a digital system, whose response scipy has in closed form."""
    sweep = make_sweep(20.0, 22_000.0, 1.0, RATE)
    system = ss.butter(2, [80.0, 9000.0], "band", fs=RATE, output="sos")
    delayed = np.concatenate([np.zeros(123), sweep.samples, np.zeros(24_000)])
    random = np.random.default_rng(8)
    heard = 0.4 * ss.sosfilt(system, delayed) + 1e-5 * random.standard_normal(delayed.size)
    return sweep, system, heard


def level(found, expected):
    return np.abs(20 * np.log10(np.abs(found / expected)))


def test_against_scipys_frequency_response(recorded):
    sweep, system, heard = recorded
    _, expected = ss.sosfreqz(system, FREQUENCY, fs=RATE)
    expected = 0.4 * expected * np.exp(-2j * np.pi * FREQUENCY * 123 / RATE)
    found = transfer(deconvolved(heard, sweep), FREQUENCY)
    assert level(found, expected).max() < CLOSE
    assert np.abs(np.degrees(np.angle(found / expected))).max() < 0.5


def test_against_scipys_division_of_polynomials():
    # Long division goes from sample to sample, so a short sweep without noise, from its peak on.
    sweep = make_sweep(500.0, 22_000.0, 0.02, RATE)
    sent = sweep.samples[16:]
    response = ss.unit_impulse(64) + 0.4 * ss.unit_impulse(64, 9) - 0.2 * ss.unit_impulse(64, 30)
    heard = np.convolve(sent, response)
    divided, _ = ss.deconvolve(heard, sent)
    assert divided == pytest.approx(response, abs=1e-6)
    padded = np.concatenate([heard, np.zeros(sweep.samples.size)])
    found = deconvolved(padded, sweep, sent)
    inside = np.geomspace(800.0, 18_000.0, 200)
    expected = transfer(type(found)(divided, RATE), inside)
    assert level(transfer(found, inside), expected).max() < CLOSE


def test_against_pyfars_regularised_inversion(pyfar, recorded):
    sweep, _, heard = recorded
    size = 2 * heard.size
    sent, got = (np.concatenate([one, np.zeros(size - one.size)]) for one in (sweep.samples, heard))
    inversion = pyfar.dsp.RegularizedSpectrumInversion.from_frequency_range(
        pyfar.Signal(sent, RATE), sweep.valid
    )
    theirs = pyfar.Signal(got, RATE) * inversion.invert
    inside = (theirs.frequencies > FREQUENCY[0]) & (theirs.frequencies < FREQUENCY[-1])
    places = theirs.frequencies[inside][::97]
    assert places.size > 300
    ours = transfer(deconvolved(heard, sweep), places)
    assert level(ours, theirs.freq[0, inside][::97]).max() < CLOSE


def test_a_sweep_of_pyfars(pyfar):
    # Theirs is not synchronised; it is what was sent all the same.
    signal = pyfar.signals.exponential_sweep_time(
        48_000, [15.0, 22_000.0], n_fade_out=400, sampling_rate=int(RATE)
    )
    sent = np.concatenate([signal.time[0], np.zeros(24_000)])
    system = ss.butter(2, [100.0, 6000.0], "band", fs=RATE, output="sos")
    heard = ss.sosfilt(system, sent)
    found = deconvolved(heard, make_sweep(20.0, 21_000.0, 1.0, RATE), sent)
    _, expected = ss.sosfreqz(system, FREQUENCY, fs=RATE)
    assert level(transfer(found, FREQUENCY), expected).max() < CLOSE
