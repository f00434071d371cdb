"""Bands over many builds against closed forms, and that they rest on nothing but the seed."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

import acoustics as ac
from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter, Processor, ReferenceAxis
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.conventions import air_at
from acoustics.prediction.built import Build, fixed_filters
from acoustics.studies.tolerance import run
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

TESTS = Path(__file__).parents[1]
FEW = FrequencyGrid(lowest=500.0, highest=2000.0, per_octave=1)
DB = np.log(10) / 20


def two_sources(**changes):
    """Two equal point sources as far above the reference axis as below it."""
    drivers = (make_driver("lower", -0.1), make_driver("upper", 0.1))
    return make_case(
        drivers,
        reference=ReferenceAxis((0.0, 0.0), 2.0),
        frequencies=FEW,
        arc_step=10.0,
        **changes,
    )


def level(within=1.0, shape="normal", name="upper"):
    return Spread(f"{name} level", "level", (name,), (0.0,), within, shape=shape)


def distance(within=0.1):
    return Spread("distance", "distance", ("seat.distance",), (2.5,), within, unit="m")


def study(case, *spreads, builds=40, seed=7, folder=None, **how):
    tolerance = Tolerance(spreads, builds=builds, seed=seed)
    how = {"workers": 0, "solve": solve_free_field, **how}
    return ac.tolerance_study(case, folder, tolerance=tolerance, **how)


def test_a_level_that_strays_moves_the_sum_as_the_sum_of_two_waves_does():
    found = study(two_sources(), level(1.0))
    # In phase on the axis: 1 + 10^(x/20) against 2, x normal with 95 % within 1 dB.
    by_draw = 20 * np.log10((1 + 10 ** (found.draw.values[:, 0] / 20)) / 2)
    middle = found.design_on_axis.values
    assert found.percentile.values.tolist() == [5.0, 50.0, 95.0]
    for percent, curve in zip(found.percentile.values, found.on_axis.values, strict=True):
        # Percentiles of a monotone function are that function of percentiles, of the draws here.
        assert curve - middle == pytest.approx(np.percentile(by_draw, percent), abs=2e-5)
        sigma = 1.0 / stats.norm.ppf(0.975)
        x = stats.norm.ppf(percent / 100) * sigma
        wanted = 20 * np.log10((1 + 10 ** (x / 20)) / 2)
        slope = 10 ** (x / 20) / (1 + 10 ** (x / 20))
        # Standard error of a percentile: sqrt(p(1−p)/n)/density (Serfling, Approximation
        # Theorems of Mathematical Statistics, 1980, 2.3.3; from memory).
        p = percent / 100
        error = np.sqrt(p * (1 - p) / 40) / stats.norm.pdf(x, scale=sigma) * slope
        assert np.abs(curve - middle - wanted).max() < 4 * error


def test_a_delay_that_strays_makes_a_comb():
    within = 2e-4
    spread = Spread("late", "delay", ("upper",), (0.0,), within, shape="uniform", unit="s")
    found = study(two_sources(), spread, builds=20)
    # |1 + exp(−jωτ)|/2 = |cos(ωτ/2)|, τ evenly between −0.2 and 0.2 ms.
    omega = 2 * np.pi * found.frequency.values
    late = found.draw.values[:, :1]
    wanted = np.percentile(20 * np.log10(np.abs(np.cos(omega * late / 2))), [5, 50, 95], axis=0)
    assert np.abs(late).max() <= within
    assert (found.on_axis - found.design_on_axis).values == pytest.approx(wanted, abs=2e-4)


def test_where_the_ears_are_is_followed_exactly():
    case = make_case([make_driver("only", 0.0)], frequencies=FEW, arc_step=10.0)
    ears = Spread("ears", "ear height", ("seat.ear_heights.1",), (0.9,), 0.3, unit="m")
    found = study(case, distance(0.5), ears, builds=20)
    # A point source 0.79 m above the floor: the level falls as 1/R, and the floor as its image.
    ahead, up = 2.5 + found.draw.values[:, 0], 0.9 + found.draw.values[:, 1] - 0.79
    wave = 2 * np.pi / 343.0 * found.frequency.values
    direct, over = np.hypot(ahead, up)[:, None], np.hypot(ahead, up + 2 * 0.79)[:, None]
    pressure = np.exp(-1j * wave * direct) / direct + np.exp(-1j * wave * over) / over
    first = found.design_seat_level.isel(listener=0, ear_height=0)
    still = np.hypot(2.5, 0.9 - 0.79)
    for surroundings, heard in (("free space", 1 / direct), ("with reflections", pressure)):
        wanted = np.percentile(20 * np.log10(np.abs(heard) * still), [5, 50, 95], axis=0)
        own = found.seat_level.sel(surroundings=surroundings).isel(listener=0, ear_height=0)
        free = first.sel(surroundings="free space")
        assert (own - free).values == pytest.approx(np.broadcast_to(wanted, own.shape), abs=1e-3)


def acoustic(name):
    section = PassFilter("low-pass", "linkwitz-riley", 4, None, 3000.0)
    return Branch(name, sections=(section,), slopes="acoustic", level=85.0)


def test_a_processor_keeps_the_filter_of_the_design():
    case = make_case(
        [make_driver("only", 0.0)], crossover=(acoustic("only"),), frequencies=FEW, arc_step=10.0
    )
    found = study(case, level(1.0, "uniform", "only"), builds=20)
    wanted = np.percentile(found.draw.values[:, 0], [5, 50, 95])
    assert (found.on_axis - found.design_on_axis).values == pytest.approx(
        np.broadcast_to(wanted[:, None], found.on_axis.shape), abs=2e-5
    )

    design = ac.predict(case, solve=solve_free_field)
    louder = Build(fixed_filters(case, design), np.full((1, FEW.values().size), 10 ** (1 / 20)))
    built = ac.predict(case, solve=solve_free_field, build=louder)
    ratio = np.abs(built.arc_total / design.arc_total)
    assert 20 * np.log10(ratio.values) == pytest.approx(1.0, abs=1e-6)
    # A filter made anew for the louder driver takes it back.
    driver = replace(case.drivers[0], sensitivity=case.drivers[0].sensitivity + 1.0)
    anew = ac.predict(replace(case, drivers=(driver,)), solve=solve_free_field)
    assert np.abs(anew.arc_total / design.arc_total).values == pytest.approx(1.0, abs=1e-6)


def test_a_build_that_nothing_strays_in_is_the_design(make_case):
    case = make_case(frequencies=FEW, arc_step=10.0)
    design = ac.predict(case, solve=solve_free_field)
    factor = np.ones((2, FEW.values().size))
    built = ac.predict(case, solve=solve_free_field, build=Build(None, factor))
    for name in ("arc_total", "seat_total", "height_total", "aside_total"):
        assert (
            np.abs(built[name] - design[name]).max() < 1e-7
        )  # unique receivers are rounded to a nanometre


def test_builds_that_cannot_be_are_told_and_left_out():
    wide = Spread("far", "distance", ("seat.distance",), (2.5,), 3.2, unit="m")
    found = study(two_sources(), wide, builds=20)
    failed = found.reason != ""
    assert 0 < failed.sum() < 20
    assert ((2.5 + found.draw.values[:, 0] <= 0) == failed.values).all()
    assert found.attrs["builds_failed"] == failed.sum()
    assert np.isfinite(found.seat_level).all()
    with pytest.raises(ac.RoundoverError, match="two builds or more"):
        study(two_sources(), level(), builds=1)


@pytest.fixture
def small(monkeypatch):
    monkeypatch.setattr(run, "BLOCK", 2)
    spreads = (level(), Spread("up", "position", ("drivers.upper.position.2",), (0.1,), 1e-3))

    def saved(path, **how):
        return ac.save(study(two_sources(), *spreads, builds=3, **how), path).read_bytes()

    return saved


@pytest.mark.slow  # that a study resumed gives the same bytes is shown in the quick run
def test_the_same_seed_gives_the_same_bytes_and_another_one_others(small, tmp_path):
    one, again = (small(tmp_path / name) for name in ("a.nc", "b.nc"))
    assert one == again
    assert small(tmp_path / "c.nc", seed=8) != one


def test_a_study_that_was_broken_off_goes_on(small, tmp_path, monkeypatch):
    whole = small(tmp_path / "whole.nc")

    def stop(done, total):
        if done == total - 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        small(tmp_path / "broken.nc", folder=tmp_path, progress=stop)
    kept = sorted((tmp_path / run.WORK).glob("*.npz"))
    assert kept
    kept[0].write_bytes(kept[0].read_bytes()[:-9])  # one of them was damaged
    asked = []
    real = run.work_on
    monkeypatch.setattr(run, "work_on", lambda task: asked.append(task) or real(task))
    assert small(tmp_path / "rest.nc", folder=tmp_path) == whole
    assert len(asked) == 5 - len(kept) + 1
    asked.clear()
    assert small(tmp_path / "again.nc", folder=tmp_path) == whole
    assert not asked


@pytest.mark.slow
def test_any_number_of_workers_gives_the_same_bytes(small, tmp_path, monkeypatch):
    old = os.environ.get("PYTHONPATH", "")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(filter(None, [str(TESTS), old])))
    assert small(tmp_path / "two.nc", workers=2) == small(tmp_path / "none.nc")


def test_a_processor_keeps_its_taps_too(make_case):
    branches = (acoustic("only"), Branch("plain"))
    case = make_case(
        [make_driver("only", -0.1), make_driver("plain", 0.1)],
        crossover=branches,
        frequencies=FrequencyGrid(200.0, 8000.0, 6),
        processor=Processor(48_000.0, taps=128),
        arc_step=10.0,
    )
    design = ac.predict(case, solve=solve_free_field)
    fixed = fixed_filters(case, design)
    assert fixed is not None
    hot = replace(case, temperature=303.15, air=air_at(303.15))
    built = ac.predict(
        hot, solve=solve_free_field, build=Build(fixed, np.ones((2, design.frequency.size)))
    )
    for name in ("filter", "target", "needed_filter", "taps", "tap_delay"):
        assert built[name].values == pytest.approx(design[name].values, rel=1e-9, nan_ok=True)
    assert built.attrs["latency"] == design.attrs["latency"]
