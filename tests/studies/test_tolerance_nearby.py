"""Fields near a design against fields solved afresh, the latter being the reference."""

from __future__ import annotations

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.model import FrequencyGrid
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.field import solve_field
from acoustics.prediction.built import Build
from acoustics.studies.kept_files import KeptFiles
from acoustics.studies.tolerance.builds import built_case
from acoustics.studies.tolerance.draws import scale
from acoustics.studies.tolerance.kept_fields import FIELD, KeptFields
from acoustics.studies.tolerance.nearby import Recorder, nearby
from support.cases import make_case
from support.free_field import solve_free_field, solve_with_echo

HEIGHTS = (0.5, 0.7, 0.9, 1.1, 1.3)
FEW = FrequencyGrid(lowest=500.0, highest=8000.0, per_octave=1)
SPREADS = (
    Spread("tweeter right", "position", ("drivers.tweeter.position.1",), (0.0,), 1e-3),
    Spread("tweeter up", "position", ("drivers.tweeter.position.2",), (0.1,), 1e-3),
    Spread("woofer right", "position", ("drivers.woofer.position.1",), (0.0,), 1e-3),
    Spread("distance", "distance", ("seat.distance",), (2.5,), 0.1),
    Spread("air", "temperature", ("air.temperature",), (293.15,), 5.0),
)


def calls(case, solve):
    ones = np.ones((len(case.drivers), case.frequencies.values().size))
    return ac.predict(case, solve=solve, build=Build(None, ones, HEIGHTS))


def expanded(case, spreads, solve, step=1.5):
    def asked(draws):
        recorder = Recorder()
        strayed = [scale(s) * d for s, d in zip(spreads, draws, strict=True)]
        calls(built_case(case, spreads, strayed), recorder)
        return recorder.asked

    count, each = len(spreads), np.eye(len(spreads))
    shifted = {n: (step, asked(step * each[n]), asked(-step * each[n])) for n in range(count)}
    names = [spread.name for spread in spreads]
    return nearby(asked(np.zeros(count)), shifted, names, solve)


def worst(case, spreads, near, draws, solve):
    """Largest difference of levels within 20 dB of the loudest, dB."""
    strayed = [scale(s) * d for s, d in zip(spreads, draws, strict=True)]
    build = built_case(case, spreads, strayed)
    one, other = calls(build, near.solver(np.array(draws), solve)), calls(build, solve)
    off = 0.0
    for name in ("arc_total", "seat_total", "height_total"):
        a, b = np.abs(one[name].values), np.abs(other[name].values)
        counts = b > 0.1 * np.nanmax(b, axis=tuple(range(b.ndim - 1)))
        off = max(off, float(np.abs(20 * np.log10(a[counts] / b[counts])).max()))
    return off


def test_what_the_expansion_leaves_falls_as_the_third_power_of_the_spread():
    case = make_case(frequencies=FEW, arc_step=10.0)
    off = []
    for share in (2.0, 1.0):
        spreads = [Spread(s.name, s.kind, s.keys, s.values, s.within * share) for s in SPREADS[:1]]
        near = expanded(case, spreads, solve_with_echo)
        off.append(worst(case, spreads, near, [0.8], solve_with_echo))
    # Value, slope and half the curvature are right: what is left begins with the third power.
    assert off[0] / off[1] == pytest.approx(8.0, rel=0.1)


def test_air_and_a_driver_that_stray_together_are_followed():
    """Without the mixed slope what is left would fall as the second power, by 4."""
    case = make_case(frequencies=FEW, arc_step=30.0)
    off = []
    for share in (2.0, 1.0):
        spreads = [
            Spread(s.name, s.kind, s.keys, s.values, s.within * share)
            for s in (SPREADS[1], SPREADS[4])
        ]
        near = expanded(case, spreads, solve_with_echo)
        off.append(worst(case, spreads, near, [0.8, 0.8], solve_with_echo))
    assert off[0] / off[1] == pytest.approx(8.0, rel=0.15)


