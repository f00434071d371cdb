"""[measurement] in a case file: what it says, and what is wrong with it, key by key."""

from __future__ import annotations

from pathlib import Path

import pytest
import tomlkit
from bench_text import FURNISHED, GOOD, SOURCE, line_with
from enclosure_text import ENCLOSED

from acoustics.case import read_case
from acoustics.case.design.measurement_model import DriverMeasurement, PlayedSweep
from acoustics.case.text.led_on import lead_on

MEASURED = """
[measurement]
sampling_rate = "48 kHz"
sweep = { lowest = "20 Hz", highest = "20 kHz", duration = "2 s" }
loopback = 2
calibration = "mic.txt"
level_of_full_scale = 120.0
voltage = "2 V"
distance = "1 m"
at = "reference axis"
base_height = "1.2 m"
surfaces = { ceiling = "2.6 m", left_wall = "1.5 m" }
fade = "hann"

[measurement.drivers.tweeter]
far = ["t1.wav", "t2.wav"]
sweep = { lowest = "900 Hz" }
voltage = "1 V"

[measurement.drivers.woofer]
far = "w.wav"
distance = "2 m"
at = "driver"
near = "n.wav"
near_distance = "4 mm"
"""


def read(tmp_path: Path, text: str):
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    return read_case(tmp_path)


def test_what_it_says(tmp_path):
    # Recordings need not be there to predict, so reading the case does not look for them.
    measurement = read(tmp_path, GOOD + MEASURED).measurement
    assert measurement.sampling_rate == 48_000
    assert (measurement.channel, measurement.loopback) == (1, 2)
    assert measurement.surfaces == (("ceiling", 2.6), ("left wall", 1.5))
    assert measurement.base_height == 1.2
    tweeter, woofer = measurement.drivers
    assert tweeter == DriverMeasurement(
        "tweeter",
        ("t1.wav", "t2.wav"),
        1.0,
        "reference axis",
        voltage=1.0,
        sweep=PlayedSweep(900.0, 20_000.0, 2.0),
    )
    assert (woofer.distance, woofer.at, woofer.voltage) == (2.0, "driver", 2.0)
    assert (woofer.near, woofer.near_distance) == (("n.wav",), 0.004)


def test_predictions_do_not_rest_on_it(tmp_path):
    assert read(tmp_path, GOOD).digest == read(tmp_path, GOOD + MEASURED).digest


def test_the_cabinet_stands_as_in_the_case_unless_it_says(tmp_path):
    text = MEASURED.replace('base_height = "1.2 m"\n', "")
    assert read(tmp_path, GOOD + text).measurement.base_height == 0.6


