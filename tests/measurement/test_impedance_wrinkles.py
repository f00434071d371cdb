"""Narrow wrinkles: planted ones are found where they are and as large, none where there is none."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from acoustics.measurement.wrinkle_bank import bank_of, quality
from acoustics.measurement.wrinkles import find_wrinkles

NOISE = 0.01


def grid(per_octave):
    return 20.0 * 2.0 ** (np.arange(10 * per_octave) / per_octave)


@cache
def bank(per_octave, has_phase):
    return bank_of(grid(per_octave), has_phase)


def smooth_impedance(frequency):
    """A closed box and a coil."""
    x = frequency / 60.0
    coil = 2j * np.pi * frequency * 0.2e-3
    return 5.6 + coil + 30.0 / (1 + 4j * (x - 1 / x))


def noisy(impedance, rng):
    both = rng.standard_normal((2, impedance.size))
    return impedance * np.exp(NOISE * (both[0] + 1j * both[1]))


def with_loop(impedance, frequency, at, size, q):
    """A resonance in series: an impedance of its own that is a parallel circuit's."""
    return impedance + size / (1 + 1j * q * (frequency / at - at / frequency))


@pytest.mark.parametrize(
    ("per_octave", "has_phase"), [(24, True), (48, False)], ids=["with phase", "size alone"]
)
def test_clean_impedances_have_none(per_octave, has_phase):
    """200 of them; with one in a hundred expected at most, five or more would be one in 200."""
    frequency = grid(per_octave)
    model = smooth_impedance(frequency)
    loops = bank(per_octave, has_phase)
    rng = np.random.default_rng(17)
    alarms = 0
    for _ in range(200):
        seen = noisy(1.03 * model, rng)
        seen = seen if has_phase else np.abs(seen)
        alarms += bool(find_wrinkles(frequency, seen, model, has_phase=has_phase, bank=loops))
    assert alarms < 5


@pytest.mark.parametrize("has_phase", [True, False])
@pytest.mark.parametrize("width", [1 / 24, 1 / 10, 1 / 5])
def test_a_planted_one_is_found(width, has_phase):
    frequency = grid(48)
    model = smooth_impedance(frequency)
    loops = bank(48, has_phase)
    rng = np.random.default_rng(3)
    apart = []
    for at in np.geomspace(150, 3000, 8):
        there = float(np.abs(smooth_impedance(np.array([at])))[0])
        size = 0.12 * there
        seen = with_loop(noisy(model, rng), frequency, at, size, quality(width))
        seen = seen if has_phase else np.abs(seen)
        found = find_wrinkles(frequency, seen, model, has_phase=has_phase, bank=loops)
        one = max(found, key=lambda each: each.significance)
        assert one.frequency == pytest.approx(at, rel=width / 5)
        assert one.size == pytest.approx(size, abs=4 * one.size_uncertainty)
        assert one.size_uncertainty < (0.25 if has_phase else 0.6) * size
        assert one.share == pytest.approx(one.size / there, rel=0.02)
        apart.append((one.frequency - at) / one.frequency_uncertainty)
    assert 0.3 < np.sqrt(np.mean(np.square(apart))) < 2.0


def test_two_at_once_and_a_broad_one_that_is_none():
    frequency = grid(48)
    model = smooth_impedance(frequency)
    seen = noisy(model, np.random.default_rng(8))
    seen = with_loop(seen, frequency, 310.0, 1.2, 25.0)
    seen = with_loop(seen, frequency, 900.0, -0.9j, 40.0)
    seen = with_loop(seen, frequency, 5000.0, 1.0, 1.5)
    found = find_wrinkles(frequency, seen, model, bank=bank(48, True))
    assert [each.frequency for each in found] == pytest.approx([310.0, 900.0], rel=5e-3)


def test_a_smooth_misfit_without_noise_is_none():
    frequency = grid(24)
    model = smooth_impedance(frequency)
    seen = model * (1 + 0.1 * np.log10(frequency / 100)) * (frequency / 300) ** 0.05j
    assert not find_wrinkles(frequency, seen, model)
    assert not find_wrinkles(frequency[:9], seen[:9], model[:9])
