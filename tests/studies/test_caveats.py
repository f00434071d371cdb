"""Notes on what makes a comparison less fair or less sure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.listening import doubtful_bands
from acoustics.studies.comparison.compare import compare
from support.cases import make_case, make_driver, pass_branch
from support.kept_numbers import found_once

LAYOUT = {
    "near": (make_driver("woofer", -0.05), make_driver("tweeter", 0.10)),
    "far": (make_driver("woofer", -0.15), make_driver("tweeter", 0.10)),
}


@pytest.fixture(scope="module", autouse=True)
def each_design_once():
    with found_once():
        yield


def two_way(name, slopes="electrical", level=None, **changes):
    branches = tuple(
        pass_branch(driver, kind, 2500.0, slopes=slopes, level=level)
        for driver, kind in (("woofer", "low-pass"), ("tweeter", "high-pass"))
    )
    changes = {"drivers": LAYOUT[name], "crossover": branches, **changes}
    return make_case(
        path=f"{name}/case.toml",
        digest=name,
        frequencies=FrequencyGrid(per_octave=12),
        arc_step=10.0,
        **changes,
    )


@pytest.fixture(scope="module")
def notes(solve_free_field):
    return lambda *cases: compare(cases, solve=solve_free_field).notes


def test_one_filter_for_two_layouts(notes):
    found = notes(two_way("near"), two_way("far"))
    assert found[0].startswith("All designs play through the same filter (electrical slopes)")
    other = tuple(replace(branch, gain=1.0) for branch in two_way("far").crossover)
    assert not any(
        "same filter" in n for n in notes(two_way("near"), two_way("far", crossover=other))
    )


def test_each_its_own_filter(notes):
    """With acoustic slopes the sum on the reference axis is that of the targets in any layout."""
    near, far = two_way("near", "acoustic", 80.0), two_way("far", "acoustic", 80.0)
    assert "alike by construction" in notes(near, far)[0]
    assert "slopes that are not the same" in notes(near, two_way("far", "acoustic", 78.0))[0]


def test_acoustic_slopes_are_alike_on_the_axis(solve_free_field):
    cases = two_way("near", "acoustic", 80.0), two_way("far", "acoustic", 80.0)
    by_place = {
        d.place: d.largest for d in compare(cases, solve=solve_free_field).audible.differences
    }
    assert by_place["on the reference axis"] < 1e-6
    assert by_place["in the listening window"] > 0.1


def test_slopes_of_two_kinds(notes):
    found = notes(two_way("near", "acoustic", 80.0), two_way("far"))
    assert found[0].startswith(
        "Slopes are not of one kind (acoustic in near and electrical in far)"
    )


def test_targets_out_of_reach_come_first(notes):
    found = notes(two_way("near", "acoustic", 80.0), two_way("far", "acoustic", 95.0))
    assert found[0].startswith("far: woofer does not reach its acoustic target: it lacks ")
    assert found[1].startswith("far: tweeter does not reach its acoustic target: it lacks ")
    assert not any(note.startswith("near: woofer") for note in found)


def test_bands_beyond_the_piston_are_told_for_each_design(solve_free_field):
    """A piston of 120 mm reaches ka = 3 at 3·343/(π·0.12) = 2730 Hz."""
    wide = (make_driver("woofer", -0.05, piston_diameter=0.12), make_driver("tweeter", 0.10))
    high = tuple(
        pass_branch(driver, kind, 5000.0)
        for driver, kind in (("woofer", "low-pass"), ("tweeter", "high-pass"))
    )
    result = compare(
        [two_way("near", drivers=wide, crossover=high), two_way("far")], solve=solve_free_field
    )
    (start, stop), *_ = doubtful_bands(result.predictions[0])
    assert start == pytest.approx(2730, rel=0.03)
    (note,) = [note for note in result.notes if "flat piston" in note]
    assert f"from {start / 1000:.3g} kHz to {stop / 1000:.3g} kHz in near." in note
    (both,) = [
        note
        for note in compare(
            [
                two_way("near", drivers=wide, crossover=high),
                two_way("far", drivers=wide, crossover=high),
            ],
            solve=solve_free_field,
        ).notes
        if "flat piston" in note
    ]
    assert "in near and far." in both
