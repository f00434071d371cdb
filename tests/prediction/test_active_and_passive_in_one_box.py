"""A driver with its own amplifier moves the passive ones of its box; they are generators too."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.crossover.branch import branch_response
from acoustics.prediction import predict
from acoustics.source.box import box_admittance
from acoustics.source.cone import mass_impedance
from acoustics.source.load import radiation_load
from support.boxes import AIR, FS, boxed, parameters
from support.cases import make_case, pass_branch
from support.free_field import solve_free_field

R, C, BEFORE = 0.5, 200e-6, 2.0


def one_box(*, active, passive, turned):
    """A woofer with its own amplifier, and one behind a capacitor, in one closed box."""
    box = boxed(parameters(FS, 0.4), 2.0, leakage_q=math.inf)
    own = replace(box.drivers[0], name="active", position=(0.0, -0.08), inverted=active)
    other = replace(own, name="passive", position=(0.0, 0.08), inverted=passive)
    return make_case(
        (own, other),
        air=AIR,
        enclosures=(replace(box.enclosures[0], drivers=("active", "passive")),),
        amplifier=Amplifier(resistance=R, gain=20 * math.log10(BEFORE)),
        crossover=(
            replace(pass_branch("active", "low-pass", 150.0, order=2), delay=0.001),
            Branch(
                "passive",
                slopes="passive",
                elements=(Element("series", capacitor=C),),
                inverted=turned,
            ),
        ),
        frequencies=FrequencyGrid(20.0, 2000.0, 6),
        arc_step=10.0,
    )


@pytest.mark.parametrize(
    ("active", "passive", "turned"),
    [(False, False, False), (True, False, False), (False, True, True), (False, False, True)],
)
def test_all_of_it_as_one_circuit(active, passive, turned):
    """Both meshes, both cones and the air in the box in one set of equations (Small 1972)."""
    case = one_box(active=active, passive=passive, turned=turned)
    found = predict(case, solve=solve_free_field)
    f = found.frequency.values
    load = radiation_load(case, f, solve=solve_free_field)
    signal = case.drivers[0].small_signal
    area, force = signal.effective_area, signal.force_factor / signal.effective_area
    s = 2j * np.pi * f
    held = (signal.mechanical_resistance + 1 / (s * signal.compliance)) / area**2
    cone = mass_impedance(case, 0, f, True) + held
    coil = signal.dc_resistance + R
    # Unknowns: volume velocities of active and passive, pressure in the box, both currents, each
    # as the terminals are marked.
    way = (-1.0 if passive else 1.0) * (-1.0 if turned else 1.0)
    drive = branch_response(case.crossover[0], f) * (-1.0 if active else 1.0)
    tuning = FS * math.sqrt(1 + 2.0)  # without losses in the box it does not matter
    box = box_admittance(case, case.enclosures[0], tuning, f)
    expected = np.empty((2, f.size), dtype=complex)
    for n in range(f.size):
        equations = np.array(
            [
                [cone[n] + load[0, 0, n], load[0, 1, n], -1.0, -force, 0.0],
                [load[1, 0, n], cone[n] + load[1, 1, n], -1.0, 0.0, -force],
                [1.0, 1.0, box[n], 0.0, 0.0],
                [force, 0.0, 0.0, coil, 0.0],
                [0.0, force, 0.0, 0.0, coil + 1 / (s[n] * C)],
            ]
        )
        right = [0.0, 0.0, 0.0, drive[n], way * BEFORE]
        expected[:, n] = np.linalg.solve(equations, right)[:2]
    filters = found["filter"].transpose("driver", "frequency").values
    moved = (found.volume_velocity.values * filters).sum(axis=1)
    np.testing.assert_allclose(moved, expected, rtol=1e-9)
