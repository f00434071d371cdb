"""Shipped designs, drawn as healthy as they are built, judged by what would be read of them."""

from dataclasses import replace

import numpy as np
import pytest

from acoustics import read_case
from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.bench.bench import DesignBench, bench_of
from acoustics.studies.verification.healthy.aligned import align
from acoustics.studies.verification.healthy.bands import banded
from acoustics.studies.verification.healthy.errors import errors_of
from acoustics.studies.verification.misfit.allowances import USUAL
from acoustics.studies.verification.strays.stacked import rows_of
from acoustics.studies.verification.strays.strayed import strayed
from acoustics.studies.verification.strays.strays import strays_of
from support.bench_readings import impedance, on_arc, readings, response
from support.cases import CASES

BUILDS = 20
LATE = 1e-3


def bench_for(name):
    """Three microphones on one clock and, with a passive crossover, the terminals."""
    case = replace(read_case(CASES / name), accuracy=1.0)
    places = (on_arc(case, 0), on_arc(case, 30), on_arc(case, 10, "vertical"))
    heard = [
        replace(response(case, place, (250.0, 16_000.0), name=f"from {n}"), clock="one")
        for n, place in enumerate(places)
    ]
    return bench_of(case, readings(heard, [impedance()] if name == "compact-passive" else []))


def read_there(bench, built, errors):
    """The bench with what would be read of a build, its errors in nepers and radians."""
    there, rows = bench.answers(built), rows_of(bench)
    turned = [
        value
        * np.exp(errors[row.level] + 1j * errors[row.phase])
        * np.exp(-2j * np.pi * row.frequency * LATE * row.is_response)
        for row, value in zip(rows, (*there.responses, *there.impedances), strict=True)
    ]
    count = len(there.responses)
    return replace(bench, measured=Answers(tuple(turned[:count]), tuple(turned[count:])))


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    ["compact-passive", "floorstander", "compact-centred", "compact-measured", "open-baffle"],
)
def test_healthy_builds_are_not_outside(name, monkeypatch):
    """Of 20 builds with all that strays, misread as predictions may be, one at most is outside.

    Nominal are 0.5 % of 60 or 80 readings; readings of one build stray together, so builds are
    counted: at most 2 % of them each, more than 2 of 20 once in 140 times. Microphone and level are
    found within 3.5 deviations all but once in 100. A build is read 80 times at most: that is what
    takes the time.
    """
    bench = bench_for(name)
    strays = strays_of(bench.design, bench.readings)
    errors = errors_of(rows_of(bench), bench.design.case, USUAL)
    outside, off, asked = 0, [], []
    plain = DesignBench.answers

    def counted(self, built):
        asked.append(built)
        return plain(self, built)

    for seed in range(BUILDS):
        rng = np.random.default_rng([seed, 3])
        built = strayed(bench.design, strays, rng.standard_normal(len(strays)))
        there = read_there(bench, built, errors.coloured(rng.standard_normal(errors.size)))
        asked.clear()
        with monkeypatch.context() as patch:
            patch.setattr(DesignBench, "answers", counted)
            found = align(there, strays)
        assert len(asked) <= 80
        truth = (built.gain, LATE, *built.microphone)
        off += [
            abs(each.value - true) / each.deviation
            for each, true in zip(found.unknowns, truth, strict=True)
        ]
        outside += any(each.verdict == "outside" for each in banded(found))
    assert outside <= 2
    assert np.mean(np.array(off) < 3.5) > 0.99 - 1e-9
    assert np.mean(np.array(off) < 1.96) > 0.88


@pytest.mark.slow
def test_a_reversed_tweeter_is_outside_and_the_rest_set_right():
    """Where the woofer hands over to a tweeter the wrong way round the axis is outside."""
    bench = bench_for("compact-passive")
    drivers = list(bench.design.case.drivers)
    high = min(range(len(drivers)), key=lambda n: drivers[n].piston_diameter)
    drivers[high] = replace(drivers[high], inverted=not drivers[high].inverted)
    built = replace(bench.design, case=replace(bench.design.case, drivers=tuple(drivers)))
    errors = errors_of(rows_of(bench), bench.design.case, USUAL)
    noise = errors.coloured(np.random.default_rng(1).standard_normal(errors.size))
    found = align(read_there(bench, built, noise), strays_of(bench.design, bench.readings))
    assert banded(found)[0].verdict == "outside"
    assert banded(found)[-1].verdict == "within"
