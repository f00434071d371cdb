"""Frequencies of plates without braces.

Sources: tests/reference/plates.json (Leissa, Vibration of Plates, NASA SP-160, 1969, and J. Sound
Vib. 31, 1973, 257, from memory; Ritz with 18 × 18 Legendre polynomials); closed forms named beside
their checks.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from acoustics.conventions import GeometryError
from acoustics.structure.plate_bending import Plate, plate_of
from support.plates import MDF, UNIT, angular, plate_problem, rectangle


def tables(reference, kind):
    return [each for each in reference("plates") if each["kind"] == kind]


def lambdas(case, counts):
    ratio = case["inputs"]["a_over_b"]
    corners = rectangle(1.0, 1 / ratio)
    return angular(
        plate_problem(corners, UNIT, clamped=case["inputs"]["bc"] == "CCCC", counts=counts)[1]
    )


def test_hinged_and_clamped_rectangles(reference):
    for case in tables(reference, "plate"):
        found = lambdas(case, (16, 16))
        expected = case["expected"]["lambda_1_6"]
        # Six decimals are given, of the sixth mode with 16 polynomials 2e-7 is left.
        np.testing.assert_allclose(found, expected, rtol=1e-6, err_msg=case["name"])


def test_leissas_tables_are_met_from_below(reference):
    compared = 0
    for case in tables(reference, "plate"):
        printed = case["expected"].get("leissa_table")
        if printed is None or case["inputs"]["bc"] != "CCCC":
            continue
        found = lambdas(case, (14, 14))
        # His are upper bounds with fewer functions, printed to five digits.
        assert (found < np.array(printed) * (1 + 5e-6)).all(), case["name"]
        np.testing.assert_allclose(found, printed, rtol=1e-3, err_msg=case["name"])
        compared += 1
    assert compared == 3


def test_panels_in_hertz(reference):
    for case in tables(reference, "panel"):
        given, expected = case["inputs"], case["expected"]
        E, nu = expected["E"], expected["nu"]
        board = replace(
            MDF, density=expected["rho"], along=E, across=E, shear=E / 2 / (1 + nu), poisson=nu
        )
        plate = plate_of(board, given["h_mm"] / 1e3)
        assert plate.x == pytest.approx(expected["D_Nm"], rel=1e-7)
        corners = rectangle(given["a_m"], given["b_m"])
        _, matrices = plate_problem(corners, plate, clamped=given["bc"] == "CCCC")
        np.testing.assert_allclose(angular(matrices) / (2 * math.pi), expected["f_hz"], rtol=1e-5)


def test_more_shapes_bring_frequencies_down():
    # Rayleigh and Ritz: every set of shapes gives an upper bound, and a larger one no higher.
    runs = [
        angular(plate_problem(rectangle(1.0, 0.6), UNIT, clamped=True, counts=(n, n))[1], 4)
        for n in (4, 6, 8, 10)
    ]
    assert (np.diff(runs, axis=0) <= 1e-9).all()
    assert np.abs(np.diff(runs, axis=0)).max(axis=1)[0] > 1e-3  # they did not start out exact


@pytest.mark.parametrize("grain_along_y", [False, True])
def test_hinged_orthotropic_plate(grain_along_y):
    # Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, ch. 11; Leissa SP-160 eq. 9.12,
    # from memory: f = π/2 √(1/ρh) √(Dx m⁴/a⁴ + 2H m²n²/a²b² + Dy n⁴/b⁴), H = coupling + 2 twist.
    ply = replace(MDF, along=10e9, across=5e9, shear=0.7e9, poisson=0.1, density=680.0)
    plate = plate_of(ply, 0.018, grain_along_y=grain_along_y)
    stiff, soft = (10e9, 5e9) if not grain_along_y else (5e9, 10e9)
    cube = 0.018**3 / 12 / (1 - 0.1 * 0.05)
    assert (plate.x, plate.y) == pytest.approx((stiff * cube, soft * cube), rel=1e-12)
    a, b = 0.5, 0.3
    m, n = np.meshgrid(np.arange(1, 8), np.arange(1, 8))
    H = plate.coupling + 2 * plate.twist
    exact = (math.pi / 2) * np.sqrt(
        (plate.x * (m / a) ** 4 + 2 * H * (m * n / a / b) ** 2 + plate.y * (n / b) ** 4)
        / plate.mass
    )
    found = angular(plate_problem(rectangle(a, b), plate)[1]) / (2 * math.pi)
    np.testing.assert_allclose(found, np.sort(exact.ravel())[:6], rtol=1e-7)


def test_clamped_orthotropic_plate_lies_just_below_the_beam_functions():
    # One product of beam functions (Hearmon, J. Appl. Mech. 26, 1959, 537, from memory) is an upper
    # bound: ω²ρh = 500.564 (Dx/a⁴ + Dy/b⁴) + 2·12.3026² H/(a²b²).
    plate = Plate(4000.0, 1500.0, 200.0, 400.0, 10.0)
    a, b = 0.5, 0.35
    H = plate.coupling + 2 * plate.twist
    bound = math.sqrt(
        (500.564 * (plate.x / a**4 + plate.y / b**4) + 2 * 12.3026**2 * H / (a * b) ** 2)
        / plate.mass
    )
    found = angular(plate_problem(rectangle(a, b), plate, clamped=True)[1])[0]
    assert 0.99 * bound < found < bound


SQUARED = 16 * math.pi**2 / 9
TRIANGLES = {
    # A hinged plate on a polygon vibrates at the squares of the membrane's wavenumbers (Conway &
    # Farnham, Int. J. Mech. Sci. 7, 1965, 811, from memory). Equilateral, side 1 (Lamé, 1852):
    "equilateral": ([[0, 0], [1, 0], [0.5, 3**0.5 / 2]], [3, 7, 7, 12], SQUARED),
    # Half of it: the modes that are odd about its height.
    "half of it": ([[0, 0], [0.5, 0], [0.5, 3**0.5 / 2]], [7, 13, 19], SQUARED),
    # Half a square: π²(m² + n²), m ≠ n.
    "half a square": ([[0, 0], [1, 0], [0, 1]], [5, 10, 13, 17], math.pi**2),
}


@pytest.mark.parametrize("name", TRIANGLES)
def test_hinged_triangles(name):
    corners, numbers, scale = TRIANGLES[name]
    _, matrices = plate_problem(np.array(corners, dtype=float), UNIT, counts=(14, 14))
    found = angular(matrices, len(numbers))
    np.testing.assert_allclose(found, scale * np.array(numbers), rtol=2e-5)


def test_clamped_equilateral_triangle():
    # Leissa & Jaber, Int. J. Mech. Sci. 34, 1992, 605, from memory: ω a²√(ρh/D) = 99.02.
    corners = np.array([[0, 0], [1, 0], [0.5, 3**0.5 / 2]])
    found = angular(plate_problem(corners, UNIT, clamped=True, counts=(12, 12))[1], 1)
    assert found[0] == pytest.approx(99.02, rel=1e-4)


def test_a_trapezium_that_is_nearly_a_rectangle_is_nearly_one():
    # Two ways through the code, the one for rectangles and the one for other polygons.
    near = rectangle(0.5, 0.3) + np.array([[0, 0], [0, 1e-6], [0, 0], [0, 0]])
    for clamped in (False, True):
        found, exact = (
            angular(plate_problem(corners, UNIT, clamped=clamped, counts=(16, 16))[1], 4)
            for corners in (near, rectangle(0.5, 0.3))
        )
        np.testing.assert_allclose(found, exact, rtol=1e-4)


def test_half_fixed_edges():
    # A beam on hinges with springs: tan(β/2) + tanh(β/2) = −2β/(kL/EI) (from the beam's equation,
    # symmetric modes); a long strip is one, but for the stiffness that its width adds.
    for fixity in (0.2, 0.5, 0.9):
        spring = 3 * fixity / (1 - fixity)
        beta = brentq(
            lambda x, k=spring: math.tan(x / 2) + math.tanh(x / 2) + 2 * x / k,
            math.pi + 1e-6,
            2 * math.pi - 1e-6,
        )
        strip = Plate(1.0, 1e-9, 0.0, 1e-9, 1.0)
        _, matrices = plate_problem(rectangle(1.0, 1.0), strip, counts=(12, 4), fixity=fixity)
        assert angular(matrices, 1)[0] == pytest.approx(beta**2, rel=1e-5)


def test_fixity_goes_from_hinged_to_clamped():
    runs = [
        angular(plate_problem(rectangle(1.0, 0.5), UNIT, fixity=fixity)[1], 1)[0]
        for fixity in (0.0, 0.25, 0.5, 0.75, 0.999999)
    ]
    assert (np.diff(runs) > 0).all()
    hinged, clamped = 49.348022, 98.310843  # tests/reference/plates.json
    assert runs[0] == pytest.approx(hinged, rel=1e-6)
    assert runs[-1] == pytest.approx(clamped, rel=1e-5)


def test_moduli_of_no_possible_board_are_refused():
    # Positive strain energy takes ν² < E_x/E_y (Timoshenko & Woinowsky-Krieger, ch. 11).
    with pytest.raises(GeometryError, match=r"a Poisson's ratio of 0.8 is more than .* 0.707"):
        plate_of(replace(MDF, along=1e9, across=2e9, poisson=0.8), 0.018)
