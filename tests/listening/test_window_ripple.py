"""Ripple that a filter can correct, and ripple that it cannot."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.standard_curves import standard_curves
from acoustics.listening.window_ripple import window_ripple
from support.by_hand import arcs

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-96, 97) / 24)
OCTAVE = np.log2(FREQUENCY / 1000.0)
BAND = (250.0, 4000.0)  # four octaves, symmetric about 1 kHz


def uneven(plane, turn, frequency):
    """An arbitrary field, its level and phase different in every direction."""
    x = np.log2(frequency / 1000.0)
    level = np.sin(2 * x + 3 * turn) + (0.5 if plane == "vertical" else 1.5) * np.cos(3 * x) * turn
    return 10 ** (level / 20) * np.exp(1j * turn * frequency / 300)


def test_a_filter_leaves_the_relative_part_alone():
    generator = np.random.default_rng(20)
    before = arcs(uneven, FREQUENCY)
    dB = generator.uniform(-12, 12, FREQUENCY.size)
    turned = generator.uniform(0, 2 * np.pi, FREQUENCY.size)
    after = before.assign(arc_total=before.arc_total * 10 ** (dB / 20) * np.exp(1j * turned))
    old, new = (window_ripple(each, BAND, None) for each in (before, after))
    assert old.relative_ripple.values.min() > 0.1
    assert new.relative_ripple.values == pytest.approx(old.relative_ripple.values, abs=1e-9)
    assert float(new.worst_ripple) == pytest.approx(float(old.worst_ripple), abs=1e-9)
    assert str(new.worst_direction.values) == str(old.worst_direction.values)
    assert abs(float(new.common_ripple - old.common_ripple)) > 3


def test_a_filter_that_undoes_the_window_leaves_no_common_ripple():
    before = arcs(uneven, FREQUENCY)
    undo = 10 ** (-standard_curves(before).listening_window / 20)
    after = window_ripple(before.assign(arc_total=before.arc_total * undo), BAND, None)
    assert float(after.common_ripple) == pytest.approx(0, abs=1e-9)
    assert float(after.worst_ripple) > 0.1


def test_figures_of_waves_in_log_frequency():
    # Common: 80 dB with a wave of 1.5 dB and a tilt. Off axis: each direction falls with its
    # angle, tilts by it and has a wave of its own, a tenth of a dB per degree horizontally and
    # twice that vertically. Whole periods, even about the band's centre: no slope of its own.
    def pattern(plane, turn, frequency):
        away = np.abs(np.rad2deg(turn))
        wave = np.cos(2 * np.pi * OCTAVE)
        common = 1.5 * wave - 0.7 * OCTAVE
        per_degree = 0.1 if plane == "horizontal" else 0.2
        skew = np.where(turn > 0, 1.0, 0.5)  # right and up are the worse sides
        own = away * (per_degree * skew * wave - 0.05 - 0.02 * OCTAVE)
        return 0.2 * 10 ** ((common + own) / 20)

    ripple = window_ripple(arcs(pattern, FREQUENCY), BAND, None)
    wanted = {
        "10° down": 1.0,
        "10° up": 2.0,
        "10° left": 0.5,
        "10° right": 1.0,
        "20° left": 1.0,
        "20° right": 2.0,
        "30° left": 1.5,
        "30° right": 3.0,
    }
    found = dict(zip(ripple.direction.values, ripple.relative_ripple.values.tolist(), strict=True))
    assert found == pytest.approx(wanted, abs=1e-9)
    assert float(ripple.worst_ripple) == pytest.approx(3.0, abs=1e-9)
    assert str(ripple.worst_direction.values) == "30° right"
    assert ripple.relative_level.dims == ("direction", "frequency")


def test_the_common_part_is_the_ripple_of_the_listening_window():
    # The same in all directions: the window is the axis, and nothing is relative to it.
    wave = 10 ** (1.5 * np.cos(2 * np.pi * OCTAVE) / 20)
    alike = window_ripple(arcs(lambda plane, turn, frequency: wave, FREQUENCY), BAND, None)
    assert float(alike.common_ripple) == pytest.approx(1.5, abs=1e-9)
    assert float(alike.worst_ripple) == pytest.approx(0, abs=1e-9)

    apart = arcs(uneven, FREQUENCY)
    wanted, _ = ripple_and_tilt(standard_curves(apart).listening_window, FREQUENCY)
    assert float(window_ripple(apart).common_ripple) == pytest.approx(float(wanted), abs=1e-12)


def test_power_is_smoothed_before_the_ratio():
    # 1/1 octave over one-octave waves of power leaves their means, a constant ratio.
    def pattern(plane, turn, frequency):
        return np.sqrt(1 + 0.5 * np.cos(2 * np.pi * OCTAVE) * np.cos(turn) ** 8)

    assert float(window_ripple(arcs(pattern, FREQUENCY), BAND, None).worst_ripple) > 0.3
    assert float(window_ripple(arcs(pattern, FREQUENCY), BAND, 1).worst_ripple) == pytest.approx(
        0, abs=1e-9
    )


@pytest.mark.parametrize(
    ("frequency", "word"),
    [(FREQUENCY[FREQUENCY > 500], "reaches beyond"), (FREQUENCY[::8], "per octave")],
)
def test_frequencies_that_do_not_allow_the_figures(frequency, word):
    ripple = window_ripple(arcs(uneven, frequency), BAND)
    assert word in ripple.attrs["note"]
    assert np.isnan(ripple.common_ripple)
    assert np.isnan(ripple.relative_ripple).all()
    assert np.isnan(ripple.worst_ripple)
    assert str(ripple.worst_direction.values) == ""
