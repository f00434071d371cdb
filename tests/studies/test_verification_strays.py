"""What strays by itself: as far as the case says, and on top of what faults have changed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics import read_case
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.strays.strayed import Straying, strayed
from acoustics.studies.verification.strays.strays import strays_of
from support.bench_readings import readings
from support.cases import CASES, make_case


@pytest.fixture(scope="module")
def passive():
    return read_case(CASES / "compact-passive" / "case.toml")


def by_name(case):
    return {each.name: each for each in strays_of(Built(case), readings())}


def test_spreads_are_those_of_the_case(passive):
    """5 % for parts, any value alike: 5 %/√3 (JCGM 100:2008, 4.3.7); else 95 % within."""
    strays = by_name(passive)
    assert strays["tweeter C1"].spread == pytest.approx(0.05 / math.sqrt(3))
    assert strays["woofer compliance"].spread == pytest.approx(0.15 / 1.96)
    assert strays["microphone up"].spread == pytest.approx(0.01 / 1.96)
    assert strays["level calibration"].spread == pytest.approx(0.5 / 1.96)
    assert "tweeter level" not in strays  # its parameters make it
    unstated = by_name(replace(passive, tolerance=None))
    assert unstated["tweeter C1"].spread == 0.02
    assert unstated["woofer force factor"].spread == pytest.approx(0.05 / 1.96)


def test_drivers_without_parameters_stray_in_level():
    case = make_case()
    strays = by_name(case)
    assert strays["woofer level"].spread == pytest.approx(0.5 / 1.96)
    assert strays["woofer level"].changed(Built(case), 2.0).levels == pytest.approx((1 / 1.96, 0.0))
    measured = by_name(read_case(CASES / "compact-measured" / "case.toml"))
    assert "tweeter level" in measured


def test_everything_strays_alone_and_back(passive):
    design = Built(passive)
    for stray in strays_of(design, readings()):
        up = stray.changed(design, 1.5)
        assert up != design, stray.name
        assert stray.changed(design, 0.0) == design, stray.name
        if stray.name.startswith("microphone"):
            assert up.case is passive
            assert sum(up.microphone) == pytest.approx(1.5 * stray.spread)


def test_all_stray_as_one_by_one_and_share_what_is_alike(passive):
    design = Built(passive)
    strays = strays_of(design, readings())
    shares = np.random.default_rng(4).standard_normal(len(strays))
    straying = Straying(strays)
    found = straying.strayed(design, shares)
    assert found == strayed(design, strays, shares)
    inverted = replace(passive.drivers[0], inverted=not passive.drivers[0].inverted)
    other = replace(passive, drivers=(inverted, *passive.drivers[1:]))
    turned = straying.strayed(Built(other), shares)
    assert turned.case.crossover is found.case.crossover
    assert turned.case.enclosures is found.case.enclosures
    assert turned == strayed(Built(other), strays, shares)
    fewer = np.where(np.arange(len(strays)) % 2, shares, 0.0)
    assert straying.strayed(design, fewer) == strayed(design, strays, fewer)


def test_values_stray_by_equal_factors(passive):
    strays = by_name(passive)
    for t in (-3.0, 1.0):
        built = strays["bass volume"].changed(Built(passive), t).case.enclosures[0]
        assert built.volume == pytest.approx(passive.enclosures[0].volume * math.exp(0.01 * t))
        leak = strays["bass leakage Q"].changed(Built(passive), t).case.enclosures[0]
        assert leak.leakage_q == pytest.approx(10.0 * 1.2**t)
        port = strays["bass port rear length"].changed(Built(passive), t).case.enclosures[0]
        own = passive.enclosures[0].ports[0].length
        assert port.ports[0].length == pytest.approx(own * math.exp(0.01 * t))
        coil = strays["tweeter L1"].changed(Built(passive), t).case.crossover[0].elements[2]
        assert coil.inductor == pytest.approx(0.47e-3 * math.exp(0.05 / math.sqrt(3) * t))
        assert coil.resistance == 0.37


def test_faults_stay(passive):
    """A wrong capacitor, a missing one, another driver on the branch, a closed port."""
    strays = by_name(passive)
    tweeter, woofer = passive.crossover
    elements = list(tweeter.elements)
    elements[1] = replace(elements[1], capacitor=15e-6)
    elements[3] = replace(elements[3], capacitor=None, resistor=1e6)
    wrong = (
        replace(tweeter, driver="woofer", elements=tuple(elements)),
        replace(woofer, driver="tweeter"),
    )
    (box,) = passive.enclosures
    shut = (replace(box, kind="closed", ports=()),)
    built = Built(
        replace(passive, crossover=wrong, enclosures=shut), (1.0, 0.0), microphone=(0.1, 0.0, 0.0)
    )
    for stray in strays.values():
        built = stray.changed(built, 1.0)
    found = built.case.crossover[0].elements
    assert built.case.crossover[0].driver == "woofer"
    assert found[1].capacitor == pytest.approx(15e-6 * math.exp(0.05 / math.sqrt(3)))
    assert found[3].capacitor is None
    assert found[3].resistor == 1e6
    assert built.case.enclosures[0].ports == ()
    assert built.levels == (1.0, 0.0)
    assert built.microphone[0] == pytest.approx(0.1 + 0.01 / 1.96)
