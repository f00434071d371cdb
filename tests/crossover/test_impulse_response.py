"""Impulse responses for filters that are needed: filters whose impulse responses are known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from acoustics.case.design.model import ParametricSection, PassFilter
from acoustics.crossover.branch import section_response
from acoustics.crossover.digital import fir_response
from acoustics.crossover.impulse_response import Needed, counted, deviation, realise

RATE = 48_000.0
FREQUENCY = 1000.0 * 2.0 ** (np.arange(-135, 104) / 24)


def low_pass(corner, order=4):
    return section_response(
        PassFilter("low-pass", "linkwitz-riley", order, None, corner), FREQUENCY
    )


def high_pass(corner, order=4):
    return section_response(
        PassFilter("high-pass", "linkwitz-riley", order, corner, None), FREQUENCY
    )


def late(samples):
    return np.exp(-2j * np.pi * FREQUENCY * samples / RATE)


def test_a_filter_that_is_an_impulse_response_is_found_again():
    """Its transfer function is scipy.signal's; what lies above 20 kHz is not told to the design."""
    taps = 0.6 ** np.arange(31)
    _, needed = signal.freqz(taps, 1, FREQUENCY, fs=RATE)
    found = realise([Needed(needed)], FREQUENCY, rate=RATE, taps=255)
    expected = np.zeros(255)
    expected[found.latency : found.latency + 31] = taps
    assert found.taps[0] == pytest.approx(expected, abs=0.01)


def test_what_is_realised_is_near_what_is_needed():
    needed = 0.5 * low_pass(2000.0)
    found = realise([Needed(needed)], FREQUENCY, rate=RATE, taps=1023)
    response = fir_response(found.taps[0], FREQUENCY, RATE)
    assert deviation(response, needed * late(found.latency)) < 0.15
    # Further down too, relative to the filter itself, to the 40 dB that are asked for.
    down = np.abs(needed) > np.abs(needed).max() / 100
    off = 20 * np.log10(np.abs(response[down] / needed[down]))
    assert np.abs(off).max() < 0.3
    # Between and beyond the frequencies that were given it does not run away.
    grid = np.linspace(0.0, RATE / 2, 4001)
    assert np.abs(fir_response(found.taps[0], grid, RATE)).max() < 0.51


@pytest.mark.slow
def test_low_frequencies_take_more_taps():
    """A slope at 45 Hz is finer than 48000/255 Hz, and coarser than 48000/4095 Hz."""
    needed = [Needed(high_pass(45.0) * low_pass(2000.0))]

    def off(taps):
        found = realise(needed, FREQUENCY, rate=RATE, taps=taps)
        response = fir_response(found.taps[0], FREQUENCY, RATE)
        return deviation(response, needed[0].filter * late(found.latency))

    short, middle, long = off(255), off(1023), off(4095)
    assert short > 2 * middle > 4 * long
    assert long < 0.2


def test_filters_stay_in_step():
    """Two fourth-order branches add up to an all-pass (Linkwitz 1976), and so do their taps."""
    needed = [Needed(low_pass(2000.0)), Needed(high_pass(2000.0))]
    found = realise(needed, FREQUENCY, rate=RATE, taps=2047)
    total = sum(fir_response(row, FREQUENCY, RATE) for row in found.taps)
    assert 20 * np.log10(np.abs(total)) == pytest.approx(np.zeros(FREQUENCY.size), abs=0.1)
    expected = (needed[0].filter + needed[1].filter) * late(found.latency)
    assert np.angle(total / expected) == pytest.approx(np.zeros(FREQUENCY.size), abs=0.02)


def test_whole_samples_of_delay_are_left_to_the_processor():
    plain = realise([Needed(low_pass(2000.0))], FREQUENCY, rate=RATE, taps=511)
    delayed = realise([Needed(low_pass(2000.0) * late(900), 900)], FREQUENCY, rate=RATE, taps=511)
    assert delayed.latency == plain.latency
    assert delayed.taps == pytest.approx(plain.taps, abs=1e-6)


def test_a_filter_that_looks_ahead_gets_latency():
    """Ten samples too early: it takes at least so much."""
    found = realise([Needed(low_pass(2000.0) * late(-30))], FREQUENCY, rate=RATE, taps=511)
    assert found.latency >= 30
    response = fir_response(found.taps[0], FREQUENCY, RATE)
    assert deviation(response, low_pass(2000.0) * late(found.latency - 30)) < 0.3


def test_an_inverted_filter_and_few_taps():
    boost = section_response(ParametricSection("peak", 5000.0, 5.0, 1.0), FREQUENCY)
    found = realise([Needed(boost), Needed(-boost)], FREQUENCY, rate=RATE, taps=101)
    assert found.taps[1] == pytest.approx(-found.taps[0], abs=1e-9)
    tiny = realise([Needed(boost)], FREQUENCY, rate=RATE, taps=15)
    assert tiny.taps.shape == (1, 15)
    assert np.isfinite(tiny.taps).all()


