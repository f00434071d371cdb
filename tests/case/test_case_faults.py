from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, with_line

from acoustics.case import read_case
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


def test_the_text_that_the_faults_are_put_into_has_none(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(GOOD)
    assert read_case(tmp_path).title == "Two-way on a test bench"


WIDTH, DEPTH = 'width = "220 mm"', 'depth = "300 mm"'
TWEETER_AT = 'position = ["0 mm", "125 mm"]'
WOOFER_AT = 'position = ["0 mm", "-20 mm"]'
HIGH_PASS = (
    '{ type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },'
)
BAND_PASS = (
    '{ type = "band-pass", alignment = "bessel", order = 2, '
    'low_frequency = "1 kHz", high_frequency = "9 kHz" },'
)
PEAK = '{ type = "peak", frequency = "3 kHz", gain = -2.0, q = 2 },'
EARS = 'ear_heights = ["0.85 m", "0.95 m"]'
BAND = 'band = ["300 Hz", "10 kHz"]'
SECTIONS = "crossover.tweeter.sections"

# What stands in the file, what replaces it, the key and the words the fault must have.
ONE_FAULT = [
    # keys
    (WIDTH, 'widht = "220 mm"', "cabinet.widht", "did you mean 'width'?"),
    (WIDTH, 'width = "220 mm"\nfoo = 1', "cabinet.foo", "the keys here are shape, outline, width"),
    ("[seat]", "[seats]", "seats", "did you mean 'seat'?"),
    # units
    (WIDTH, "width = 220", "cabinet.width", "220 has no unit; write it in quotes with mm"),
    (WIDTH, 'width = "220"', "cabinet.width", "220 has no unit"),
    (WIDTH, 'width = "3 kg"', "cabinet.width", "'3 kg' is not a length; use mm, cm, m or in"),
    (WIDTH, 'width = "22,5 cm"', "cabinet.width", "write 22.5 with a point"),
    (WIDTH, 'width = "nan mm"', "cabinet.width", "'nan mm' is not a finite number"),
    (WIDTH, 'width = "1e999 mm"', "cabinet.width", "is not a finite number"),
    (WIDTH, "width = inf", "cabinet.width", "inf is not a finite number"),
    (WIDTH, 'width = ["220 mm"]', "cabinet.width", "is not a length"),
    ('delay = "0.05 ms"', 'delay = "17 mm"', "crossover.tweeter.delay", "is not a time; use us"),
    # sizes
    (WIDTH, 'width = "-220 mm"', "cabinet.width", "write a value from 20 mm to 5 m"),
    (DEPTH, 'depth = "300 m"', "cabinet.depth", "'300 m' is out of range; write a value from"),
    (
        'base_height = "600 mm"',
        'base_height = "-1 mm"',
        "cabinet.base_height",
        "cannot stand under the floor",
    ),
    (
        'delay = "0.05 ms"',
        'delay = "-0.05 ms"',
        "crossover.tweeter.delay",
        "a delay cannot look ahead",
    ),
    # bare numbers
    ("sensitivity = 90.0", "sensitivity = nan", "drivers.tweeter.sensitivity", "not a finite"),
    ("sensitivity = 90.0", "sensitivity = 9", "drivers.tweeter.sensitivity", "from 50 to 130 dB"),
    (
        "sensitivity = 90.0",
        'sensitivity = "90 dB"',
        "drivers.tweeter.sensitivity",
        "without quotes or unit",
    ),
    (
        "sensitivity = 90.0",
        'sensitivity = "90,5"',
        "drivers.tweeter.sensitivity",
        "write 90.5 with a point",
    ),
    (
        "sensitivity = 90.0",
        f"sensitivity = {'9' * 400}",
        "drivers.tweeter.sensitivity",
        f"{'9' * 60}… is out of range; write a number from 50 to 130 dB",
    ),
    (WIDTH, f"width = {'9' * 400}", "cabinet.width", f"{'9' * 60}… has no unit"),
    (WIDTH, "width = true", "cabinet.width", "true is not a length"),
    (WIDTH, "width = 2024-01-01", "cabinet.width", "2024-01-01 is not a length"),
    (WIDTH, "width = [true, { a = 1 }]", "cabinet.width", "[true, { a = 1 }] is not a length"),
    ("gain = -5.0", "gain = true", "crossover.tweeter.gain", "true is not a number"),
    ("per_octave = 24", "per_octave = 24.5", "frequencies.per_octave", "a whole number from 1"),
    ("reflection = 0.9", "reflection = 1.1", "floor.reflection", "a number from -1 to 1"),
    # choices and shapes of values
    (
        'polarity = "normal"',
        'polarity = "inverse"',
        "drivers.tweeter.polarity",
        "use normal or inverted; did you mean 'inverted'?",
    ),
    (TWEETER_AT, 'position = "0 mm"', "drivers.tweeter.position", "is not a list in brackets"),
    (
        TWEETER_AT,
        'position = ["0 mm"]',
        "drivers.tweeter.position",
        'not 2, for example position = ["0 mm", "120 mm"]',
    ),
    (EARS, "ear_heights = []", "seat.ear_heights", "has the wrong length, not 1 to 50"),
    ('title = "Two-way on a test bench"', 'title = ""', "title", "write a few words"),
    ('title = "Two-way on a test bench"', "title = 3", "title", "write it in quotes"),
    ('title = "Two-way on a test bench"', 'title = "a\\nb"', "title", "not a line of text"),
    ('title = "Two-way on a test bench"', f'title = "{"x" * 200}"', "title", "at most 120 fit"),
    # crossover
    (
        HIGH_PASS,
        HIGH_PASS.replace("order = 4", "order = 3"),
        f"{SECTIONS}.1.order",
        "3 is no order of a linkwitz-riley slope; use one of 2, 4, 6, 8",
    ),
    (HIGH_PASS, HIGH_PASS.replace("order = 4", "order = 9"), f"{SECTIONS}.1.order", "from 1 to 8"),
    (
        HIGH_PASS,
        HIGH_PASS.replace("linkwitz-riley", "linkwitz"),
        f"{SECTIONS}.1.alignment",
        "use butterworth, linkwitz-riley or bessel; did you mean 'linkwitz-riley'?",
    ),
    (
        HIGH_PASS,
        HIGH_PASS.replace("high-pass", "hi-pass"),
        f"{SECTIONS}.1.type",
        "did you mean 'high-pass'?",
    ),
    (
        HIGH_PASS,
        HIGH_PASS.replace('type = "high-pass", ', ""),
        f"{SECTIONS}.1.type",
        "the section has no type",
    ),
    (
        HIGH_PASS,
        HIGH_PASS.replace("frequency", "freqency"),
        f"{SECTIONS}.1.freqency",
        "did you mean 'frequency'?",
    ),
    (HIGH_PASS, "3,", f"{SECTIONS}.1", "3 is not a table; write keys with values in braces"),
    (
        BAND_PASS,
        BAND_PASS.replace("9 kHz", "900 Hz"),
        f"{SECTIONS}.2.high_frequency",
        "the high corner (900 Hz) is not above the low corner (1 kHz); swap",
    ),
    (
        PEAK,
        PEAK.replace(", q = 2", ""),
        f"{SECTIONS}.3.q",
        "the key is missing; add it, for example q = 0.7",
    ),
    (
        "[crossover.tweeter]",
        "[crossover.tweter]",
        "crossover.tweter",
        "'tweter' names no driver; use tweeter or woofer; did you mean 'tweeter'?",
    ),
    (
        HIGH_PASS,
        HIGH_PASS.replace("2.2 kHz", "50 kHz"),
        f"{SECTIONS}.1.frequency",
        "the corner (50 kHz) is above the highest frequency of the prediction (20 kHz)",
    ),
    (
        HIGH_PASS,
        HIGH_PASS.replace("high-pass", "low-pass").replace("2.2 kHz", "10 Hz"),
        f"{SECTIONS}.1.frequency",
        "the corner (10 Hz) is below the lowest frequency of the prediction (20 Hz), so the driver",
    ),
    # places on the front face
    (
        TWEETER_AT,
        'position = ["0 mm", "250 mm"]',
        "drivers.tweeter.position",
        "the driver is off the front face",
    ),
    (
        TWEETER_AT,
        'position = ["0 mm", "145 mm"]',
        "drivers.tweeter.position",
        "the frame (100 mm) crosses the top edge of the front face; move the driver more than 5 mm",
    ),
    (
        TWEETER_AT,
        'position = ["-70 mm", "125 mm"]',
        "drivers.tweeter.position",
        "crosses the left edge of the front face; move the driver more than 10 mm",
    ),
    (
        TWEETER_AT,
        'position = ["-6 cm", "125 mm"]',
        "drivers.tweeter.position",
        "the frame (100 mm) touches the left edge of the front face; move the driver away",
    ),
    (
        TWEETER_AT,
        'position = ["0 mm", "140 mm"]',
        "drivers.tweeter.position",
        "the frame (100 mm) touches the top edge",
    ),
    (
        'frame_diameter = "100 mm"',
        'frame_diameter = "20 mm"',
        "drivers.tweeter.frame_diameter",
        "the frame (20 mm) is smaller than the piston (25 mm)",
    ),
    (
        WOOFER_AT,
        'position = ["0 mm", "-0.75 cm"]',
        "drivers.woofer.position",
        "the frame touches that of 'tweeter': the centres are 132.5 mm apart",
    ),
    (
        WOOFER_AT,
        'position = ["0 mm", "25 mm"]',
        "drivers.woofer.position",
        "the frame overlaps that of 'tweeter': the centres are 100 mm apart and must be more "
        "than 132.5 mm",
    ),
    # reference and seat
    (
        'driver = "tweeter"',
        'driver = "twitter"',
        "reference.driver",
        "there is no driver 'twitter'; use tweeter or woofer; did you mean 'tweeter'?",
    ),
    (
        'driver = "tweeter"',
        'driver = "tweeter"\npoint = ["0 mm", "0 mm"]',
        "reference.point",
        "keep one of the two",
    ),
    (
        'driver = "tweeter"',
        'point = ["0 mm", "200 mm"]',
        "reference.point.2",
        "200 mm is off the front face; the way up may be -190 mm to 190 mm",
    ),
    (
        'distance = "2 m"',
        'distance = "-0.1 m"',
        "reference.distance",
        "would touch the cabinet or be inside",
    ),
    # The farther back corner is hypot(190 + 125, 300) = 435 mm away in the vertical plane.
    (
        'distance = "2 m"',
        'distance = "0.4 m"',
        "reference.distance",
        'passes through the cabinet, whose corner is 0.435 m away; write "0.49 m" or more',
    ),
    ('distance = "2.5 m"', 'distance = "-0.2 m"', "seat.distance", "or be inside"),
    (EARS, 'ear_heights = ["0 m"]', "seat.ear_heights.1", "ears are above the floor"),
    (EARS, 'ear_heights = ["0.9 m", "-1 m"]', "seat.ear_heights.2", "ears are above the floor"),
    (EARS, 'ear_heights = ["-1 m", "1 m", "1 m"]', "seat.ear_heights", "1 m is there twice"),
    (EARS, 'ear_heights = ["0.9 m", "90 cm"]', "seat.ear_heights", "0.9 m is there twice"),
    # aims
    (BAND, 'band = ["300 Hz", "30 kHz"]', "aims.1.band.2", "30 kHz is above the highest frequency"),
    (BAND, 'band = ["10 Hz", "10 kHz"]', "aims.1.band.1", "10 Hz is below the lowest frequency"),
    (BAND, 'band = ["10 kHz", "300 Hz"]', "aims.1.band", "write the lower frequency first"),
    ("at_most = 2.5", "", "aims.1.at_most", "the aim has no limit; write at_least, at_most or"),
    ("at_most = 2.5", "at_least = 3\nat_most = 2.5", "aims.1.at_most", "nothing can meet both"),
    ("at_most = 2.5", 'at_most = "2.5 dB"', "aims.1.at_most", "without quotes or unit"),
    ('measure = "ripple"', 'measure = "riple"', "aims.1.measure", "did you mean 'ripple'?"),
    ('at_least = "90 deg"', "at_least = 90", "aims.2.at_least", "90 has no unit"),
    ('at_least = "90 deg"', 'at_least = "90 mm"', "aims.2.at_least", "is not an angle; use deg"),
    (
        'at_least = "90 deg"',
        'at_least = "90 deg"\nwhere = "seat"',
        "aims.2.where",
        'a beamwidth is not taken at "seat"; write "reference axis"',
    ),
    (
        'measure = "floor dip"',
        'measure = "floor dip"\nband = ["100 Hz", "1 kHz"]',
        "aims.3.band",
        "a floor dip has no band; leave the key out",
    ),
    (
        'measure = "floor dip"',
        'measure = "lobe window"\nsmoothing = 6',
        "aims.3.smoothing",
        "a lobe window has no smoothing; leave the key out",
    ),
    (
        'measure = "ripple"',
        'measure = "level"\nsmoothing = 6',
        "aims.1.smoothing",
        "a level has no smoothing; leave the key out",
    ),
    # floor
    (
        "reflection = 0.9",
        "reflection = 0",
        "floor.reflection",
        "a floor that reflects nothing is none; leave the whole table out",
    ),
    # names
    (
        "[drivers.woofer]",
        '[drivers."a; b"]',
        "drivers.a; b",
        "'a; b' holds ;; write a name of letters, digits, spaces, dashes and underscores",
    ),
    ("[drivers.woofer]", f"[drivers.{'x' * 41}]", f"drivers.{'x' * 40}…", "at most 40 fit"),
    # grids
    ('lowest = "20 Hz"', 'lowest = "30 kHz"', "frequencies.highest", "is not above lowest"),
    ("per_octave = 24", "per_octave = 600", "frequencies.per_octave", "at most 2000 are solved"),
    (
        'step = "5 deg"',
        'step = "7.2 deg"',
        "arcs.step",
        "7.2 deg does not divide 10 deg, and the standard directivity curves are taken every 10 "
        'degrees; "5 deg" does',
    ),
    ('step = "5 deg"', 'step = "4 deg"', "arcs.step", '"5 deg" does'),
    ('step = "5 deg"', 'step = "3 deg"', "arcs.step", '"2.5 deg" does'),
    ('step = "5 deg"', 'step = "7.5 deg"', "arcs.step", '"5 deg" does'),
    ('step = "5 deg"', 'step = "0 deg"', "arcs.step", "from 0.5 deg to 10 deg"),
    ('step = "5 deg"', 'step = "12 deg"', "arcs.step", "coarser arcs step over lobes and nulls"),
    ('step = "5 deg"', 'step = "9.9 deg"', "arcs.step", '"10 deg" does'),
    ("accuracy = 0.05", "accuracy = 0", "solver.accuracy", "from 0.001 to 1 dB"),
    ("accuracy = 0.05", "accuracy = 0.0005", "solver.accuracy", "from 0.001 to 1 dB"),
    ("accuracy = 0.05", "accuracy = 1.1", "solver.accuracy", "from 0.001 to 1 dB"),
]


def expected_line(key: str, number: int, new: str) -> int:
    """Most faults stand where the text was replaced, in the last of the new lines."""
    if key == "aims.1.at_most" and not new:  # nothing is there: the table's own line
        return with_line('measure = "ripple"', "")[1] - 1
    if key == "frequencies.highest":  # lowest was raised, highest stands below it
        return number + 1
    return number + new.count("\n")


@pytest.mark.parametrize(("old", "new", "key", "said"), ONE_FAULT)
def test_a_fault_has_its_line_its_key_and_a_way_out(
    faults_of: FaultsOf, old: str, new: str, key: str, said: str
) -> None:
    text, number = with_line(old, new)
    faults = [fault for fault in faults_of(text) if fault.key == key]
    assert len(faults) == 1, "one message per fault"
    assert said in faults[0].message
    assert faults[0].line == expected_line(key, number, new)


def test_a_misspelt_required_key_is_one_fault(faults_of: FaultsOf) -> None:
    text, _ = with_line(WIDTH, 'widht = "220 mm"')
    assert [fault.key for fault in faults_of(text)] == ["cabinet.widht"]


@pytest.mark.parametrize(
    ("cut", "key", "line", "said"),
    [
        (WIDTH, "cabinet.width", 3, 'the key is missing; add it, for example width = "220 mm"'),
        ("sensitivity = 90.0", "drivers.tweeter.sensitivity", 9, "sensitivity = 89.0"),
        (TWEETER_AT, "drivers.tweeter.position", 9, 'position = ["0 mm", "120 mm"]'),
        ('measure = "floor dip"', "aims.3.measure", 51, 'measure = "ripple"'),
        ('title = "Two-way on a test bench"', "title", 1, 'title = "Compact two-way"'),
    ],
)
def test_a_missing_key_is_named_at_its_table(
    faults_of: FaultsOf, cut: str, key: str, line: int, said: str
) -> None:
    text, _ = with_line(cut, "")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == (key, line)
    assert said in fault.message


def test_missing_tables_are_named_with_their_keys(faults_of: FaultsOf) -> None:
    messages = {fault.key: fault.message for fault in faults_of('title = "Nothing yet"\n')}
    assert messages["cabinet"] == (
        "the table is missing; add [cabinet] with width, height and depth"
    )
    assert "add [seat] with distance and ear_heights" in messages["seat"]
    assert "there is no driver" in messages["drivers"]
    assert "[drivers.tweeter]" in messages["drivers"]
    assert len(messages) == 3


def test_an_empty_table_of_drivers_is_no_driver(faults_of: FaultsOf) -> None:
    text = '[drivers]\n[cabinet]\nwidth = "3 kg"\n'
    faults = {fault.key: fault for fault in faults_of(text)}
    assert "there is no driver; add a table" in faults["drivers"].message
    assert faults["drivers"].line == 1


def test_all_faults_come_at_once_and_in_the_order_of_the_file(faults_of: FaultsOf) -> None:
    text = GOOD
    for old, new in (
        (WIDTH, 'widht = "220 mm"'),
        (DEPTH, 'depth = "3 kg"'),
        ("sensitivity = 90.0", 'sensitivity = "90 dB"'),
        (WOOFER_AT, 'position = ["0 mm", "25 mm"]'),
        ("[crossover.tweeter]", "[crossover.tweter]"),
        ("order = 4", "order = 3"),
        ('driver = "tweeter"', 'driver = "twitter"'),
        (BAND, 'band = ["300 Hz", "30 kHz"]'),
        ('step = "5 deg"', 'step = "7 deg"'),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    faults = faults_of(text)
    assert [fault.key for fault in faults] == [
        "cabinet.widht",
        "cabinet.depth",
        "drivers.tweeter.sensitivity",
        "drivers.woofer.position",
        "crossover.tweter",
        "crossover.tweter.sections.1.order",
        "reference.driver",
        "aims.1.band.2",
        "arcs.step",
    ]
    lines = [fault.line or 0 for fault in faults]
    assert lines == sorted(lines)


def test_an_infrasonic_high_pass_below_the_grid_is_accepted(tmp_path: Path) -> None:
    """Common practice, no source: a high-pass at 15 Hz guards a woofer and silences nothing."""
    file = tmp_path / "case.toml"
    file.write_text(GOOD.replace(HIGH_PASS, HIGH_PASS.replace("2.2 kHz", "15 Hz")))
    assert read_case(file).crossover[0].sections[0].low_corner == 15.0


def test_a_floor_dip_needs_a_floor(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(GOOD.replace("[floor]\nreflection = 0.9\n", ""))
    assert fault.key == "aims.3.measure"
    assert "there is no floor to make a dip; add a table [floor]" in fault.message


def test_a_band_that_is_left_out_must_fit_the_grid_too(faults_of: FaultsOf) -> None:
    text = GOOD.replace('highest = "20 kHz"', 'highest = "9.5 kHz"').replace(BAND, "")
    assert [fault.key for fault in faults_of(text)] == ["aims.1.band.2", "aims.2.band.2"]


def test_a_piston_keeps_a_millimetre_from_the_edge(faults_of: FaultsOf) -> None:
    text = GOOD.replace('frame_diameter = "100 mm"', 'frame_diameter = "25 mm"')
    text = text.replace(TWEETER_AT, 'position = ["97 mm", "125 mm"]')
    (fault,) = faults_of(text)
    assert fault.key == "drivers.tweeter.position"
    assert "the piston (25 mm) is less than 1 mm from the right edge" in fault.message
    assert "move the driver 0.5 mm away from it" in fault.message


@pytest.mark.parametrize("position", ['["96.5 mm", "125 mm"]', '["0 mm", "-175 mm"]'])
def test_a_piston_a_millimetre_from_the_edge_is_accepted(tmp_path: Path, position: str) -> None:
    text = GOOD.replace('frame_diameter = "100 mm"', 'frame_diameter = "25 mm"')
    file = tmp_path / "case.toml"
    file.write_text(text.replace(TWEETER_AT, f"position = {position}"))
    assert read_case(file).driver("tweeter").frame_diameter == 0.025


def keys(faults: tuple[Fault, ...]) -> list[str]:
    return [fault.key for fault in faults]


def test_a_wrong_size_does_not_hide_a_circle_through_the_rest_of_the_cabinet(
    faults_of: FaultsOf,
) -> None:
    text, _ = with_line(DEPTH, 'depth = "3 kg"')
    faults = faults_of(text.replace('distance = "2 m"', 'distance = "0.3 m"'))
    assert keys(faults) == ["cabinet.depth", "reference.distance"]
    # 190 + 125 mm from the point to the far edge of the face, whatever the depth.
    assert "whose corner is at least 0.315 m away" in faults[1].message
    assert keys(faults_of(text)) == ["cabinet.depth"]


@pytest.mark.parametrize("drivers", [24, 25])
def test_at_most_24_drivers(tmp_path: Path, faults_of: FaultsOf, drivers: int) -> None:
    table = """[drivers.d{number}]
piston_diameter = "10 mm"
frame_diameter = "20 mm"
position = ["{right} mm", "{up} mm"]
sensitivity = 90
"""
    text = """title = "Many"
[cabinet]
width = "300 mm"
height = "300 mm"
depth = "300 mm"
[seat]
distance = "2 m"
ear_heights = ["1 m"]
"""
    for number in range(drivers):
        right, up = 40 * (number % 5) - 80, 40 * (number // 5) - 80
        text += table.format(number=number, right=right, up=up)
    if drivers > 24:
        (fault,) = faults_of(text)
        assert fault.key == "drivers"
        assert "there are more than 24 drivers; at most 24" in fault.message
        return
    (tmp_path / "case.toml").write_text(text)
    assert len(read_case(tmp_path).drivers) == 24
    # 1196 frequencies, 2 · 720 receivers, 24 drivers: 41 million values.
    (fault,) = faults_of(text + '[arcs]\nstep = "0.5 deg"\n[frequencies]\nper_octave = 120\n')
    assert fault.key == "arcs.step"
    assert "at 1440 receivers on the arcs and 61 at the seats for 24 drivers" in fault.message
    assert "at most 4000000 are solved: take a larger arcs.step" in fault.message


def test_a_hundred_faults_are_listed_and_the_rest_counted(faults_of: FaultsOf) -> None:
    faults = faults_of(GOOD + "".join(f"strange{number} = 1\n" for number in range(130)))
    assert len(faults) == 101
    assert faults[-1].message == "… and 30 more; correct these first"


@pytest.mark.parametrize("wrong", ["at_mst", "at_mots", "at_leas"])
def test_a_misspelt_limit_is_one_fault(faults_of: FaultsOf, wrong: str) -> None:
    text, _ = with_line("at_most = 2.5", f"{wrong} = 2.5")
    assert keys(faults_of(text)) == [f"aims.1.{wrong}"]


def test_a_misspelt_table_is_one_fault(faults_of: FaultsOf) -> None:
    # The aim for the floor dip is not also told that there is no floor.
    assert keys(faults_of(GOOD.replace("[floor]", "[flor]"))) == ["flor"]


def test_ends_of_the_grid_that_are_swapped_are_one_fault(faults_of: FaultsOf) -> None:
    text = GOOD.replace('lowest = "20 Hz"', 'lowest = "20 kHz"')
    text = text.replace('highest = "20 kHz"', 'highest = "20 Hz"')
    (fault,) = faults_of(text)
    assert fault.key == "frequencies.highest"
    assert "highest (20 Hz) is not above lowest (20 kHz)" in fault.message


def test_of_two_ends_the_one_in_the_file_is_blamed(faults_of: FaultsOf) -> None:
    text = GOOD.replace('lowest = "20 Hz"', 'lowest = "30 kHz"')
    (fault,) = faults_of(text.replace('highest = "20 kHz"\n', ""))
    assert fault.key == "frequencies.lowest"
    assert "lowest (30 kHz) is not below the highest frequency (20 kHz" in fault.message
