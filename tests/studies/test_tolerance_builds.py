"""The case of one build: what strays does, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.network_model import Element
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.case.objects.usual_tolerance import usual_tolerance
from acoustics.conventions import air_at
from acoustics.studies.tolerance.builds import built_case, factor_of
from support.cases import CASES
from support.free_field import solve_free_field


@pytest.fixture(scope="module")
def passive():
    return ac.read_case(CASES / "compact-passive")


def test_every_usual_spread_strays_what_it_names(passive):
    spreads = {spread.name: spread for spread in usual_tolerance(passive).spreads}

    def built(name, amount):
        return built_case(passive, [spreads[name]], [amount])

    tweeter = passive.driver("tweeter")
    assert built("tweeter up", 1e-3).driver("tweeter").position == (0.0, 0.125 + 1e-3)
    assert built("tweeter right", -1e-3).driver("tweeter").position == (-1e-3, 0.125)
    assert built("ear height", 0.05).seat.ear_heights == pytest.approx((0.9, 1.0, 1.1))
    # The seat beside is as far away as the main one: they share a sofa.
    assert [place.distance for place in built("distance", 0.1).seat.places] == [2.6, 2.6]
    warm = built("temperature", 5.0)
    assert (warm.temperature, warm.air) == (298.15, air_at(298.15))
    soft = built("tweeter compliance", 0.1).driver("tweeter").small_signal
    assert soft.compliance == pytest.approx(1.1 * tweeter.small_signal.compliance)
    assert soft.moving_mass == tweeter.small_signal.moving_mass
    parts = built("tweeter R pad", 0.05).crossover[0].elements
    assert parts[0] == Element("series", resistor=pytest.approx(8.61), name="R pad")
    assert parts[1:] == passive.crossover[0].elements[1:]
    # The design itself, and what levels do beside it.
    still = built_case(passive, tuple(spreads.values()), [0.0] * len(spreads))
    assert replace(still, air=passive.air) == passive
    names = ("tweeter level", "woofer level")
    factor = factor_of(passive, [spreads[n] for n in names], [1.0, -2.0], np.array([1e3, 2e3]))
    assert factor == pytest.approx(10 ** (np.array([[1.0], [-2.0]]) / 20) * np.ones(2))


def test_any_other_key_strays_through_the_file(passive):
    width = Spread("width", "key", ("cabinet.width",), (0.22,), 2e-3, unit="m")
    floor = Spread("floor", "key", ("floor.reflection",), (0.9,), 0.1, relative=True)
    built = built_case(passive, [width, floor], [1e-3, -0.05])
    assert built.cabinet == replace(passive.cabinet, width=0.221)
    assert built.floor.reflection == pytest.approx(0.855)
    case = replace(passive, frequencies=replace(passive.frequencies, per_octave=4), arc_step=10.0)
    found = ac.tolerance_study(
        replace(case, frequencies=replace(case.frequencies, lowest=200.0, highest=4000.0)),
        tolerance=Tolerance((floor,), builds=2),
        workers=0,
        solve=solve_free_field,
    )
    assert set(found.reason.values) == {""}
    assert found.attrs["pair"]


def test_what_is_fixed_once_does_not_follow_what_strays(passive):
    """The axis starts at the tweeter, the port is as long as its tuning asks of the design."""
    aside = Spread("aside", "key", ("drivers.tweeter.position.1",), (0.0,), 5e-3, unit="m")
    built = built_case(passive, [aside], [3e-3])
    assert built.driver("tweeter").position == (pytest.approx(3e-3), 0.125)
    assert built.reference == passive.reference
    (planned,) = passive.enclosures
    depth = Spread("depth", "key", ("cabinet.depth",), (0.3,), 5e-3, unit="m")
    (deeper,) = built_case(passive, [depth], [5e-3]).enclosures
    assert deeper.ports == planned.ports
    assert deeper.taken[-1] == planned.taken[-1]  # the duct
    # The inside is 184 mm by 344 mm (18 mm walls), 5 mm longer.
    assert deeper.gross - planned.gross == pytest.approx(0.184 * 0.344 * 5e-3, rel=1e-6)
    # What states the tuning or a part of the axis by itself strays.
    tuning = Spread("tuning", "key", ("enclosures.bass.tuning",), (42.0,), 2.0, unit="Hz")
    (higher,) = built_case(passive, [tuning], [2.0]).enclosures
    assert higher.ports[0].length < planned.ports[0].length


def test_a_stated_volume_that_strays_tunes_the_box_as_helmholtz_has_it(tmp_path):
    text = (CASES / "compact-centred" / "case.toml").read_text(encoding="utf-8")
    drivers = (CASES / "drivers").as_posix()
    text = text.replace("../drivers", drivers)
    stated = text.replace('braces = "0.4 l"', 'volume = "15 l"')
    assert stated != text
    (tmp_path / "case.toml").write_text(stated, encoding="utf-8")
    design = ac.read_case(tmp_path / "case.toml")
    volume = Spread("volume", "key", ("enclosures.bass.volume",), (0.015,), 0.1, True, unit="m3")
    wider = Spread("width", "key", ("cabinet.width",), (0.22,), 2e-3, unit="m")
    (planned,) = design.enclosures
    (smaller,) = built_case(design, [volume], [-0.1]).enclosures
    assert smaller.volume == pytest.approx(0.9 * 0.015)
    # ω = c √(S/(l V)) with one port: a tenth less air and the same duct.
    assert smaller.ports == planned.ports
    (other,) = built_case(design, [wider], [2e-3]).enclosures
    assert other.volume == pytest.approx(0.015)
    assert other.ports == planned.ports


def test_what_nothing_can_have_is_refused(passive):
    wide = Spread("pad", "part", ("crossover.tweeter.parts.1.resistor",), (8.2,), 0.9, True)
    with pytest.raises(ac.RoundoverError, match=r"pad strays from 8\.2 to -1\.64"):
        built_case(passive, [wide], [-1.2])
