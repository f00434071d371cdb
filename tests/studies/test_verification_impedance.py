"""What impedances of finished loudspeakers tell, held against builds whose faults are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.measurement.tuning import Given, circuit_impedance
from acoustics.prediction.passive import passive_of
from acoustics.source import motion_of
from acoustics.studies.verification.enclosures.impedance_found import (
    enclosures_found,
    load_of,
    tuning_dataset,
)
from acoustics.studies.verification.enclosures.terminals import Way, designed_impedance, way_to
from acoustics.studies.verification.enclosures.wrinkles_found import (
    NOTHING_NEAR,
    modes_of,
    wrinkles_found,
)
from acoustics.studies.verification.readings.readings import ImpedanceReading, Readings
from support.cases import CASES
from support.circuits import circuit_impedance as by_library

FREQUENCY = 10.0 * 2.0 ** (np.arange(48 * 11) / 48)
NOISE = 0.01


@pytest.fixture(scope="module")
def passive():
    return ac.read_case(CASES / "compact-passive" / "case.toml")


@pytest.fixture(scope="module")
def load():
    """Nothing: the drivers' own air load, so that tunings are Small's."""
    return lambda frequency: None


def readings_of(driver, impedance, *, has_phase=True, band=(10.0, 20e3)):
    one = ImpedanceReading(
        "impedance", "impedance.txt", driver, FREQUENCY, impedance, has_phase, band, NOISE
    )
    return Readings((), (one,), 0.01, 1.0)


def noisy(impedance, seed=1):
    rng = np.random.default_rng(seed)
    both = rng.standard_normal((2, FREQUENCY.size))
    return impedance * np.exp(NOISE * (both[0] + 1j * both[1]))


def box_changed(case, *, volume=1.0, length=1.0):
    enclosure = case.enclosures[0]
    ports = tuple(replace(port, length=port.length * length) for port in enclosure.ports)
    taken = enclosure.volume * (volume - 1)
    changed = replace(enclosure, gross=enclosure.gross + taken, ports=ports)
    return replace(case, enclosures=(changed, *case.enclosures[1:]))


def at_terminals(case, load):
    motion = motion_of(case, FREQUENCY, load(FREQUENCY))
    return passive_of(case, motion, FREQUENCY).network.input_impedance


def test_the_way_through_a_crossover_is_exact(passive, load):
    motion = motion_of(passive, FREQUENCY, load(FREQUENCY))
    way = way_to(passive, motion, passive.enclosures[0], None, FREQUENCY)
    assert isinstance(way, Way)
    own = designed_impedance(passive, motion, way.drivers, FREQUENCY)
    other = own * np.exp(0.2 + 0.1j)
    assert way.seen(own) == pytest.approx(at_terminals(passive, load), rel=1e-9)
    # Beyond the crossover what is inverted loses as many digits as shares grow.
    lost = np.maximum(way.growth(other), 1.0)
    assert (np.abs(way.behind(way.seen(other)) / other - 1) < 1e-12 * lost * 100).all()
    low = FREQUENCY < 1000
    assert np.abs(way.behind(at_terminals(passive, load)) / own - 1)[low].max() < 1e-9


def test_growth_is_the_slope_of_what_is_inverted(passive, load):
    motion = motion_of(passive, FREQUENCY, load(FREQUENCY))
    way = way_to(passive, motion, passive.enclosures[0], None, FREQUENCY)
    own = designed_impedance(passive, motion, way.drivers, FREQUENCY)
    seen = way.seen(own)
    slope = np.abs(way.behind(seen * (1 + 1e-6)) / way.behind(seen * (1 - 1e-6)) - 1) / 2e-6
    kept = way.growth(own) < 10
    assert way.growth(own)[kept] == pytest.approx(slope[kept], rel=1e-3)


def test_the_way_is_that_of_a_general_circuit_library(passive, load):
    """The woofer's ladder and the tweeter's as two-poles, solved by scikit-rf."""
    motion = motion_of(passive, FREQUENCY, load(FREQUENCY))
    way = way_to(passive, motion, passive.enclosures[0], None, FREQUENCY)
    names = [driver.name for driver in passive.drivers]
    tweeter = motion.impedance[names.index("tweeter")]
    other = np.full(FREQUENCY.size, 11.0 + 3.0j)
    s = 2j * np.pi * FREQUENCY
    ones = np.ones(FREQUENCY.size, dtype=complex)
    parts = [
        (8.2 * ones, "in", "t1"),
        (0.05 + 1 / (s * 10e-6), "t1", "t2"),
        (0.37 + s * 0.47e-3, "t2", "return"),
        (0.05 + 1 / (s * 4.7e-6), "t2", "t3"),
        (0.64 + s * 2.2e-3, "in", "w1"),
        (0.05 + 1 / (s * 2.7e-6), "w1", "return"),
        (3.3 + 1 / (s * 2.2e-6), "w1", "return"),
    ]
    drawn = np.zeros((2, 2, FREQUENCY.size), dtype=complex)
    drawn[0, 0], drawn[1, 1] = 1 / tweeter, 1 / other
    loads = [("t3", "return"), ("w1", "return")]
    seen = by_library(FREQUENCY, parts, loads, drawn, ["in"])[:, 0, 0]
    assert way.seen(other) == pytest.approx(seen, rel=1e-8)


@pytest.mark.parametrize(
    ("volume", "length", "has_phase", "said"),
    [
        pytest.param(1.0, 1.0, True, "as it should be", marks=pytest.mark.slow),
        (1.0, 1.0, False, "as it should be"),
        (1.0, 1.25, True, "port longer or narrower"),
        pytest.param(1.2, 1.0, True, "volume larger", marks=pytest.mark.slow),
        pytest.param(0.85, 1.0, True, "volume smaller", marks=pytest.mark.slow),
    ],
)
def test_a_box_at_the_loudspeakers_terminals(passive, load, volume, length, has_phase, said):
    built = box_changed(passive, volume=volume, length=length)
    seen = noisy(at_terminals(built, load))
    reading = readings_of(None, seen if has_phase else np.abs(seen), has_phase=has_phase)
    (found,) = enclosures_found(passive, reading, load=load)
    assert found.words[0].startswith("the box bass is tuned to")
    assert said in found.words[0]
    tuning = found.figure("tuning")
    truth = motion_of(built, np.array([50.0])).tuning["bass"]
    assert tuning.measured.value == pytest.approx(truth, rel=0.01)
    assert tuning.within == ("yes" if volume == length == 1.0 else "no")
    assert found.trusted[1] < 2000
    data = tuning_dataset(passive, [found])
    assert float(data.measured.sel(figure="tuning")[0]) == tuning.measured.value
    assert not wrinkles_found(passive, reading, [found], load=load)


def test_a_band_without_peaks_has_a_reason_in_place_of_figures(passive, load):
    seen = noisy(at_terminals(passive, load))
    (found,) = enclosures_found(passive, readings_of(None, seen, band=(150.0, 20e3)), load=load)
    assert "peak" in found.reason
    assert found.figure("tuning").within == "not known"
    (empty,) = enclosures_found(passive, readings_of(None, seen, band=(1.0, 2.0)), load=load)
    assert "nothing was measured" in empty.reason


def planted(seen, frequency, share, q):
    turn = FREQUENCY / frequency
    return seen * (1 + share / (1 + 1j * q * (turn - 1 / turn)))


@pytest.mark.slow
def test_a_wrinkle_is_told_with_the_mode_that_is_near(passive):
    load = load_of(passive, readings_of(None, np.ones(FREQUENCY.size)))
    modes = modes_of(passive)
    wave = next(each for each in modes.causes if each.kind == "air")
    empty = next(
        f
        for f in np.geomspace(120, 400, 50)
        if all(abs(f / each.frequency - 1) > 0.1 for each in modes.causes)
    )
    seen = planted(at_terminals(passive, load), 1.01 * wave.frequency, 0.12, 30.0)
    reading = readings_of(None, noisy(planted(seen, empty, 0.12j, 25.0)))
    near, nothing = sorted(
        wrinkles_found(passive, reading, enclosures_found(passive, reading, load=load), load=load),
        key=lambda each: -each.wrinkle.frequency,
    )
    assert near.wrinkle.frequency == pytest.approx(1.01 * wave.frequency, rel=0.005)
    assert wave in near.causes
    assert "standing wave" in near.words
    assert nothing.wrinkle.frequency == pytest.approx(empty, rel=0.005)
    assert NOTHING_NEAR in nothing.words


@pytest.mark.slow
def test_every_box_of_a_case_with_amplifiers_for_all():
    case = ac.read_case(CASES / "floorstander" / "case.toml")
    numbers = {driver.name: number for number, driver in enumerate(case.drivers)}
    load = load_of(case, readings_of(0, np.ones(FREQUENCY.size)))
    motion = motion_of(case, FREQUENCY, load(FREQUENCY))
    for driver, enclosure in (("midrange", "middle"), ("woofer", "bass")):
        number = numbers[driver]
        reading = readings_of(number, noisy(motion.impedance[number]))
        (found,) = enclosures_found(case, reading, load=load)
        assert found.enclosure == enclosure
        assert found.figure("tuning").measured.value == pytest.approx(
            motion.tuning[enclosure], rel=0.01
        )
        assert len(found.words) == 1
        assert "as it should be" in found.words[0]
        assert not wrinkles_found(case, reading, [found], load=load)
    passive = found.figure("passive_resonance")
    assert "does not tell it" in passive.measured.reason
    (silent, other) = enclosures_found(case, readings_of(None, motion.impedance[0]), load=load)
    assert "amplifier of its own" in silent.reason
    assert "amplifier of its own" in other.reason


def test_two_alike_in_one_box_are_fitted_as_one(passive):
    """Behind equal parts each has the impedance that both playing give it."""
    woofer = next(driver for driver in passive.drivers if driver.name == "woofer")
    tweeter = next(driver for driver in passive.drivers if driver.name == "tweeter")
    twin = replace(woofer, name="twin", position=(0.0, -120e-3))
    branch = next(each for each in passive.crossover if each.driver == "woofer")
    box = replace(passive.enclosures[0], drivers=("woofer", "twin"))
    case = replace(
        passive,
        drivers=(woofer, twin, tweeter),
        crossover=(*passive.crossover, replace(branch, driver="twin")),
        enclosures=(box,),
    )
    motion = motion_of(case, FREQUENCY)
    way = way_to(case, motion, box, None, FREQUENCY)
    assert isinstance(way, Way)
    assert way.drivers == (0, 1)
    seen = passive_of(case, motion, FREQUENCY).network.input_impedance
    own = designed_impedance(case, motion, way.drivers, FREQUENCY)
    assert way.seen(own) == pytest.approx(seen, rel=1e-9)
    why = way_to(case, motion, box, 0, FREQUENCY)
    assert isinstance(why, str)
    assert "share it" in why
    other = replace(twin, small_signal=replace(woofer.small_signal, compliance=1e-3))
    unlike = replace(case, drivers=(woofer, other, tweeter))
    why = way_to(unlike, motion_of(unlike, FREQUENCY), box, None, FREQUENCY)
    assert isinstance(why, str)
    assert "not alike" in why


def test_what_is_fitted_is_the_circuit_of_the_source(passive):
    """Without air load and behind nothing both are Small's circuit, to the digits."""
    number = next(n for n, driver in enumerate(passive.drivers) if driver.name == "woofer")
    driver, box = passive.drivers[number], passive.enclosures[0]
    motion = motion_of(passive, FREQUENCY)
    signal = driver.small_signal
    ratio = signal.equivalent_volume(passive.air) / box.volume
    turn = 2 * np.pi * 100.0
    unknown = np.array(
        [
            *np.log(
                [
                    signal.resonance,
                    signal.mechanical_q,
                    signal.dc_resistance / signal.electrical_q,
                    signal.dc_resistance,
                ]
            ),
            turn * driver.voice_coil.inductance,
            0.0,
            *np.log([ratio, motion.tuning["bass"]]),
            1 / box.leakage_q,
        ]
    )
    bare = replace(
        passive,
        drivers=tuple(
            replace(each, voice_coil=replace(each.voice_coil, semi_inductance=None))
            for each in passive.drivers
        ),
    )
    fitted = circuit_impedance("vented", unknown, FREQUENCY, Given())
    assert fitted == pytest.approx(motion_of(bare, FREQUENCY).impedance[number], rel=1e-9)
