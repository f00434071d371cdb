"""Diameter and depth of a driver from several angles, where both are known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import j1

from acoustics.cabinet import Body, Piston
from acoustics.conventions import Air, RoundoverError
from acoustics.curves.minimum_phase import Tails
from acoustics.field import solve_field
from acoustics.measurement.piston_fit import fit_piston, fit_to_fields

C = 343.0
F = np.geomspace(300.0, 12_000.0, 128)
ANGLES = np.radians([0.0, 15.0, 30.0, 45.0, 60.0])
WAYS = np.full(ANGLES.size, 1.0)


def baffled(diameter, frequency=F):
    """Far field of a piston in an infinite baffle, 2·J1(x)/x (Kinsler et al., ch. 7)."""
    k = 2 * np.pi * frequency / C
    x = np.maximum(k * diameter / 2 * np.sin(ANGLES)[:, None], 1e-9)
    return 1j * k * np.exp(-1j * k) * 2 * j1(x) / x


def second_order_low_pass(frequency=F, corner=6000.0):
    """Of jω times the source: of minimum phase, and falling by 12 dB an octave."""
    s = 1j * frequency / corner
    return 1 / (1 + 1.2 * s + s**2) / (2j * np.pi * frequency)


def measured(diameter, depth, frequency=F):
    late = np.exp(-2j * np.pi * frequency * depth / C)
    return baffled(diameter, frequency) * second_order_low_pass(frequency) * late


def fitted(pressure, nominal=0.10, frequency=F, **how):
    def field(diameter):
        return baffled(diameter, frequency)

    tails = how.pop("tails", Tails(0.0, -2.0))
    return fit_to_fields(
        field, nominal, frequency, pressure, ways=WAYS, speed_of_sound=C, tails=tails, **how
    )


@pytest.mark.parametrize(("diameter", "depth"), [(0.13, 0.02), (0.08, -0.003), (0.10, 0.0)])
def test_what_was_put_in_comes_out(diameter, depth):
    found = fitted(measured(diameter, depth))
    assert found.diameter == pytest.approx(diameter, rel=1e-4)
    assert found.depth == pytest.approx(depth, abs=1e-3)
    assert found.holds_to == F[-1]
    np.testing.assert_allclose(found.off, 0.0, atol=1e-3)


@pytest.mark.slow
def test_through_the_solver_with_the_cabinet_in_the_way():
    """Another diameter than the nominal one on a real box, edges and all."""
    body = Body.box(width=0.22, height=0.38, depth=0.30)
    truth = Piston(radius=0.062, centre=(0.0, -0.02, 0.0))
    turn = np.radians([0.0, 20.0, 40.0, 60.0])
    places = np.stack([np.sin(turn), np.full(4, -0.02), np.cos(turn)], axis=-1)
    frequency = np.geomspace(300.0, 5000.0, 40)
    field = solve_field(body, [truth], places, frequency, air=Air(C, 1.2))
    late = np.exp(-2j * np.pi * frequency * 0.018 / C)
    source = second_order_low_pass(frequency, 3000.0) * late
    pressure = field.transpose("piston", "receiver", "frequency").values[0] * source
    found = fit_piston(
        body,
        Piston(radius=0.05, centre=(0.0, -0.02, 0.0)),
        places,
        frequency,
        pressure,
        air=Air(C, 1.2),
        tails=Tails(0.0, -2.0),
    )
    assert found.diameter == pytest.approx(0.124, rel=0.02)
    assert found.depth == pytest.approx(0.018, abs=1e-3)


def test_noise_scatters_it_by_what_is_told():
    rng = np.random.default_rng(2)
    clean = measured(0.13, 0.0)
    level = 0.02 * np.abs(clean).mean()
    errors, told = [], []
    for _ in range(40):
        parts = rng.normal(0, level, (2, *clean.shape))
        found = fitted(clean + parts[0] + 1j * parts[1])
        errors.append(found.diameter - 0.13)
        told.append(found.diameter_uncertainty / 2)
    assert np.sqrt(np.mean(np.square(errors))) == pytest.approx(np.mean(told), rel=0.35)


def test_microphones_a_little_off():
    """A turntable off its axis: distances wrong by millimetres, which the fit finds on request."""
    wrong = np.array([0.002, 0.003, 0.0, -0.001, -0.004])
    k = 2 * np.pi * F / C
    turned = measured(0.13, 0.02) * np.exp(-1j * k * wrong[:, None]) / (1 + wrong[:, None])
    found = fitted(turned, distances=True)
    assert found.diameter == pytest.approx(0.13, rel=1e-3)
    np.testing.assert_allclose(found.distance_errors, wrong, atol=1e-4)
    left_alone = fitted(turned)
    assert abs(left_alone.diameter - 0.13) > 10 * abs(found.diameter - 0.13)


def test_where_the_cone_breaks_up_the_piston_ends():
    """Above 3 kHz only an inner part still moves, as wide as a fixed share of the wavelength."""
    ends = 3000.0
    pressure = measured(0.13, 0.01)
    for n in np.flatnonzero(ends < F):
        shrunk = 0.13 * (ends / F[n]) ** 2
        pressure[:, n] = measured(shrunk, 0.01)[:, n]
    found = fitted(pressure, tails=None)
    assert found.diameter == pytest.approx(0.13, rel=0.02)
    assert ends * 0.9 < found.holds_to < 1.3 * ends
    beyond = np.abs(found.off[:, found.holds_to < F]).max(axis=0)
    assert (beyond[2:] > 1).all()


def test_the_depth_is_as_uncertain_as_what_lies_beyond():
    """Without stated tails the truth lies within what is told."""
    found = fitted(measured(0.13, 0.02), tails=None)
    assert abs(found.depth - 0.02) < found.depth_uncertainty < 0.03


def test_too_little_of_it():
    with pytest.raises(RoundoverError, match="3 places or more"):
        fitted(measured(0.13, 0.0)[:2])
    with pytest.raises(RoundoverError, match="5 frequencies; take 8 or more"):
        fitted(measured(0.13, 0.0, F[:5]), frequency=F[:5])