def test_waves_without_echoes_are_followed_to_single_precision():
    case = make_case(frequencies=FEW, arc_step=10.0)
    near = expanded(case, SPREADS, solve_free_field)
    assert worst(case, SPREADS, near, [2.0, -1.5, 2.5, 3.0, -2.0], solve_free_field) < 2e-5


def test_a_driver_off_the_middle_of_a_centred_layout_is_followed():
    case = make_case(frequencies=FEW, arc_step=30.0)
    counted = []

    def solve(body, pistons, receivers, frequency, **how):
        counted.append((len(pistons), len(receivers)))
        return solve_field(body, pistons, receivers, frequency, **how)

    near = expanded(case, SPREADS, solve)
    # The design with the receivers that move, the pistons that move together, and the air twice,
    # with the pistons that move up with the one and down with the other.
    assert [pistons for pistons, _ in counted] == [2, 6, 5, 5]
    assert counted[0][1] > counted[2][1] > counted[1][1]
    # 0.05 dB: what the solver itself is good for at this tier (DEVELOPERS.md, "Fineness").
    assert worst(case, SPREADS, near, [1.3, -0.7, -1.1, 1.2, -0.9], solve_field) < 0.05
    # The off-centre tweeter is heard: left and right differ, as they do not in the design.
    strayed = near.solver(np.array([1.0, 0, 0, 0, 0]), solve_field)
    built = calls(built_case(case, SPREADS, [scale(SPREADS[0]), 0, 0, 0, 0]), strayed)
    arc = np.abs(built.arc_total.sel(plane="horizontal", frequency=8000.0))
    assert abs(float(arc.sel(angle=60.0) / arc.sel(angle=-60.0)) - 1) > 1e-3


def test_kept_fields_are_not_solved_again(tmp_path):
    case = make_case(frequencies=FEW, arc_step=30.0)
    asked = []

    def solve(*what, **how):
        asked.append(len(what[1]))
        return solve_with_echo(*what, **how)

    def kept():
        return KeptFields(KeptFiles(tmp_path, FIELD), solve)

    first = expanded(case, SPREADS, kept())
    count = len(asked)
    assert count == len(list(tmp_path.iterdir())) > 0
    again = expanded(case, SPREADS, kept())
    assert len(asked) == count
    for one, other in zip(first.expansions, again.expansions, strict=True):
        for piece, same in zip(one.pieces, other.pieces, strict=True):
            np.testing.assert_array_equal(piece.coefficients, same.coefficients)
    # One that is damaged is solved again, and what nobody asked for goes.
    file = min(tmp_path.iterdir())
    file.write_bytes(file.read_bytes()[:-9])
    files = KeptFiles(tmp_path, FIELD)
    expanded(case, SPREADS[:1], KeptFields(files, solve))
    files.clear()
    left = len(list(tmp_path.iterdir()))
    assert 0 < left < count
    expanded(case, SPREADS, kept())
    assert len(asked) > count


def test_the_deviation_is_told():
    case = make_case(frequencies=FrequencyGrid(500.0, 2000.0, 1), arc_step=10.0)
    wide = Spread("tweeter right", "position", ("drivers.tweeter.position.1",), (0.0,), 90e-3)
    found = [
        ac.tolerance_study(
            case,
            tolerance=Tolerance(spreads, builds=3),
            workers=0,
            solve=solve_with_echo,
        )
        for spreads in (SPREADS, (wide,))
    ]
    close, far = (one.attrs["deviation"] for one in found)
    assert close < 0.01 < far
    assert found[0].attrs["deviation_note"] == ""
    assert ("Smaller spreads" in found[1].attrs["deviation_note"]) == (far > 0.1)


def test_a_key_that_changes_how_much_is_heard_is_refused():
    case = make_case(frequencies=FEW, arc_step=10.0)
    one, more = Recorder(), Recorder()
    calls(case, one)
    calls(make_case(frequencies=FEW, arc_step=5.0), more)
    with pytest.raises(ac.RoundoverError, match="'arcs' changes how many"):
        nearby(one.asked, {0: (1.5, more.asked, one.asked)}, ["arcs"], solve_free_field)
