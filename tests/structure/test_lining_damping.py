"""What porous material does to standing waves, against exact solutions in a tube."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import root

from acoustics.cabinet import Body
from acoustics.cabinet.half_spaces import solid_behind
from acoustics.case.design.structure_model import Lining
from acoustics.conventions import Air
from acoustics.structure.air_inside import Inside
from acoustics.structure.air_modes import box_modes, ritz_modes
from acoustics.structure.lining_damping import damped
from acoustics.structure.lining_layer import (
    absorption_coefficient,
    density_and_compressibility,
    layer_slope,
    thin_below,
)
from acoustics.structure.lining_parts import treated

AIR = Air(speed_of_sound=343.0, density=1.2)
WALLS = ("front", "back", "left", "right", "top", "bottom")
LONG = 0.35
REFERENCE = json.loads(
    (Path(__file__).parents[1] / "reference" / "reflection.json").read_text(encoding="utf-8")
)


def box(width: float, height: float, depth: float) -> Inside:

    body = Body.box(width=width, height=height, depth=depth)
    solid = solid_behind(body.normals, body.offsets)
    assert solid is not None
    names = []
    for normal in body.normals:
        axis = int(np.abs(normal).argmax())
        low, high = (("left", "right"), ("bottom", "top"), ("back", "front"))[axis]
        names.append(high if normal[axis] > 0 else low)
    return Inside(body.normals, body.offsets, tuple(names), solid)


# So slender that only waves along it count.
TUBE = box(0.02, LONG, 0.02)


def media(resistivity: float, wave: complex) -> tuple[complex, complex]:
    """Zc over ρc and kc over k, from density and compressibility (both from room/porous.py)."""
    frequency = np.array([wave * AIR.speed_of_sound / (2 * np.pi)])
    density, compressibility = (x[0] for x in density_and_compressibility(resistivity, frequency))
    return np.sqrt(density / compressibility), np.sqrt(density * compressibility)


def transfer(length: float, impedance: complex, wave: complex) -> np.ndarray:
    """Pressure and velocity·ρc at one end of a length of medium from those at the other."""
    turn = wave * length
    return np.array(
        [
            [np.cos(turn), 1j * impedance * np.sin(turn)],
            [1j * np.sin(turn) / impedance, np.cos(turn)],
        ]
    )


def resonance(pieces, start: complex) -> complex:
    """k at which a chain of (length, resistivity or None) closed at both ends rings by itself."""

    def velocity(parts):
        wave = complex(*parts)
        chain = np.eye(2)
        for length, resistivity in pieces:
            impedance, relative = (1.0, 1.0) if resistivity is None else media(resistivity, wave)
            chain = chain @ transfer(length, impedance, wave * relative)
        return chain[1, 0].real, chain[1, 0].imag

    # From beside where it is expected: a solver that starts at the root cannot get better.
    found = root(velocity, [1.001 * start.real, 1.01 * start.imag], tol=1e-12)
    assert np.abs(found.fun).max() < 1e-9
    return complex(*found.x)


def as_wave(frequency: float, loss: float) -> complex:
    return 2 * np.pi * frequency / AIR.speed_of_sound * (1 + 0.5j * loss)


@pytest.mark.parametrize("row", REFERENCE["porous"], ids=lambda row: f"{row['sigma']}")
def test_absorption_square_to_the_wall(row):
    # Miki 1990; values recomputed independently, see the file.
    found = absorption_coefficient(row["d"], row["sigma"], np.array([float(row["f"])]), AIR)
    assert found[0] == pytest.approx(row["alpha"], abs=1e-8)


def test_a_layer_straight_in_is_the_one_of_the_reference():
    row = REFERENCE["porous"][0]
    wave = np.array([2 * np.pi * row["f"] / AIR.speed_of_sound])
    slope = layer_slope(row["d"], row["sigma"], wave, np.zeros(1), AIR)
    admittance = slope[0] / (1j * wave[0])
    assert 1 / admittance == pytest.approx(complex(*row["Zs"]), abs=1e-7)


@pytest.mark.parametrize("thickness", [0.025, 0.050])
def test_a_layer_thinner_than_a_tenth_of_a_wavelength_does_less_and_less(thickness):
    # Common practice, no source: a quarter of a wavelength takes nearly all, a tenth about a half
    # to two thirds, a fortieth hardly anything.
    limit = thin_below(thickness, AIR)
    assert limit == pytest.approx(343.0 / (10 * thickness))
    frequency = limit * np.array([0.25, 1.0, 2.5])
    thin, tenth, quarter = absorption_coefficient(thickness, 10_000.0, frequency, AIR)
    assert thin < 0.15
    assert 0.5 < tenth < 0.7
    assert quarter > 0.9


@pytest.mark.parametrize("thickness", [0.01, 0.025, 0.05])
@pytest.mark.parametrize("resistivity", [5_000.0, 10_000.0, 30_000.0])
def test_a_lined_end_of_a_tube_is_solved_exactly(thickness, resistivity):
    # Transfer matrices of a tube closed at both ends (Kinsler et al., ch. 10; from memory).
    modes = box_modes(TUBE, AIR, 1500.0)
    frequency, loss = damped(
        modes, treated(modes, [Lining(("top",), thickness, resistivity, 30.0)]), loss=0.0
    )
    for one in range(3):
        found = as_wave(frequency[one], loss[one])
        exact = resonance([(LONG - thickness, None), (thickness, resistivity)], found)
        assert found.real == pytest.approx(exact.real, rel=1e-6)
        assert found.imag == pytest.approx(exact.imag, rel=1e-5)


@pytest.mark.parametrize(
    ("thickness", "error"), [(0.01, 0.01), (0.025, 0.06), (0.05, 0.45)], ids=str
)
def test_kept_shapes_err_the_more_the_thicker_the_layer(thickness, error):
    # The way of shapes other than boxes, on a box: how far its loss is from the exact one.
    lining = [Lining(("top",), thickness, 10_000.0, 30.0)]
    exact, kept = (
        damped(modes, treated(modes, lining), loss=0.0)[1][:2]
        for modes in (box_modes(TUBE, AIR, 1200.0), ritz_modes(TUBE, AIR, 1200.0))
    )
    ratio = kept / exact
    assert np.abs(ratio - 1).max() < error


def test_loose_fibre_across_a_tube_is_near_the_exact_loss():
    # A tenth of the length, in the middle; the share of the tube's volume has to be a slab, so the
    # shares of the wave are put in by hand: ∫cos² and ∫sin² over the slab.
    modes = box_modes(TUBE, AIR, 600.0)
    slab, resistivity = 0.1 * LONG, 1_000.0
    held = 0.1 - np.sin(0.1 * np.pi) / np.pi
    moved = 0.1 + np.sin(0.1 * np.pi) / np.pi
    treatment = treated(modes, fill=0.1, fill_resistivity=resistivity)
    shares = np.array([[held], [moved]])
    frequency, loss = damped(modes, replace(treatment, fibre=(resistivity, shares)), loss=0.0)
    found = as_wave(frequency[0], loss[0])
    ends = (LONG - slab) / 2
    exact = resonance([(ends, None), (slab, resistivity), (ends, None)], found)
    assert found.real == pytest.approx(exact.real, rel=0.01)
    assert found.imag == pytest.approx(exact.imag, rel=0.05)


def test_fibre_damps_the_first_wave_more_in_the_middle_than_at_the_walls():
    # Air moves most where the pressure does not change: trade rule (common practice, no source).
    # Held to the wave along the longest side and fibre that is only near its ends or its middle.
    modes = box_modes(TUBE, AIR, 600.0)
    middle = damped(modes, treated(modes, fill=0.2))[1][0]
    walls = [Lining(("top", "bottom"), 0.1 * LONG, 4_000.0, 20.0)]
    ends = damped(modes, treated(modes, walls))[1][0]
    assert middle > 1.5 * ends


@pytest.mark.parametrize("find", [box_modes, ritz_modes])
def test_where_no_wave_stands_nothing_is_damped(find):
    # The first wave of a box 344 mm high is at c/2L = 499 Hz.
    modes = find(box(0.184, 0.344, 0.264), AIR, 300.0)
    layer = Lining(WALLS, 0.025, 10_000.0, 30.0)
    frequency, loss = damped(modes, treated(modes, [layer], fill=0.3))
    assert frequency.shape == loss.shape == (0,)


def test_more_material_damps_more_and_none_leaves_the_bare_box():
    modes = box_modes(box(0.184, 0.344, 0.264), AIR, 1000.0)
    bare = damped(modes, treated(modes))
    np.testing.assert_allclose(bare[0], modes.frequency, rtol=1e-9)
    np.testing.assert_allclose(bare[1], 0.01)
    losses = [
        damped(modes, treated(modes, [Lining(WALLS, thickness, 10_000.0, 30.0)]))[1]
        for thickness in (0.002, 0.005, 0.01)
    ]
    assert (np.diff(np.array([bare[1], *losses]), axis=0) > 0).all()


def test_two_kinds_of_lining_lie_where_they_are_put():
    space = box(0.2, 0.3, 0.25)
    modes = box_modes(space, AIR, 800.0)
    linings = [Lining(("back",), 0.03, 10_000.0, 30.0), Lining(("top",), 0.02, 20_000.0, 60.0)]
    treatment = treated(modes, linings)
    depths = dict(zip(space.walls, treatment.depths, strict=True))
    kinds = dict(zip(space.walls, treatment.resistivities, strict=True))
    assert depths == {**dict.fromkeys(WALLS, 0.0), "back": 0.03, "top": 0.02}
    assert (kinds["back"], kinds["top"]) == (10_000.0, 20_000.0)
    left = 0.2 * (0.3 - 0.02) * (0.25 - 0.03)
    assert treatment.layer_volume == pytest.approx(0.2 * 0.3 * 0.25 - left)


def test_layers_of_one_wall_lie_on_each_other():
    # Two like ones are one twice as thick; as a steady flow meets them, resistances add up.
    modes = box_modes(box(0.184, 0.344, 0.264), AIR, 1200.0)
    one = Lining(("left", "top"), 0.02, 12_000.0, 40.0)
    twice, thick = (
        damped(modes, treated(modes, each))
        for each in ((one, one), (replace(one, thickness=0.04),))
    )
    np.testing.assert_allclose(twice, thick, rtol=1e-9)
    soft = replace(one, walls=("left",), thickness=0.01, flow_resistivity=3_000.0)
    stack = treated(modes, (one, soft))
    wall = modes.inside.walls.index("left")
    assert stack.depths[wall] == pytest.approx(0.03)
    assert stack.resistivities[wall] == pytest.approx((2 * 12_000.0 + 3_000.0) / 3)
