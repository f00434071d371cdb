"""Figures of a draft against what follows by hand from the pressures they are told from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from acoustics.case.design.model import FrequencyGrid
from acoustics.studies.live.figures import NAMES, DraftSound, draft_figures, handed_over

SPEED = 343.0
FREQUENCY = FrequencyGrid(per_octave=20).values()
HEIGHTS = np.arange(3, 21) / 10
CORNER, APART, AHEAD, EAR = 2000.0, 0.16, 2.5, 1.0
"""Hz; m between two sources, one above the other round the ears' height, and to the ears"""

WAYS = 2.6, 3.2
"""m, of the direct sound and of the floor's"""


def sources(height: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """Two point sources that play alike: spherical waves, (height, frequency)."""
    ways = [np.hypot(AHEAD, height - EAR - up) for up in (-APART / 2, APART / 2)]
    wavenumber = 2 * np.pi * frequency / SPEED
    parts = [np.exp(-1j * np.multiply.outer(way, wavenumber)) / way[:, None] for way in ways]
    return parts[0] + parts[1]


def sound(**changes) -> DraftSound:
    """Flat and alike in all directions, 0.02 Pa, with a floor that gives back half of it."""
    late = (WAYS[1] - WAYS[0]) / SPEED
    direct = 0.02 * np.exp(-2j * np.pi * FREQUENCY * WAYS[0] / SPEED)
    low = 1 / (1 + (FREQUENCY / CORNER) ** 4)
    strength = np.stack([low, 1 - low])
    values = {
        "frequency": FREQUENCY,
        "speed_of_sound": SPEED,
        "window": np.full((9, FREQUENCY.size), 0.02 + 0j),
        "seat": np.stack([direct, 0.5 * direct * np.exp(-2j * np.pi * FREQUENCY * late)]),
        "floor": 1,
        "ways": WAYS,
        "ear_height": EAR,
        "heights": HEIGHTS,
        "lobes": sources(HEIGHTS, FREQUENCY),
        "lobe_ways": np.hypot(AHEAD, HEIGHTS - EAR),
        "strength": strength,
        "drive": strength.astype(complex),
    }
    values |= changes
    values.setdefault("crossovers", handed_over(values["frequency"], values["strength"]))
    return DraftSound(**values)


def test_a_flat_sound_has_no_ripple():
    found = draft_figures(sound())
    assert set(found) == set(NAMES)
    for name in ("ripple off axis", "common ripple", "ripple on axis", "sides"):
        assert found[name] == pytest.approx(0.0, abs=1e-9), name


def test_the_level_at_the_seat_is_that_of_the_sum():
    # Without a floor 0.02 Pa are 60 dB re 20 µPa (IEC 60027-3).
    alone = replace(sound(), seat=sound().seat[:1], floor=None)
    found = draft_figures(alone)
    assert found["seat level"] == pytest.approx(60.0)
    assert np.isnan(found["floor dip"])


def test_the_floor_dip_is_that_of_two_waves():
    # At its deepest 1 − 1/2 of the pressure is left.
    assert draft_figures(sound())["floor dip"] == pytest.approx(20 * np.log10(2.0), abs=0.02)


def test_one_louder_direction_is_off_axis_ripple_and_tells_the_sides_apart():
    window = sound().window.copy()
    step = np.where(FREQUENCY > 2000.0, 10 ** (6 / 20), 1.0)
    window[-1] *= step  # 30° to the right
    found = draft_figures(sound(window=window))
    assert found["ripple off axis"] > 1.0
    assert found["ripple on axis"] == pytest.approx(0.0, abs=1e-9)
    # 6 dB above 2 kHz, of three angles one: the band has log2(10/0.3) octaves.
    share = np.log2(10.0 / 2.0) / np.log2(10.0 / 0.3)
    assert found["sides"] == pytest.approx(6.0 * np.sqrt(share / 3), rel=0.03)


def test_the_lobe_ends_where_two_sources_have_lost_3_db():
    def lost(height: float) -> float:
        at = sources(np.array([height, EAR]), np.array([CORNER]))[:, 0]
        return 20 * np.log10(abs(at[0] / at[1])) + 3.0

    found = draft_figures(sound())
    assert found["lobe high"] == pytest.approx(brentq(lost, EAR, EAR + 1.0), abs=2e-3)
    assert found["lobe low"] == pytest.approx(brentq(lost, EAR - 0.9, EAR), abs=2e-3)


def test_one_driver_has_no_lobe_of_a_crossover():
    found = draft_figures(sound(strength=sound().strength[:1], drive=sound().drive[:1]))
    assert np.isnan([found["lobe low"], found["lobe high"]]).all()


def test_few_frequencies_tell_no_ripple():
    few = slice(None, None, 5)  # four in an octave: too few for a smoothing of a sixth
    cut = {
        name: getattr(sound(), name)[..., few]
        for name in ("frequency", "window", "seat", "lobes", "strength", "drive")
    }
    found = draft_figures(sound(**cut))
    assert np.isnan([found[name] for name in ("common ripple", "sides", "floor dip")]).all()
