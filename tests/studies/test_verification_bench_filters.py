"""A build keeps the filters that were computed for its design, each on its output.

Held against `predict` of a build with fixed filters, point sources in free space for the field.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics import predict, read_case
from acoustics.case.design.model import Case, Processor
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.prediction.built import Build, FixedFilters, fixed_filters
from acoustics.studies.verification.bench.bench import DesignBench, bench_of
from acoustics.studies.verification.bench.built import Built
from support.bench_readings import on_arc, readings, response
from support.cases import CASES
from support.free_field import solve_free_field

BAND = (100.0, 16_000.0)


def _case(taps: bool) -> Case:
    case = read_case(CASES / "compact-centred" / "case.toml")
    processor = Processor(sampling_rate=48_000.0, taps=512) if taps else None
    return replace(case, processor=processor, arc_step=10.0)


def _bench(case: Case) -> DesignBench:
    axis = response(case, on_arc(case, 0.0), BAND)
    return bench_of(case, readings([axis]), solve=solve_free_field)


def _expected(built: Case, fixed: FixedFilters | None, frequency: np.ndarray) -> np.ndarray:
    one = np.ones((len(built.drivers), built.frequencies.values().size))
    found = predict(built, solve=solve_free_field, build=Build(fixed, one))
    total = found.arc_total.sel(plane="horizontal", angle=0.0) / DRIVE_VOLTAGE
    return total.sel(frequency=frequency, method="nearest").values


@pytest.mark.parametrize("taps", [False, True])
def test_filters_of_the_design_are_kept(taps):
    case = _case(taps)
    bench = _bench(case)
    fixed = fixed_filters(case, predict(case, solve=solve_free_field))
    frequency = bench.frequencies.responses[0]
    inverted = tuple(
        replace(driver, inverted=not driver.inverted) if number == 0 else driver
        for number, driver in enumerate(case.drivers)
    )
    (box,) = case.enclosures
    for built in (
        case,
        replace(case, drivers=inverted),
        replace(case, enclosures=(replace(box, gross=0.8 * box.gross),)),
    ):
        (found,) = bench.answers(Built(built)).responses
        expected = _expected(built, fixed, frequency)
        assert np.abs(found - expected).max() < 1e-6 * np.abs(expected).max()


def test_branch_of_a_computed_filter_says_nothing_of_a_build():
    case = _case(taps=False)
    bench = _bench(case)
    louder = tuple(replace(branch, gain=3.0, inverted=True) for branch in case.crossover)
    (found,) = bench.answers(Built(replace(case, crossover=louder))).responses
    assert np.array_equal(found, bench.answers(bench.design).responses[0])


def test_swapped_outputs_take_their_filters_along():
    """Each driver then plays what was computed for the other."""
    case = _case(taps=False)
    bench = _bench(case)
    names = [driver.name for driver in case.drivers]
    other = dict(zip(names, names[::-1], strict=True))
    swapped = tuple(replace(branch, driver=other[branch.driver]) for branch in case.crossover)
    (found,) = bench.answers(Built(replace(case, crossover=swapped))).responses
    prediction = predict(case, solve=solve_free_field)
    sound = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    bare = (sound / prediction["filter"]).values / DRIVE_VOLTAGE
    expected = (bare * prediction["filter"].values[::-1]).sum(axis=0)
    at = [
        int(np.argmin(np.abs(prediction.frequency.values - each)))
        for each in bench.frequencies.responses[0]
    ]
    assert np.abs(found - expected[at]).max() < 1e-6 * np.abs(expected[at]).max()