def test_what_counts_and_by_how_much_two_filters_differ():
    wanted = np.array([1.0, 0.11, 0.09]) + 0j
    assert counted(wanted).tolist() == [True, True, False]
    # 6.02 dB along, less across; the third does not count.
    assert deviation(np.array([2.0, 0.11, 5.0]), wanted) == pytest.approx(20 * np.log10(2))
    assert deviation(wanted * np.exp(0.1j), wanted) == pytest.approx(
        20 * np.log10(1 + 2 * np.sin(0.05))
    )


def ahead(samples, taps=301):
    """Latency that a filter gets which is five taps, 1 4 6 4 1, so many samples too early."""
    binomial = np.cos(np.pi * FREQUENCY / RATE) ** 4 * late(2)
    return realise([Needed(binomial * late(-samples))], FREQUENCY, rate=RATE, taps=taps).latency


def test_latencies_are_doubled_from_eight_samples_up_to_half_the_taps():
    """The shortest that is enough for all five taps."""
    found = {samples: ahead(samples) for samples in (0, 8, 9, 16, 17, 32, 33)}
    assert found == {0: 8, 8: 8, 9: 16, 16: 16, 17: 32, 32: 32, 33: 64}
    assert {samples: ahead(samples, 41) for samples in (16, 17, 20)} == {16: 16, 17: 20, 20: 20}
    assert ahead(8, 33) == ahead(8, 17) == 8
    assert ahead(12, 33) == 16


def test_the_longest_latency_is_half_the_taps_however_few():
    for taps, latency in ((17, 8), (16, 8), (15, 7), (5, 2), (33, 16), (41, 20)):
        needed = [Needed(late(-1000))]
        found = realise(needed, FREQUENCY, rate=RATE, taps=taps)
        assert found.taps.shape == (1, taps)
        assert found.latency <= latency
    # One that is in reach of the longest only.
    for taps, latency in ((33, 16), (41, 20)):
        needed = [Needed(late(-latency))]
        assert realise(needed, FREQUENCY, rate=RATE, taps=taps).latency == latency


def test_a_filter_in_antiphase_at_low_frequencies_stays_so_at_0_hz():
    """−1 everywhere is −1 at 0 Hz too: its taps are one impulse, turned over."""
    found = realise([Needed(-np.ones(FREQUENCY.size) + 0j)], FREQUENCY, rate=RATE, taps=63)
    expected = np.zeros(63)
    expected[found.latency] = -1.0
    assert found.taps[0] == pytest.approx(expected, abs=1e-6)


def test_what_counts_is_within_20_db_of_the_maximum():
    wanted = np.array([2.0, 0.2, 0.1999]) * np.exp(1j)
    assert counted(wanted).tolist() == [True, True, False]
    # What does not count may be anything.
    off = wanted * np.array([1.0, 1.1, 50.0])
    assert deviation(off, wanted) == pytest.approx(20 * np.log10(1.1))
    assert deviation(wanted, wanted) == 0.0


@pytest.mark.parametrize("taps", [15, 41])
def test_taps_are_the_least_squares_of_what_is_asked_for(taps):
    """Weights and extensions as `realise` tells them, solved as one matrix by numpy.

    A filter that falls by 9 dB an octave, 90 dB over the band, its phase linear
    in log frequency: so it is known between the given frequencies, and below 40 dB under its
    maximum its error no longer has to fall with it. Below the lowest the phase goes on to 180°.
    """
    first, last = 23.4375, 18_000.0  # both on the grid, so within
    frequency = np.geomspace(first, last, 150)

    def wanted(f):
        return (f / first) ** -1.5 * np.exp(1j * (2.9 - 0.2 * np.log(f / first)))

    found = realise([Needed(wanted(frequency))], frequency, rate=RATE, taps=taps)
    grid = np.arange(2**14 + 1) * (RATE / 2 / 2**14)
    target = wanted(np.clip(grid, first, last))
    below = grid < first
    turn = np.pi + (2.9 - np.pi) * grid[below] / first
    target[below] = np.abs(target[below]) * np.exp(1j * turn)
    weight = 1 / np.maximum(np.abs(target), 0.01) ** 2 / np.maximum(grid, RATE / taps)
    weight[below | (grid > last)] *= 0.01
    weight[1:-1] *= 2  # every frequency but the ends has a negative one
    places = np.arange(taps) - found.latency
    rows = np.exp(-2j * np.pi * np.outer(grid / RATE, places)) * np.sqrt(weight)[:, None]
    right = target * np.sqrt(weight)
    matrix = np.concatenate([rows.real, rows.imag])
    expected = np.linalg.lstsq(matrix, np.concatenate([right.real, right.imag]))[0]
    assert found.taps[0] == pytest.approx(expected, abs=1e-9)
