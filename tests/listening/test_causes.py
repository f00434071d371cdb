"""Levels taken apart: what adds up, and to whom it goes."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.listening.causes import level_parts, shapley_weights

CROSSOVER, BAFFLE = 0, 1


def subsets(count):
    return (np.arange(2**count)[:, None] >> np.arange(count)) & 1


def test_shapley_values_of_the_glove_game():
    # Two players own a left glove, the third a right one; a pair is worth 1: 1/6, 1/6, 4/6
    # (textbook example of cooperative games, from memory).
    members = subsets(3)
    worth = ((members[:, 0] | members[:, 1]) & members[:, 2]).astype(float)
    assert shapley_weights(members) @ worth == pytest.approx([1 / 6, 1 / 6, 4 / 6])


@pytest.fixture
def draw():
    return np.random.default_rng(3)


@pytest.mark.parametrize("surfaces", range(7))
def test_the_parts_add_up_to_the_level(draw, surfaces):
    shape = 3, 1 + surfaces, 20
    pressure = draw.normal(size=shape) + 1j * draw.normal(size=shape)
    parts = level_parts(pressure, draw.uniform(0.1, 2.0, (3, 20)), draw.uniform(1.0, 3.0, 3))
    assert parts.shape == (2 + surfaces, 20)
    level = 20 * np.log10(np.abs(pressure.sum(axis=(0, 1))))
    assert parts.sum(axis=0) == pytest.approx(level, abs=1e-9)


def test_one_driver_and_one_surface_are_told_apart_exactly():
    direct, over, strength, distance = 0.5 * np.exp(0.3j), 0.2 * np.exp(2.0j), 1.6, 2.0
    pressure = np.array([[[direct], [over]]])
    crossover, baffle, surface = level_parts(
        pressure, np.array([[strength]]), np.array([distance])
    )[:, 0]
    assert crossover == pytest.approx(20 * np.log10(strength / distance))
    assert baffle == pytest.approx(20 * np.log10(abs(direct) * distance / strength))
    assert surface == pytest.approx(20 * np.log10(abs(1 + over / direct)))


def test_drivers_that_cancel_are_the_crossovers_doing():
    # 0.5 against 0.4 in opposition: from 0.9 in step down to 0.1.
    parts = level_parts(np.array([[[0.5]], [[-0.4]]]), np.array([[1.0], [0.8]]), np.full(2, 2.0))
    assert parts[CROSSOVER, 0] == pytest.approx(20 * np.log10(0.1))
    assert parts[BAFFLE, 0] == pytest.approx(0.0, abs=1e-12)


def test_a_faint_reflection_that_completes_a_null_does_not_take_its_credit():
    pressure = np.array([[[0.5], [-0.05]], [[-0.4], [-0.04999]]])
    parts = level_parts(pressure, np.array([[1.0], [0.8]]), np.full(2, 2.0))[:, 0]
    # Alone the phases take 19 dB and the reflection 1 dB; together 79 dB. Were the phases always
    # first, the reflection would have 60 of them.
    assert parts[CROSSOVER] < 1.4 * parts[2] < 0


def test_alike_surfaces_share_alike_and_a_silent_one_has_no_part(draw):
    direct, over = draw.normal(size=(2, 2, 1, 8)) + 1j * draw.normal(size=(2, 2, 1, 8))
    pressure = np.concatenate([direct, 0.3 * over, np.zeros((2, 1, 8)), 0.3 * over], axis=1)
    parts = level_parts(pressure, np.ones((2, 8)), np.ones(2))
    assert parts[2] == pytest.approx(parts[4])
    assert parts[3] == pytest.approx(0.0, abs=1e-12)


def test_silence_has_a_finite_level():
    pressure = np.array([[[1.0], [-1.0], [0.5]]])
    assert np.isfinite(level_parts(pressure, np.ones((1, 1)), np.ones(1))).all()
