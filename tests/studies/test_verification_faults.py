"""Faults of a build: each is what the text of the design with the same slip would be."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.varied import varied_case
from acoustics.source.box import leak_admittance, tuning_of
from acoustics.source.motion import motion_of
from acoustics.studies.verification import faults
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.faults.all_faults import FAULTS, faults_of
from support.cases import make_case, make_driver, shipped_text
from support.verification import changed, design, found, one_response, read, some_readings

SHIPPED = ("compact-passive", "floorstander", "compact-centred", "open-baffle")
FREQUENCY = np.geomspace(20.0, 20_000.0, 60)


def close(one, other):
    """Whether two things are the same field by field, numbers to nine digits."""
    if one is other:
        return True
    if dataclasses.is_dataclass(one):
        names = [each.name for each in dataclasses.fields(one) if each.compare]
        return type(one) is type(other) and all(
            close(getattr(one, name), getattr(other, name)) for name in names
        )
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(close, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-15)
    return one == other


def same_thing(case, other):
    """What a fault may change: drivers, enclosures, amplifier, and branches by their drivers."""
    branches = [
        tuple(sorted(each.crossover, key=lambda branch: branch.driver)) for each in (case, other)
    ]
    return (
        close(case.drivers, other.drivers)
        and close(case.enclosures, other.enclosures)
        and close(case.amplifier, other.amplifier)
        and close(*branches)
    )


def test_every_file_is_in_the_list():
    folder = Path(faults.__file__).parent
    files = {path.stem for path in folder.glob("*.py")} - {"__init__", "all_faults"}
    listed = [each.__name__ for each in FAULTS]
    assert sorted(listed) == sorted(f"{name}_faults" for name in files)


@pytest.mark.parametrize("name", SHIPPED)
def test_names_are_distinct_and_sizes_reach_beyond_the_least(name):
    each = faults_of(Built(design(name)), some_readings())
    assert len({fault.name for fault in each}) == len(each) > 20
    for fault in each:
        sizes = fault.sizes
        if sizes is None:
            continue
        assert sizes.lowest <= sizes.design <= sizes.highest, fault.name
        if sizes.by_factor:
            reach = max(sizes.design / sizes.lowest, sizes.highest / sizes.design) - 1
        else:
            reach = max(sizes.design - sizes.lowest, sizes.highest - sizes.design)
        assert reach > sizes.least > 0, fault.name


@pytest.mark.parametrize("name", SHIPPED)
def test_the_size_of_the_design_is_the_design_and_any_other_is_not(name):
    home = Built(design(name))
    for fault in found(name).values():
        if fault.sizes is None:
            assert fault.changed(home, 0.0) != home, fault.name
            continue
        ends = {fault.sizes.lowest, fault.sizes.highest} - {fault.sizes.design}
        assert fault.changed(home, fault.sizes.design) == home, fault.name
        assert all(fault.changed(home, end) != home for end in ends), fault.name


@pytest.mark.parametrize("name", SHIPPED)
def test_what_is_not_changed_is_the_very_same_object(name):
    home = Built(design(name))
    for fault in found(name).values():
        size = 0.0 if fault.sizes is None else fault.sizes.lowest
        case = fault.changed(home, size).case
        for field in dataclasses.fields(case):
            now, was = getattr(case, field.name), getattr(home.case, field.name)
            if now is was:
                continue
            assert field.name in ("drivers", "enclosures", "crossover"), fault.name
            moved = sum(one is not other for one, other in zip(now, was, strict=True))
            assert 0 < moved <= (1 if field.name == "enclosures" else len(was)), fault.name


@pytest.mark.parametrize("name", SHIPPED)
def test_words_say_what_is_instead_of_what_should_be(name):
    for fault in found(name).values():
        size = 0.0 if fault.sizes is None else fault.sizes.highest
        words = fault.words(size)
        assert ", not " in words, words
        assert fault.remedy[0].isupper(), fault.remedy
        assert fault.remedy.endswith("."), fault.remedy
        assert not words.endswith("."), words
        if fault.sizes is not None:
            assert re.search(r"\d", words), words
            assert words != fault.words(fault.sizes.lowest), words


@pytest.mark.parametrize(
    ("name", "fault", "size", "words"),
    [
        (
            "compact-passive",
            "part off in value: capacitor C1 of the tweeter",
            13.9e-6,
            "C1 of the tweeter is about 14 µF, not 10 µF",
        ),
        (
            "compact-passive",
            "parts swapped: C1 and C2 of the tweeter",
            0.0,
            "C1 and C2 of the tweeter are swapped: C1 is 4.7 µF, not 10 µF, and C2 10 µF, not "
            "4.7 µF",
        ),
        (
            "compact-passive",
            "port width: port rear of bass",
            0.065,
            "the port rear is about 65 mm across, not 55 mm",
        ),
        (
            "floorstander",
            "corner off: filters of the midrange",
            420.0,
            "the filters of the midrange sit at about 420 Hz, 3.36 kHz and 1.02 kHz, not 350 Hz, "
            "2.8 kHz and 850 Hz",
        ),
        (
            "floorstander",
            "plays at another level: tweeter",
            3.0,
            "the tweeter plays about 3.0 dB louder than it should: as with a gain of −4.0 dB, not "
            "−7.0 dB",
        ),
        (
            "floorstander",
            "wrong delay: tweeter",
            -0.087e-3,
            "the tweeter comes about 0.087 ms too early: a delay of 0 ms, not 0.087 ms",
        ),
        (
            "open-baffle",
            "depth of a driver: tweeter",
            -0.01,
            "the sound of the tweeter starts farther out: about 10 mm in front of its face, not "
            "0 mm behind its face",
        ),
    ],
)
def test_words_of_some(name, fault, size, words):
    assert found(name)[fault].words(size) == words


# Size, the same slip in the text of the design, and keys that the text then goes without.
SLIPS = [
    ("compact-passive", "wrong way round: tweeter", 0.0, {"drivers.tweeter.polarity": "inverted"}),
    (
        "compact-passive",
        "wrong way round: all drivers together",
        0.0,
        {"drivers.tweeter.polarity": "inverted", "drivers.woofer.polarity": "inverted"},
    ),
    (
        "compact-passive",
        "part off in value: capacitor C1 of the tweeter",
        14e-6,
        {"crossover.tweeter.parts.2.capacitor": "14 uF"},
    ),
    (
        "compact-passive",
        "part off in value: resistor R1 of the woofer",
        4.7,
        {"crossover.woofer.parts.3.resistor": "4.7 ohm"},
    ),
    (
        "compact-passive",
        "part off in value: inductor L2 of the woofer",
        1.5e-3,
        {"crossover.woofer.parts.1.inductor": "1.5 mH"},
    ),
    (
        "compact-passive",
        "coil of thinner wire: inductor L2 of the woofer",
        1.9,
        {"crossover.woofer.parts.1.resistance": "1.9 ohm"},
    ),
    (
        "compact-passive",
        "parts swapped: L1 of the tweeter and L2 of the woofer",
        0.0,
        {
            "crossover.tweeter.parts.3.inductor": "2.2 mH",
            "crossover.tweeter.parts.3.resistance": "0.64 ohm",
            "crossover.woofer.parts.1.inductor": "0.47 mH",
            "crossover.woofer.parts.1.resistance": "0.37 ohm",
        },
    ),
    (
        "floorstander",
        "corner off: filters of the midrange",
        420.0,
        {
            "crossover.midrange.sections.1.low_frequency": "420 Hz",
            "crossover.midrange.sections.1.high_frequency": "3.36 kHz",
            "crossover.midrange.sections.2.frequency": "1020 Hz",
        },
    ),
    (
        "compact-passive",
        "port length: port rear of bass",
        0.15,
        {"enclosures.bass.ports.rear.length": "150 mm"},
        ("bass", "tuning"),
    ),
    ("compact-centred", "air leak: bass", 3.0, {"enclosures.bass.leakage_q": 3.0}),
    (
        "floorstander",
        "fill: middle",
        0.5,
        {"enclosures.middle.fill": 0.5, "enclosures.middle.absorption_q": 40.0},
    ),
    (
        "floorstander",
        "volume off: middle",
        4e-3,
        {"enclosures.middle.volume": "4 l"},
        ("middle", "share"),
    ),
    (
        "floorstander",
        "mass of a passive radiator: passive radiator rear of bass",
        0.105,
        {"enclosures.bass.passive_radiators.rear.added_mass": "60 g"},
        ("bass", "tuning"),
    ),
    (
        "compact-passive",
        "magnet of a driver: tweeter",
        2.5,
        {"drivers.tweeter.small_signal.force_factor": "2.5 T m"},
    ),
    (
        "compact-passive",
        "voice coil of a driver: tweeter",
        3.0,
        {"drivers.tweeter.small_signal.dc_resistance": "3 ohm"},
    ),
    (
        # √2 times the Q and 1/√2 of the resonance leave mass and losses alone: compliance ×2.
        "compact-passive",
        "suspension of a driver: tweeter",
        2 / ((2 * math.pi * 900) ** 2 * 0.25e-3),
        {
            "drivers.tweeter.small_signal.resonance": f"{900 / math.sqrt(2):.12g} Hz",
            "drivers.tweeter.small_signal.mechanical_q": 2.5 / math.sqrt(2),
        },
    ),
    (
        "compact-passive",
        "moving mass of a driver: tweeter",
        0.36e-3,
        {
            "drivers.tweeter.small_signal.moving_mass": "0.36 g",
            "drivers.tweeter.small_signal.resonance": "750 Hz",
            "drivers.tweeter.small_signal.mechanical_q": 3.0,
        },
    ),
    (
        "compact-passive",
        "inductance of a voice coil: woofer",
        0.16e-3,
        {
            "drivers.woofer.voice_coil.inductance": "0.16 mH",
            "drivers.woofer.voice_coil.semi_inductance": "0.05 sH",
        },
    ),
    (
        # Turns ×1/√2: impedance half, force factor as the turns.
        "compact-passive",
        "driver of another impedance: tweeter",
        2.8,
        {
            "drivers.tweeter.small_signal.dc_resistance": "2.8 ohm",
            "drivers.tweeter.small_signal.force_factor": f"{3.3 / math.sqrt(2):.15g} T m",
            "drivers.tweeter.voice_coil.inductance": "0.005 mH",
            "drivers.tweeter.voice_coil.semi_inductance": "0.0015 sH",
        },
    ),
    (
        "open-baffle",
        "depth of a driver: woofer",
        0.03,
        {"drivers.woofer.acoustic_depth": "30 mm"},
    ),
]


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip[0]} {slip[1]}")
def test_a_fault_is_the_same_slip_in_the_text(slip):
    name, fault, size, text, *without = slip
    home = design(name)
    expected = varied_case(home, text, without)
    assert not same_thing(expected, home)
    assert same_thing(changed(name, fault, size), expected)


def test_a_stiffer_passive_radiator_keeps_its_mass_and_its_losses():
    name, which = "floorstander", "suspension of a passive radiator: passive radiator rear of bass"
    was = design(name).enclosures[1].passive_radiators[0]
    (now,) = changed(name, which, was.compliance / 2).enclosures[1].passive_radiators
    assert now == dataclasses.replace(was, compliance=was.compliance / 2)


def test_a_wider_port_takes_about_as_much_as_one_that_is_drawn_so():
    home = design("compact-passive")
    long = home.enclosures[0].ports[0].length
    text = {
        "enclosures.bass.ports.rear.length": f"{long:.15g} m",
        "enclosures.bass.ports.rear.diameter": "70 mm",
    }
    drawn = varied_case(home, text, [("bass", "tuning")]).enclosures[0]
    wider = changed("compact-passive", "port width: port rear of bass", 0.07).enclosures[0]
    assert close(wider.ports, drawn.ports)
    # The duct's wall grows with it, which a drawing's does not.
    assert wider.volume == pytest.approx(drawn.volume, rel=0.01)
    assert wider.volume != home.enclosures[0].volume


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("compact-passive", "leads swapped: tweeter and woofer"),
        ("compact-centred", "outputs swapped: tweeter and woofer"),
        ("floorstander", "outputs swapped: tweeter and woofer"),
    ],
)
def test_swapped_leads_are_swapped_tables(name, fault, tmp_path):
    table = {"tweeter": "woofer", "woofer": "tweeter"}
    text = re.sub(
        r"^\[crossover\.(tweeter|woofer)\]",
        lambda found: f"[crossover.{table[found[1]]}]",
        shipped_text(name),
        flags=re.MULTILINE,
    )
    assert same_thing(changed(name, fault), read(tmp_path, text))


def test_a_port_without_air_makes_a_closed_box_that_leaks_as_before():
    home = design("compact-passive")
    case = changed("compact-passive", "port stopped up: port rear of bass")
    (was,), (now,) = home.enclosures, case.enclosures
    leaks = [leak_admittance(c, e, tuning_of(c, e)) for c, e in ((home, was), (case, now))]
    assert leaks[1] == pytest.approx(leaks[0])
    closed = dataclasses.replace(now, kind="closed", ports=())
    # The same hole in a closed box: Q counts at its own resonance.
    at = tuning_of(home, closed)
    closed = dataclasses.replace(closed, leakage_q=was.leakage_q * at / tuning_of(home, was))
    box = dataclasses.replace(home, enclosures=(closed,))
    expected = motion_of(box, FREQUENCY).impedance
    np.testing.assert_allclose(motion_of(case, FREQUENCY).impedance, expected, rtol=5e-3)
    assert np.abs(expected / motion_of(home, FREQUENCY).impedance - 1).max() > 0.5


def test_a_single_driver_of_which_little_is_known():
    driver = make_driver("one", rated_impedance=8.0)
    home = Built(make_case([driver], crossover=()))
    every = {each.name: each for each in faults_of(home, some_readings())}
    assert set(every) == {
        "wrong way round: one",
        "plays at another level: one",
        "driver of another impedance: one",
        "microphone off the axis: sideways",
        "microphone off the axis: in height",
        "microphone at another distance: in distance",
        "levels read wrong: all responses",
    }
    other = every["driver of another impedance: one"].changed(home, 4.0).case.drivers[0]
    assert other == dataclasses.replace(driver, rated_impedance=4.0)
    assert every["plays at another level: one"].changed(home, -3.0).levels == (-3.0,)


def test_what_is_beside_the_case():
    home, every = Built(design("floorstander")), found("floorstander")
    late = every["wrong delay: midrange"].changed(home, 1e-4)
    assert late == dataclasses.replace(home, delays=(0.0, 1e-4, 0.0))
    loud = every["plays at another level: woofer"].changed(late, 2.0)
    assert loud == dataclasses.replace(late, levels=(0.0, 0.0, 2.0))
    aside = every["microphone off the axis: sideways"].changed(home, -0.1)
    aside = every["microphone off the axis: in height"].changed(aside, 0.2)
    aside = every["microphone at another distance: in distance"].changed(aside, 1.2)
    assert aside.microphone == pytest.approx((-0.1, 0.2, 0.2))
    assert every["levels read wrong: all responses"].changed(home, 6.0).gain == 6.0
    # A passive crossover has neither gains nor delays.
    kinds = {fault.kind for fault in found("compact-passive").values()}
    assert not kinds & {"plays at another level", "wrong delay", "corner off", "outputs swapped"}


def test_readings_say_what_counts_as_a_fault_of_the_measurement():
    home = Built(design("compact-passive"))

    def sizes(readings):
        each = faults_of(home, readings)
        return {fault.name: fault.sizes for fault in each if fault.kind not in kinds_of_the_build}

    kinds_of_the_build = {
        fault.kind for fault in faults_of(home, dataclasses.replace(some_readings(), responses=()))
    }
    usual = sizes(some_readings(microphone=0.03, level=2.0))
    assert usual["microphone off the axis: sideways"].least == pytest.approx(0.09)
    assert usual["microphone at another distance: in distance"].least == pytest.approx(0.09)
    assert usual["levels read wrong: all responses"].least == pytest.approx(3.0)
    free = sizes(some_readings(one_response(calibrated=False)))
    assert "levels read wrong: all responses" not in free
    assert len(free) == 3
    # So near that a little off is as likely as not.
    near = one_response(place=(0.0, 0.125, 0.05))
    assert set(sizes(some_readings(near))) == {
        "levels read wrong: all responses",
        "microphone at another distance: in distance",
    }
    # Beside one that stood on a tripod it says nothing.
    both = sizes(some_readings(near, one_response()))
    assert both["microphone at another distance: in distance"].design == pytest.approx(1.0)
    nothing = faults_of(home, dataclasses.replace(some_readings(), responses=()))
    assert not {fault.kind for fault in nothing} & {"levels read wrong", "microphone off the axis"}


def test_a_digital_filter_stays_below_half_its_rate():
    text = {"crossover.tweeter.sections.1.frequency": "9 kHz"}
    case = varied_case(design("floorstander"), text)
    rate = ac.case.Processor(48_000.0)
    case = dataclasses.replace(case, processor=rate, amplifier=None)
    every = {each.name: each for each in faults_of(Built(case), some_readings())}
    assert every["corner off: filters of the tweeter"].sizes.highest == pytest.approx(18_000.0)
    case = dataclasses.replace(case, processor=ac.case.Processor(32_000.0))
    every = {each.name: each for each in faults_of(Built(case), some_readings())}
    assert every["corner off: filters of the tweeter"].sizes.highest == pytest.approx(14_400.0)


# Of these the second undoes or overrules the first, or takes up where it left off.
ONE_AFTER_THE_OTHER = (
    {"part missing", "part shorted"},
    {"part missing", "attenuator missing"},
    {"outputs swapped"},
    {"port stopped up", "fill"},
)


@pytest.mark.parametrize("name", SHIPPED)
def test_two_faults_come_to_the_same_in_either_order(name):
    home = Built(design(name))
    for one, other in itertools.combinations(found(name).values(), 2):
        if {one.kind, other.kind} in ONE_AFTER_THE_OTHER:
            continue
        first, second = (
            0.0 if each.sizes is None else 0.5 * (each.sizes.design + each.sizes.lowest)
            for each in (one, other)
        )
        there = other.changed(one.changed(home, first), second)
        back = one.changed(other.changed(home, second), first)
        assert close(there, back), (one.name, other.name)
