"""The solver's front: labels, order, refusals, progress, threads, compiled code."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from acoustics import Air, Body, GeometryError, Piston, RoundoverError, solve_field
from acoustics.cabinet import Face, annulus, plate
from acoustics.field import block, kernels, plan, solve
from acoustics.field.blas import one_blas_thread

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
TWEETER = Piston(0.0127, (0.0, 0.1, 0.0))
RECEIVERS = np.array([[0.0, 0.1, 2.0], [1.4, 0.1, 1.4], [0.2, 0.3, -1.5]])
FREQUENCY = np.array([200.0, 2000.0])


def test_labels_and_units():
    field = solve_field(BOX, [TWEETER], RECEIVERS, FREQUENCY)
    assert field.dims == ("piston", "frequency", "receiver")
    assert field.shape == (1, 2, 3)
    assert field.dtype == complex
    assert field.attrs["units"] == "Pa s m-3"
    np.testing.assert_array_equal(field.frequency, FREQUENCY)
    np.testing.assert_array_equal(field.z, RECEIVERS[:, 2])
    assert (field.error_estimate > 0).all()
    assert (field.error_estimate < 0.3).all()


def test_density_and_speed_of_sound_enter_as_they_should():
    thin = solve_field(BOX, [TWEETER], RECEIVERS, FREQUENCY, air=Air(343.0, 0.6))
    dense = solve_field(BOX, [TWEETER], RECEIVERS, FREQUENCY, air=Air(343.0, 1.2))
    np.testing.assert_allclose(dense.values, 2 * thin.values, rtol=1e-12)
    fast = solve_field(BOX, [TWEETER], RECEIVERS, FREQUENCY * 1.1, air=Air(343.0 * 1.1, 1.2))
    np.testing.assert_allclose(fast.values, 1.1 * dense.values, rtol=1e-9)


def test_order_of_frequencies_does_not_matter():
    many = np.array([6000.0, 100.0, 12000.0, 1000.0, 3000.0])
    shuffled = solve_field(BOX, [TWEETER], RECEIVERS, many)
    ordered = solve_field(BOX, [TWEETER], RECEIVERS, np.sort(many))
    np.testing.assert_array_equal(shuffled.sortby("frequency").values, ordered.values)
    np.testing.assert_array_equal(
        shuffled.error_estimate.sortby("frequency"), ordered.error_estimate
    )


def test_equal_input_gives_equal_output_on_any_number_of_threads(monkeypatch):
    many = np.geomspace(100.0, 8000.0, 12)
    at_first = solve_field(BOX, [TWEETER], RECEIVERS, many)
    monkeypatch.setattr(plan, "usable_cores", lambda: 1)
    on_one = solve_field(BOX, [TWEETER], RECEIVERS, many)
    monkeypatch.setattr(plan, "usable_cores", lambda: 4)
    on_four = solve_field(BOX, [TWEETER], RECEIVERS, many)
    np.testing.assert_array_equal(at_first.values, on_one.values)
    np.testing.assert_array_equal(on_one.values, on_four.values)


def test_progress_reaches_the_end():
    calls = []
    solve_field(
        BOX,
        [TWEETER],
        RECEIVERS,
        np.geomspace(100.0, 8000.0, 12),
        progress=lambda done, total: calls.append((done, total)),
    )
    assert calls[-1] == (12, 12)
    assert [done for done, _ in calls] == sorted(done for done, _ in calls)
    assert len(calls) > 2


def test_an_interruption_stops_the_solver():
    def interrupt(done, total):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        solve_field(BOX, [TWEETER], RECEIVERS, np.geomspace(100, 8000, 12), progress=interrupt)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"receivers": np.array([[0.0, 0.0, -0.1]])}, "inside the body"),
        ({"receivers": np.array([[0.11, 0.05, 0.0]])}, "on an edge"),
        ({"receivers": np.array([[0.11, 0.19, 0.00005]])}, "on an edge"),
        ({"receivers": np.array([0.0, 0.0, 1.0])}, r"shape \(n, 3\)"),
        ({"receivers": np.array([[0.0, np.nan, 1.0]])}, "finite"),
        ({"receivers": np.empty((0, 3))}, r"shape \(n, 3\)"),
        ({"frequency": np.array([0.0])}, "positive"),
        ({"frequency": np.array([-5.0])}, "positive"),
        ({"frequency": np.array([np.inf])}, "finite"),
        ({"frequency": np.array([[100.0]])}, r"shape \(m,\), not \(1, 1\)"),
        ({"pistons": []}, "at least one piston"),
        ({"pistons": [Piston(0.02, (0.1, 0.0, 0.0))]}, "touches or crosses an edge"),
        ({"pistons": [Piston(0.02, (0.0, 0.0, 0.1))]}, "does not lie on a face"),
        ({"pistons": [Piston(0.02, (0.3, 0.0, 0.0))]}, "does not lie on a face"),
        ({"accuracy": 0.0}, "accuracy must be"),
        ({"accuracy": np.nan}, "accuracy must be"),
        ({"accuracy": 0.0005}, "accuracy must be 0.001 dB or more, not 0.0005"),
        ({"receivers": np.array([[0.0, 0.0, 1e200]])}, r"within 1e\+06 m"),
        ({"frequency": np.empty(0)}, "at least one"),
    ],
)
def test_refusals(changes, message):
    given = {"pistons": [TWEETER], "receivers": RECEIVERS, "frequency": FREQUENCY} | changes
    accuracy = given.pop("accuracy", 0.1)
    with pytest.raises(ValueError, match=message):
        solve_field(BOX, **given, accuracy=accuracy)


def test_bodies_pistons_and_air_refuse_nonsense():
    with pytest.raises(GeometryError, match="width must be positive"):
        Body.box(width=0.0, height=1.0, depth=1.0)
    with pytest.raises(GeometryError, match="radius must be positive"):
        Piston(-0.01, (0.0, 0.0, 0.0))
    with pytest.raises(GeometryError, match="centre must be three numbers"):
        Piston(0.01, (0.0, 0.0))
    with pytest.raises(ValueError, match="speed_of_sound"):
        Air(speed_of_sound=float("nan"))


def test_too_large_a_task_is_refused_before_it_starts():
    room = Body.box(width=5.0, height=5.0, depth=5.0)
    with pytest.raises(
        RoundoverError, match=r"needs about \d+ MiB of memory, and 4096 MiB are allowed"
    ):
        solve_field(room, [TWEETER], RECEIVERS * 10.0, np.array([1e5]), accuracy=0.01)


def test_many_receivers_are_taken_in_groups(monkeypatch):
    angles = np.radians(np.arange(0.0, 90.0, 9.0))
    points = np.stack([2 * np.sin(angles), 0 * angles, 2 * np.cos(angles)], axis=1)
    together = solve_field(BOX, [TWEETER], points, FREQUENCY)
    monkeypatch.setattr(block, "GROUP", 3)
    np.testing.assert_allclose(
        # Sums over edge points are in single precision.
        solve_field(BOX, [TWEETER], points, FREQUENCY).values,
        together.values,
        rtol=1e-6,
    )


def test_little_memory_makes_smaller_blocks_and_the_same_field():
    frequency = np.geomspace(100.0, 3000.0, 40)
    much = solve_field(BOX, [TWEETER], RECEIVERS, frequency)
    seen = []
    little = solve_field(
        BOX, [TWEETER], RECEIVERS, frequency, memory=4e6, progress=lambda done, _: seen.append(done)
    )
    assert len(seen) > 4
    off = 20 * np.log10(np.abs(little.values / much.values))
    assert np.abs(off).max() < 0.1
    with pytest.raises(RoundoverError, match=r"and 1 MiB are allowed; allow more \(memory under"):
        solve_field(BOX, [TWEETER], RECEIVERS, frequency, memory=1e6)


OPEN = Body.box(width=1.0, height=1.0, depth=1.0)


@pytest.mark.parametrize(
    ("corners", "faces", "message"),
    [
        (OPEN.corners, OPEN.faces[:-1], "must be closed"),
        (OPEN.corners, (*OPEN.faces, OPEN.faces[0]), "must be closed"),
        (OPEN.corners, tuple(Face(face.corners[::-1]) for face in OPEN.faces), "not convex"),
        ((*OPEN.corners[:7], (0.3, 0.3, -0.7)), OPEN.faces, "one plane"),
    ],
)
def test_a_body_must_be_closed_plane_faced_and_convex(corners, faces, message):
    with pytest.raises(GeometryError, match=message):
        Body(corners, faces)


def test_two_solvers_at_once_leave_linear_algebra_as_they_found_it():
    def threads():
        return [pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]

    before = threads()
    inner, outer = one_blas_thread(), one_blas_thread()
    outer.__enter__()
    inner.__enter__()
    assert set(threads()) == {1}
    outer.__exit__(None, None, None)
    assert set(threads()) == {1}
    inner.__exit__(None, None, None)
    assert threads() == before


def test_a_piston_may_sit_on_any_face():
    turned = Body.box(width=0.30, height=0.38, depth=0.22)
    front = solve_field(BOX, [Piston(0.02, (0.03, 0.05, 0.0))], [[0.5, 0.2, 1.0]], FREQUENCY)
    # The same cabinet turned a quarter about y: what was the front is now the right side.
    side = solve_field(
        turned,
        [Piston(0.02, (0.15, 0.05, -0.11 - 0.03))],
        [[0.15 + 1.0, 0.2, -0.11 - 0.5]],
        FREQUENCY,
    )
    np.testing.assert_allclose(side.values, front.values, rtol=2e-4)


def test_code_is_compiled_afresh_where_the_cache_cannot_be_kept(monkeypatch):
    real = kernels.njit

    def without_a_place(**options):
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return real(**options)

    monkeypatch.setattr(kernels, "njit", without_a_place)
    doubled = kernels.compiled(lambda x: 2.0 * x)
    assert doubled(3.0) == 6.0


SMALL_PROBLEM = """
import sys
import numpy as np
from acoustics import Body, Piston
from acoustics.field.block import Problem, solve_block
from acoustics.field.grid import edge_table
from acoustics.field.piston import place_source
from acoustics.field.resolution import Resolution
body = Body.box(width=0.22, height=0.38, depth=0.30)
source = place_source(body, Piston(0.05, (0.03, 0.1, 0.0)))
receivers = np.array([[0.0, 0.1, 2.0], [2.0, 0.1, 0.01], [0.11, 0.0, -0.1]])
problem = Problem(body, edge_table(body), (source,), receivers)
rough = Resolution(4, 2.0, 2, 5, 1e-2, 1e-2, 0.5, real=np.float64)
out = solve_block(problem, np.array([8.0, 9.0]), rough)
np.save(sys.argv[1], out.pressure)
"""


@pytest.mark.slow
def test_compiled_equals_uncompiled(tmp_path):
    outs = []
    for disabled in ("0", "1"):
        path = tmp_path / f"{disabled}.npy"
        subprocess.run(
            [sys.executable, "-c", SMALL_PROBLEM, str(path)],
            env=os.environ | {"NUMBA_DISABLE_JIT": disabled},
            check=True,
        )
        outs.append(np.load(path))
    np.testing.assert_allclose(outs[0], outs[1], rtol=1e-11)


def test_no_value_that_is_no_number_leaves_the_solver(monkeypatch):
    original = solve.solve_block

    def broken(*arguments):
        field = original(*arguments)
        field.pressure[0, 0, 0] = np.nan
        return field

    monkeypatch.setattr(solve, "solve_block", broken)
    with pytest.raises(RoundoverError, match="200 Hz came out as no number"):
        solve_field(BOX, [TWEETER], RECEIVERS, FREQUENCY)


def test_two_pistons_in_one_place_are_refused():
    one = Piston(0.05, (0.0, -0.05, 0.0))
    with pytest.raises(GeometryError, match=r"two pistons coincide at \(0, -0.05, 0\) m"):
        solve_field(BOX, [one, TWEETER, Piston(0.05, (0.0, -0.05, 0.0))], RECEIVERS, [100.0])


def test_alternatives_for_one_place_are_not():
    place = (0.0, -0.05, 0.0)
    options = [Piston(0.05, place), Piston(0.05, place, annulus(0.03, 0.05)), Piston(0.02, place)]
    field = solve_field(BOX, options, RECEIVERS, [100.0])
    assert np.isfinite(field.values).all()


def test_both_sides_of_a_plate_are_not():
    sides = [Piston(0.05, (0.0, 0.0, 0.0), face=face) for face in (0, 1)]
    field = solve_field(plate(width=0.3, height=0.4), sides, RECEIVERS, [100.0])
    assert np.isfinite(field.values).all()