def test_no_loopback_by_default(tmp_path):
    for text in (
        MEASURED.replace("loopback = 2\n", ""),
        MEASURED.replace("loopback = 2", 'loopback = "none"'),
    ):
        assert read(tmp_path, GOOD + text).measurement.loopback is None


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('at = "reference axis"', 'at = "axis"', "at", "none of the choices"),
        ("loopback = 2", "loopback = 1", "loopback", "the microphone is in channel 1 too"),
        ("loopback = 2", 'loopback = "channel 2"', "loopback", "is no channel"),
        ("loopback = 2", "loopback = true", "loopback", "is no channel"),
        ("loopback = 2", "loopback = 0", "loopback", "is no channel"),
        ("loopback = 2", "loopback = 2\nchannel = 1.5", "channel", "is not a whole number"),
        ("loopback = 2", 'loopback = 2\nkind = "tone"', "kind", "none of the choices"),
        ("loopback = 2", 'loopback = 2\nkind = "impulse"', "loopback", "taken out already"),
        ("loopback = 2", 'kind = "impulse"\nsweep_file = "s.wav"', "sweep_file", "need no sweep"),
        ("= 120.0", '= "120 dB"', "level_of_full_scale", "is text"),
        ("= 120.0", "= 20.0", "level_of_full_scale", "out of range"),
        ('"2 V"', '"2 W"', "voltage", "a voltage"),
        ('distance = "1 m"', 'distance = "1"', "distance", "has no unit"),
        ('fade = "hann"', 'fade = "square"', "fade", "none of the choices"),
        ('fade = "hann"', 'gate = "5 m"', "gate", "is not a time"),
        ('fade = "hann"', 'calibration_is = "both"', "calibration_is", "none of the choices"),
        ('"20 kHz", duration', '"30 Hz", duration', "sweep.highest", "an octave or more"),
        ('"20 kHz", duration', '"24 kHz", duration', "sweep.highest", "at the latest"),
        ('"900 Hz" }', '"900 Hz", highest = "24 kHz" }', "drivers.tweeter.sweep.highest", "latest"),
        ("ceiling =", "roof =", "surfaces.roof", "unknown key"),
        ('far = "w.wav"\n', "", "drivers.woofer.far", "the key is missing"),
        ('far = "w.wav"', "far = []", "drivers.woofer.far", "names 0 files"),
        ('far = "w.wav"', "far = 3", "drivers.woofer.far", "names no file"),
        ('far = "w.wav"', 'far = ["w.wav", 3]', "drivers.woofer.far", "is not text"),
        ('far = "w.wav"', 'fare = "w.wav"', "drivers.woofer.fare", "did you mean 'far'"),
        ("near_distance =", "near_ports = { rear = 'p.wav' }\nnear_distance =",
         "drivers.woofer.near_ports.rear", "names no port of woofer"),
        ('near = "n.wav"', "near_ports = { rear = 'p.wav' }", "drivers.woofer.near_ports",
         "there is none; add near"),
        ("[measurement.drivers.woofer]", "[measurement.drivers.wofer]", "drivers.wofer",
         "names no driver"),
    ],
)  # fmt: skip
def test_faults_are_told_at_their_keys(faults_of, old, new, key, words):
    assert MEASURED.count(old) == 1
    text = GOOD + MEASURED.replace(old, new)
    fault = next(f for f in faults_of(text) if f.key == f"measurement.{key}")
    assert words in fault.message
    assert fault.line is not None
    assert fault.line > GOOD.count("\n")


def test_no_driver_was_measured(faults_of):
    text = GOOD + '\n[measurement]\ndistance = "1 m"\n'
    for more in ("", "[measurement.drivers]\n"):
        (fault,) = faults_of(text + more)
        assert fault.key == "measurement.drivers"
        assert fault.message.startswith("no driver was measured; add a table for each")


def test_a_port_that_is_there_is_taken(tmp_path):
    more = (
        '\n[measurement.drivers.woofer]\nfar = "f.wav"\nnear = "n.wav"\n'
        'near_ports = { rear = ["p.wav"] }\n'
    )
    (table,) = read(tmp_path, FURNISHED + SOURCE + ENCLOSED + more).measurement.drivers
    assert table.near_ports == (("rear", ("p.wav",)),)


def test_it_is_not_swept(faults_of):
    sweep = '\n[[sweep.over]]\nkey = "measurement.distance"\nvalues = ["1 m", "2 m"]\n'
    (fault,) = faults_of(GOOD + MEASURED + sweep)
    assert fault.line == line_with(GOOD + MEASURED + sweep, 'key = "measurement.distance"')
    assert "there is no 'measurement'" in fault.message


def test_paths_lead_on_from_another_folder():
    document = tomlkit.parse(
        '[drivers.woofer.measured]\nresponse = "w.txt"\nat = "driver"\n'
        + MEASURED.replace('near = "n.wav"', 'near = ["n.wav"]\nnear_ports = { rear = "p.wav" }')
    )
    lead_on(document, Path("/cases/old"), Path("/cases/new"))
    assert document["drivers"]["woofer"]["measured"] == {
        "response": "../old/w.txt",
        "at": "driver",
    }
    table = document["measurement"]
    assert table["calibration"] == "../old/mic.txt"
    assert table["drivers"]["tweeter"]["far"] == ["../old/t1.wav", "../old/t2.wav"]
    woofer = table["drivers"]["woofer"]
    assert woofer["far"] == "../old/w.wav"
    assert woofer["near"] == ["../old/n.wav"]
    assert woofer["near_ports"]["rear"] == "../old/p.wav"
    assert woofer["distance"] == "2 m"
