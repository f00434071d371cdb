"""How walls answer pressure and forces, and what struts make of two: against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import eigh

from acoustics.case.design.model import Cabinet
from acoustics.case.design.structure_model import Brace, Structure
from acoustics.structure.plate_bending import plate_of
from acoustics.structure.plate_supports import patch_mean
from acoustics.structure.wall_braces import Strut
from acoustics.structure.wall_forced import patches_of, wall_responses
from acoustics.structure.wall_groups import grouped, panel_of, solved_group
from acoustics.structure.wall_modes import groups_of, modes_of, panels_of, wall_area, wall_modes
from acoustics.structure.walls import CutOut
from support.plates import MDF, wall_alone

A, B = 0.5, 0.3
BOARDS = Structure("mdf", (MDF,), fixity=0.0)
BOX = Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6, wall_thickness=0.018)


def hinged_modes(count=60):
    """Numbers and angular frequencies of a hinged wall of A × B."""
    plate = plate_of(MDF, 0.018)
    m, n = (k.ravel() for k in np.meshgrid(np.arange(1, count), np.arange(1, count)))
    omega = math.pi**2 * ((m / A) ** 2 + (n / B) ** 2) * math.sqrt(plate.x / plate.mass)
    return m, n, omega, plate.mass * A * B / 4


def test_volume_velocity_of_a_hinged_wall():
    # The modal sum of a hinged plate, exactly (Cremer & Heckl, Structure-Borne Sound, from memory):
    # Q/p = jω Σ (4ab/(mnπ²))² / (M (ω_mn²(1 + jη) − ω²)), m and n odd.
    (group,) = grouped([panel_of(wall_alone(A, B), 0.0)], BOARDS, ())
    frequency = np.array([20.0, 200.0, 300.4, 800.0, 1500.0])
    (found,) = wall_responses([group], frequency)
    m, n, omega, mass = hinged_modes()
    area = np.where((m % 2) & (n % 2), 4 * A * B / (m * n * math.pi**2), 0.0)
    w = 2 * np.pi * frequency[:, None]
    exact = (1j * w * area**2 / (mass * (omega**2 * (1 + 0.02j) - w**2))).sum(axis=1)
    np.testing.assert_allclose(found.per_pressure, exact, rtol=1e-5)


def test_a_wall_of_its_own_gives_way_in_the_middle_of_a_mode():
    modes = modes_of(grouped([panel_of(wall_alone(A, B), 0.0)], BOARDS, ()), 1500.0)[0]
    m, n, omega, mass = hinged_modes(6)
    order = np.argsort(omega)[: len(modes.frequency)]
    np.testing.assert_allclose(modes.frequency, omega[order] / (2 * math.pi), rtol=1e-6)
    assert len(order) >= 5
    np.testing.assert_allclose(modes.modal_mass, mass, rtol=0.02)  # the grid has no point on a peak
    np.testing.assert_allclose(modes.rms, 0.5, rtol=0.01)
    odd = (m % 2 * (n % 2))[order] == 1
    np.testing.assert_allclose(
        np.abs(modes.area), np.where(odd, 4 * A * B / (m * n * math.pi**2)[order], 0.0), atol=2e-4
    )
    np.testing.assert_array_equal(modes.share, 1.0)
    np.testing.assert_allclose(modes.loss, 0.02)
    first = np.outer(np.cos(math.pi * modes.y / B), np.cos(math.pi * modes.x / A))
    np.testing.assert_allclose(modes.shape[0], first, atol=1e-4)


def driven_wall():
    woofer = CutOut("woofer", (0.06, 0.02), 0.07, rim=0.08, mass=1.2, driver=0)
    return wall_alone(A, B, cutouts=(woofer,))


def test_force_and_pressure_change_places():
    # Reciprocity: the volume velocity per newton on the driver is the velocity of its screws per
    # pascal inside.
    (group,) = grouped([panel_of(driven_wall(), 0.4)], BOARDS, ())
    frequency = np.geomspace(50, 2000, 7)
    (found,) = wall_responses([group], frequency)
    assert found.drivers == ("woofer",)
    (panel,), (vectors,) = group.panels, group.vectors
    moved = 2j * np.pi * frequency * group.drive[:, None] * group.compliance(frequency)
    np.testing.assert_allclose(found.per_force[0], panel.seats[0] @ vectors @ moved, rtol=1e-10)
    assert np.abs(found.per_force).min() > 0


def test_patches_add_up_to_the_wall():
    panel = panel_of(driven_wall(), 0.4)
    (found,) = wall_responses(grouped([panel], BOARDS, ()), np.array([100.0, 700.0]))
    assert found.patch_area.sum() == pytest.approx(wall_area(panel), rel=0.02)
    total = found.patch_area @ found.patch_per_pressure
    np.testing.assert_allclose(total, found.per_pressure, rtol=0.05)
    bare = panel_of(wall_alone(A, B), 0.4)
    place, area, means = patches_of(bare, 0.05)
    assert len(place) == 60
    assert area.sum() == pytest.approx(A * B, rel=1e-12)
    np.testing.assert_allclose(area @ means, bare.area, rtol=1e-4, atol=5e-5)


def test_patches_of_a_trapezium_cover_it():
    corners = np.array([[-0.1, -0.2], [0.12, -0.2], [0.07, 0.2], [-0.1, 0.2]])
    panel = panel_of(wall_alone(A, B, corners=corners), 0.5)
    _, area, _ = patches_of(panel, 0.05)
    assert area.sum() == pytest.approx(0.4 * (0.22 + 0.17) / 2, rel=1e-12)


def test_two_walls_with_a_strut_move_in_step_or_against_each_other():
    # By symmetry: in step each wall carries half the strut as a mass, opposed it stands on twice
    # its stiffness and a sixth of its mass.
    walls = (wall_alone(A, B), replace(wall_alone(A, B), name="back"))
    panels = [panel_of(wall, 0.3) for wall in walls]
    size, k, mass = (0.02, 0.04), 5e6, 0.4
    strut = Strut(("front", "back"), ((0.04, 0.02), (0.04, 0.02)), size, k, mass)
    group = solved_group(panels, {}, [strut])
    mean = patch_mean(panels[0].basis, (0.04, 0.02), size)
    point = np.outer(mean, mean)
    base = panels[0].base
    in_step = eigh(base.mass + mass / 2 * point, base.stiffness, eigvals_only=True)
    opposed = eigh(base.mass + mass / 6 * point, base.stiffness + 2 * k * point, eigvals_only=True)
    expected = np.sort(np.concatenate([in_step, opposed]))[::-1]
    np.testing.assert_allclose(group.slowness[:20], expected[:20], rtol=1e-9)
    # Even pressure moves only those that are opposed, outward on both alike.
    front, back = modes_of([group], 1500.0)
    driven = np.abs(front.drive) > 1e-9
    assert 0 < np.count_nonzero(driven) < len(driven)
    np.testing.assert_allclose(front.drive[driven], 2 * front.area[driven], rtol=1e-6)
    np.testing.assert_allclose(front.share, 0.5, rtol=1e-6)
    np.testing.assert_allclose(back.frequency, front.frequency)
    assert front.partners == ("back",)


def test_modes_of_one_frequency_are_told_apart():
    # A strut in the middle holds neither half of (2, 1): each wall keeps its own.
    walls = (wall_alone(A, B), replace(wall_alone(A, B), name="back"))
    strut = Strut(("front", "back"), ((0.0, 0.0), (0.0, 0.0)), (0.02, 0.04), 5e6, 0.4)
    group = solved_group([panel_of(wall, 0.0) for wall in walls], {}, [strut])
    _, _, omega, _ = hinged_modes(6)
    for modes in modes_of([group], 700.0):
        own = modes.share > 0.99
        assert np.sort(omega)[1] / (2 * math.pi) == pytest.approx(modes.frequency[own][0])
        assert np.count_nonzero(own) == 1
    # Of a square wall (1, 2) and (2, 1), not a mixture that leans.
    (square,) = modes_of(grouped([panel_of(wall_alone(B, B), 0.0)], BOARDS, ()), 1500.0)
    for shape in square.shape[1:3]:
        turned = [np.abs(shape + shape[::-1]).max(), np.abs(shape + shape[:, ::-1]).max()]
        assert min(turned) < 1e-9 < 0.5 < max(turned)


def test_a_box_has_its_walls_in_order(make_case, make_driver):
    case = make_case([make_driver("woofer", -0.05)], cabinet=BOX)
    strut = Brace("s", "strut", ("bottom",), 0.02, 0.04)
    modes = wall_modes(case, replace(BOARDS, braces=(strut,), reach=500.0))
    names = [each.wall.name for each in modes]
    assert names == ["front", "back", "right", "left", "top", "bottom"]
    assert {each.wall.name: each.partners for each in modes if each.partners} == {
        "top": ("bottom",),
        "bottom": ("top",),
    }
    # At least the lowest mode is told, wherever it is.
    assert all(len(each.frequency) >= 1 for each in modes)
    assert max(each.frequency[0] for each in modes) > 500.0
    front = modes[0]
    assert front.shape.shape == (len(front.frequency), len(front.y), len(front.x))
    assert front.driver_value.shape == (len(front.frequency), 1)
    for each in modes:
        assert np.nanmax(np.abs(each.shape)) <= 1 + 1e-12


def test_the_answer_is_the_same_each_time(make_case, make_driver):
    case = make_case([make_driver("woofer", -0.05)], cabinet=BOX)
    runs = [
        wall_responses(groups_of(panels_of(case, BOARDS), BOARDS), np.array([300.0]))
        for _ in range(2)
    ]
    for one, other in zip(*runs, strict=True):
        np.testing.assert_array_equal(one.per_pressure, other.per_pressure)
