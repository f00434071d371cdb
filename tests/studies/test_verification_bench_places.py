"""A microphone that does not stand as stated, and tables that are compared where it stands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics import read_case, solve_field
from acoustics.conventions import RoundoverError
from acoustics.prediction.layout import layout_of
from acoustics.studies.verification.bench.bench import bench_of, imagined
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.bench.fields import fields_round, key_of
from acoustics.studies.verification.bench.grid import grid_between, places_of
from acoustics.studies.verification.bench.lines import weights_at
from support.bench_readings import impedance, on_arc, readings, response
from support.cases import CASES, make_case
from support.free_field import solve_free_field

BAND = (200.0, 20_000.0)


@pytest.mark.slow
@pytest.mark.parametrize("degrees", [0.0, 30.0])
def test_microphone_that_strays_hears_what_is_solved_there(degrees):
    """Against the field solver at the place itself, within 20 dB of the loudest place."""
    case = read_case(CASES / "compact-passive" / "case.toml")
    layout, frequency = layout_of(case), np.geomspace(1000.0, 20_000.0, 12)
    place = key_of(on_arc(case, degrees))
    how = {"air": case.air, "accuracy": case.accuracy, "memory": case.memory}
    around = fields_round(layout, [place], [], case.reference.point, frequency, solve_field, how)[
        place
    ]
    turn = np.deg2rad(degrees)
    away = np.array([np.sin(turn), 0.0, np.cos(turn)])
    right = np.array([np.cos(turn), 0.0, -np.sin(turn)])
    offsets = [
        (0.01, 0.0, 0.0),
        (0.0, -0.03, 0.0),
        (0.0, 0.0, -0.2),
        (0.4, 0.0, 0.0),
        (0.0, 0.4, 0.0),
        (0.01, 0.01, -0.01),
    ]
    there = [place + x * right + y * np.array([0.0, 1.0, 0.0]) + z * away for x, y, z in offsets]
    solved = solve_field(layout.body, layout.pistons, np.array(there), frequency, **how).values
    loudest = np.abs(solved).max(axis=2)
    for number, offset in enumerate(offsets):
        found, expected = around.at(offset), solved[..., number]
        loud = np.abs(expected) > 0.1 * loudest
        loud[2:] = False  # the port behind is not heard that high
        apart = 20 * np.log10(np.abs(found / expected))
        assert np.abs(apart[loud]).max() < 0.05, offset


def _free(case):
    return bench_of(
        case,
        readings([response(case, on_arc(case, 0.0), BAND)]),
        solve=solve_free_field,
        more_places=[on_arc(case, 20.0)],
    )


def test_place_and_offset_are_the_same_for_point_sources():
    case = make_case()
    bench = _free(case)
    x, y, z = on_arc(case, 0.0)
    moved = readings([response(case, (x - 0.03, y + 0.02, z - 0.1), BAND)])
    there = bench_of(case, moved, solve=solve_free_field)
    (expected,) = there.answers(there.design).responses
    (found,) = bench.answers(Built(case, microphone=(-0.03, 0.02, -0.1))).responses
    np.testing.assert_allclose(found, expected, rtol=1e-6)
    (still,) = bench.answers(bench.design).responses
    assert np.abs(found - still).max() > 0.01 * np.abs(still).max()


def test_microphone_goes_no_farther_than_its_lines():
    case = make_case()
    bench = _free(case)
    end = 2.0 * np.tan(np.deg2rad(20.0))
    far, farther = (
        bench.answers(Built(case, microphone=(right, 0.0, 0.0))).responses[0]
        for right in (end, 2 * end)
    )
    np.testing.assert_allclose(far, farther, rtol=1e-9)


def test_polynomial_goes_through_what_it_is_made_of():
    """Degree 6 through 7 points is exact: x⁶ − 2x at 0.3, by hand."""
    nodes = np.cos(np.pi * np.arange(6, -1, -1) / 6)
    weights = weights_at(0.3, 7)
    assert weights @ (nodes**6 - 2 * nodes) == pytest.approx(0.3**6 - 0.6, rel=1e-12)
    assert weights_at(0.0, 7)[3] == 1.0


def test_other_readings_are_imagined_where_fields_are_solved():
    case = make_case()
    bench = _free(case)
    places = readings([response(case, on_arc(case, 20.0), (500.0, 1000.0))])
    other = imagined(bench, places)
    assert np.isnan(other.measured.responses[0]).all()
    direct = bench_of(case, places, solve=solve_free_field)
    (found,) = other.answers(other.design).responses
    np.testing.assert_allclose(found, direct.answers(direct.design).responses[0], rtol=1e-9)
    nowhere = readings([response(case, on_arc(case, 25.0), BAND)])
    with pytest.raises(RoundoverError, match="more_places"):
        imagined(bench, nowhere)


@pytest.mark.parametrize("per_octave", [12, 24, 200])
@pytest.mark.parametrize("clock", [-2e-3, 0.0, 3e-3])
def test_sparse_tables_are_read_between_their_rows(per_octave, clock):
    """A delayed second-order high-pass, sampled, against itself between the rows."""
    case = make_case()

    def pressure(frequency):
        s = 1j * frequency / 300.0
        flight = 2.0 / 343.0 + clock
        return s**2 / (1 + s + s**2) * np.exp(-2j * np.pi * frequency * flight)

    table = 1030.0 * 2.0 ** (np.arange(-2 * per_octave, 4.3 * per_octave) / per_octave)
    reading = replace(
        response(case, on_arc(case, 0.0), (280.0, 18_000.0)),
        frequency=table,
        pressure=pressure(table),
    )
    bench = bench_of(case, readings([reading]), solve=solve_free_field)
    (measured,), (frequency,) = bench.measured.responses, bench.frequencies.responses
    np.testing.assert_allclose(measured, pressure(frequency), rtol=2e-2)
    sizes = replace(reading, pressure=np.abs(pressure(table)), has_phase=False)
    (measured,) = bench_of(case, readings([sizes]), solve=solve_free_field).measured.responses
    assert measured.dtype == float
    np.testing.assert_allclose(measured, np.abs(pressure(frequency)), rtol=2e-2)


def test_frequencies_are_finer_where_impedances_are_narrow():
    """24 per octave below 500 Hz and 12 above; 12 everywhere for responses, the same ones."""
    grid = grid_between(10.0, 20_000.0)
    seen = grid.frequency[places_of(grid, impedance(band=(20.0, 5000.0)))]
    steps = np.diff(np.log2(seen))
    np.testing.assert_allclose(steps[seen[:-1] < 485.0], 1 / 24)
    np.testing.assert_allclose(steps[seen[:-1] > 515.0], 1 / 12)
    case = make_case()
    heard = grid.frequency[places_of(grid, response(case, (0.0, 0.0, 2.0), (20.0, 5000.0)))]
    np.testing.assert_allclose(np.diff(np.log2(heard)), 1 / 12)
    assert np.isin(heard, seen).all()


def test_readings_of_nothing_are_refused():
    case = make_case()
    with pytest.raises(RoundoverError, match="amplifier of its own"):
        bench_of(case, readings([], [impedance()]), solve=solve_free_field)
    with pytest.raises(RoundoverError, match="neither small-signal"):
        bench_of(case, readings([], [impedance(0)]), solve=solve_free_field)
    seven = response(case, on_arc(case, 0.0), BAND, playing=[7])
    with pytest.raises(RoundoverError, match="no driver 7"):
        bench_of(case, readings([seven]), solve=solve_free_field)
    narrow = response(case, on_arc(case, 0.0), (1010.0, 1020.0))
    with pytest.raises(RoundoverError, match="wider band"):
        bench_of(case, readings([narrow]), solve=solve_free_field)
