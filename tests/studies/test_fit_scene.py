"""What a fit reckons with, held against a prediction of the case that it would write."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.crossover.power import CREST_FACTOR, lift, programme_shares
from acoustics.listening.loudest import limit_inputs
from acoustics.prediction import predict
from acoustics.studies.crossover_fit.aims import SPARE, Residuals, as_vector, played, residuals
from acoustics.studies.crossover_fit.scene import DIRECTIONS, scene_of
from support.boxes import AIR, parameters, vented
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_baffled_piston

LADDERS = {
    "woofer": (
        Element("series", inductor=1.5e-3, resistance=0.4),
        Element("across", capacitor=10e-6, resistor=1.0),
    ),
    "second": (Element("series", capacitor=200e-6), Element("series", resistor=2.0)),
    "tweeter": (
        Element("series", capacitor=6.8e-6),
        Element("across", inductor=0.4e-3, resistance=0.3),
        Element("series", resistor=3.0),
    ),
}
TURNED = {"woofer": False, "second": True, "tweeter": True}


def three(turned: bool, active: bool):
    """Two unlike woofers in one vented box and a tweeter behind one filtered amplifier.

    A third woofer in the same box may have an amplifier of its own.
    """
    box = vented(parameters(40.0, 0.4), 1.0, 0.9, 7.0)
    woofer = replace(
        box.drivers[0],
        name="woofer",
        position=(0.0, -0.08),
        most_displacement=0.0005,
        power=40.0,
        rated_impedance=8.0,
    )
    second = replace(
        woofer,
        name="second",
        position=(0.02, 0.05),
        piston_diameter=0.11,
        small_signal=parameters(45.0, 0.5),
        inverted=turned,
    )
    tweeter = make_driver(
        "tweeter", 0.15, rated_impedance=6.0, inverted=True, acoustic_depth=-0.01, power=20.0
    )
    third = replace(woofer, name="third", position=(0.0, -0.12))
    inside = ("woofer", "second", "third")
    before = pass_branch("", "high-pass", 60.0, order=2).sections
    own = replace(pass_branch("third", "low-pass", 150.0), delay=0.0011, inverted=True, gain=3.0)
    return make_case(
        (woofer, second, third, tweeter) if active else (woofer, second, tweeter),
        enclosures=(replace(box.enclosures[0], drivers=inside if active else inside[:2]),),
        amplifier=Amplifier(
            power=60.0, resistance=0.4, sections=before, gain=-2.0, delay=3e-4, inverted=True
        ),
        crossover=(own,) if active else (),
        frequencies=FrequencyGrid(20.0, 20_000.0, 12),
        arc_step=10.0,
        fit=Fit(),
        air=AIR,
    )


def both(case):
    """The scene, its sound through the ladders, and the prediction of the case with them."""
    scene = scene_of(case, solve_baffled_piston)
    sound = played(scene, [LADDERS[n] for n in scene.names], [TURNED[n] for n in scene.names])
    passive = tuple(
        Branch(name, slopes="passive", elements=LADDERS[name], inverted=TURNED[name])
        for name in scene.names
    )
    written = replace(case, crossover=(*case.crossover, *passive))
    return scene, sound, predict(written, solve=solve_baffled_piston)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("active", [False, True])
def test_it_hears_what_the_prediction_hears_everywhere(turned, active):
    scene, sound, prediction = both(three(turned, active))
    total = np.array(
        [prediction.arc_total.sel(plane=plane, angle=angle).values for plane, angle in DIRECTIONS]
    )
    np.testing.assert_allclose(sound.each.sum(axis=1) + scene.others, total, rtol=1e-9)
    np.testing.assert_allclose(
        sound.network.input_impedance, prediction.input_impedance.values, rtol=1e-9
    )


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("active", [False, True])
def test_what_strains_drivers_is_what_limits_the_prediction(turned, active):
    """Drivers of one box move each other; what is before the amplifier moves them too."""
    scene, sound, prediction = both(three(turned, active))
    at_input = limit_inputs(prediction).sel(driver=list(scene.names))
    chosen = sound.terminals * scene.before
    moved = np.abs(np.einsum("ijf,jf->if", scene.moved, chosen) + scene.pushed)
    known = [scene.names.index(name) for name in ("woofer", "second")]
    expected = at_input.sel(limit="displacement").values[known]
    np.testing.assert_allclose(moved[known], 1 / expected, rtol=1e-9)
    assert not moved[scene.names.index("tweeter")].any()
    heated = at_input.sel(limit="power").values
    np.testing.assert_allclose(np.abs(chosen) / scene.power, 1 / heated, rtol=1e-9)
    # The programme, rms at the amplifier's source the highest voltage, as parts are rated for it.
    rms = np.sqrt(60.0 * 8.0) / lift(scene.before, scene.frequency)
    shares = programme_shares(scene.frequency)
    peak = CREST_FACTOR / np.sqrt(2) * rms * np.sqrt((shares * moved[1:2] ** 2).sum())
    warm = rms * np.sqrt((shares * (1 / heated[1:]) ** 2).sum(axis=1))
    strain = residuals(scene, Fit(), [(500.0, 1000.0)] * 2, sound, 80.0).strain
    expected = 20 * np.log10([peak, 1e-6, *warm])
    np.testing.assert_allclose(strain, np.maximum(expected, 0.0), atol=1e-9)
    assert strain[0] > 0.0


def test_a_broken_limit_costs_the_same_however_many_are_kept():
    """1 dB of one figure weighs as 1 dB over an octave, beside few kept limits or many."""
    none = np.zeros(0)
    aims = [np.zeros(9)] * 4 + [np.zeros(1)]

    def cost(impedance, spans, strain):
        found = Residuals(*aims, impedance, impedance, spans, strain)
        return (as_vector(Fit(), found) ** 2).sum()

    alone = cost(none, none, np.array([1.0]))
    assert cost(np.zeros(120), np.zeros(64), np.array([1.0, 0.0])) == pytest.approx(alone)
    octave = np.concatenate([np.ones(12), np.zeros(100)])
    assert cost(octave, none, none) == pytest.approx(alone)
    assert cost(none, octave, none) == pytest.approx(alone)
    assert alone >= 10.0


def test_an_impedance_that_the_lowest_driver_has_by_itself_is_told_but_not_fought():
    """Of a limit of 9 ohm a woofer of 8 ohm breaks 1.0 dB whatever its crossover does."""
    drivers = (
        make_driver("woofer", piston_diameter=0.12, rated_impedance=8.0),
        make_driver("tweeter", 0.15, rated_impedance=8.0),
    )
    grid = FrequencyGrid(50.0, 20_000.0, 12)
    scene = scene_of(make_case(drivers, frequencies=grid, arc_step=10.0), solve_baffled_piston)
    fit = Fit(least_impedance=9.0)
    small, large = (Element("series", resistor=each) for each in (1.0, 1e6))
    own, both = (
        residuals(scene, fit, [(500.0, 1000.0)], played(scene, way, [False] * 2), 80.0)
        for way in (((), (large,)), ((small,), (small,)))
    )
    asked = 20 * np.log10(SPARE * 9.0)
    np.testing.assert_allclose(own.impedance, asked - 20 * np.log10(8.0), atol=1e-3)
    np.testing.assert_allclose(own.to_mend, 0.0, atol=1e-3)
    # Two of 8 ohm, each behind 1 ohm: half of 9 ohm.
    np.testing.assert_allclose(both.impedance, asked - 20 * np.log10(4.5), atol=1e-9)
    np.testing.assert_allclose(both.to_mend, 20 * np.log10(8.0 / 4.5), atol=1e-9)
