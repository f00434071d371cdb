"""Energy: what a driver takes from the amplifier leaves as heat, in losses, or as sound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Cabinet
from acoustics.field import solve_field
from acoustics.source import motion_of, radiation_load
from acoustics.source.pistons import all_pistons
from support.boxes import AIR, FS, STIFFNESS, boxed, parameters, vented

FREQUENCY = np.array([FS, 100.0, 300.0, 900.0])
LEAKAGE, FAR = 7.0, 50.0


def over_a_sphere(count):
    """Directions (direction, 3) and weights that integrate over the sphere: Gauss × midpoint."""
    up, weight = np.polynomial.legendre.leggauss(count)
    turn = np.pi * (np.arange(2 * count) + 0.5) / count
    flat = np.sqrt(1 - up**2)[:, None]
    ways = np.stack(
        [flat * np.cos(turn), flat * np.sin(turn), up[:, None] * np.ones_like(turn)], axis=-1
    )
    return ways.reshape(-1, 3), np.repeat(weight * np.pi / count, 2 * count)


def far_power(case, velocity):
    """Sound power through a distant sphere for rms volume velocities, W, shape (frequency,)."""
    layout = all_pistons(case)
    ways, weights = over_a_sphere(10)
    how = {"air": AIR, "accuracy": 0.1}
    field = solve_field(layout.body, layout.pistons, FAR * ways, FREQUENCY, **how).values
    shares = np.zeros((len(layout.parts), len(layout.pistons)))
    for row, parts in enumerate(layout.parts):
        for piston, share in parts:
            shares[row, piston] = share
    pressure = np.einsum("rf,rp,pfn->fn", velocity, shares, field)
    intensity = np.abs(pressure) ** 2 / (AIR.density * AIR.speed_of_sound)
    return FAR**2 * intensity @ weights


def baffled():
    case = boxed(parameters(FS, 0.7))
    plate = Cabinet(width=0.4, height=0.5, depth=0.02, base_height=0.5, shape="plate")
    return replace(case, cabinet=plate, drivers=(replace(case.drivers[0], both_sides=True),))


@pytest.mark.parametrize(
    "case",
    [
        boxed(parameters(FS, 0.5), 2.0, leakage_q=LEAKAGE),
        vented(parameters(FS, 0.38), 1.5, 1.0, LEAKAGE),
        vented(parameters(FS, 0.38), 1.5, 1.0, LEAKAGE, passive=True),
        baffled(),
    ],
    ids=["closed", "vented", "passive radiator", "open baffle"],
)
def test_nothing_is_lost_between_the_amplifier_and_the_far_field(case):
    case = replace(case, amplifier=Amplifier(resistance=1.0))
    load = radiation_load(case, FREQUENCY)
    motion = motion_of(case, FREQUENCY, load)
    velocity, signal = motion.volume_velocity[:, 0], case.drivers[0].small_signal
    current = 1 / (motion.impedance[0] + 1.0)
    heat = (signal.dc_resistance + 1.0) * np.abs(current) ** 2
    suspension = signal.mechanical_resistance * np.abs(velocity[0] / signal.effective_area) ** 2
    leaked = 0.0
    if case.enclosures:
        compliance = case.enclosures[0].volume / STIFFNESS
        ohms = LEAKAGE / (2 * np.pi * motion.tuning["box"] * compliance)
        leaked = ohms * np.abs(motion.leak[0]) ** 2
    sound = current.real - heat - suspension - leaked

    by_load = np.einsum("rf,rsf,sf->f", velocity.conj(), load, velocity).real
    np.testing.assert_allclose(by_load, sound, rtol=1e-6)
    # An open baffle's sides nearly cancel at low frequencies: what is left is less exact.
    counts = FREQUENCY > 200.0 if not case.enclosures else FREQUENCY > 0.0
    np.testing.assert_allclose(far_power(case, velocity)[counts], sound[counts], rtol=6e-3)
