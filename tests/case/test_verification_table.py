"""[verification] in a case file: what it says, and what is wrong with it, key by key."""

from __future__ import annotations

from pathlib import Path

import pytest
import tomlkit
from bench_text import GOOD, line_with, with_parts

from acoustics.case import read_case
from acoustics.case.design.verification_model import TakenImpedance, TakenResponse
from acoustics.case.text.led_on import lead_on

VERIFIED = """
[verification]
microphone = "15 mm"
level = 0.5
distance = "1 m"
voltage = "2 V"
timing = "loopback"
band = ["300 Hz", "10 kHz"]
uncertainty = 0.2

[verification.responses.axis]
file = "finished/axis.txt"

[verification.responses."below reversed"]
file = "finished/null.txt"
right = "20 deg"
up = "-10 deg"
playing = ["woofer", "tweeter"]
reversed = ["tweeter"]
distance = "1.5 m"
voltage = "1 V"
calibrated = false
unit = "Pa"
removed_delay = "2.9 ms"
timing = "second day"
band = ["400 Hz", "9 kHz"]
uncertainty = 0.4

[verification.impedances.woofer]
file = "finished/woofer.txt"
driver = "woofer"
band = ["20 Hz", "200 Hz"]
uncertainty = 0.02
"""


def read(tmp_path: Path, text: str):
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    return read_case(tmp_path)


def test_what_it_says(tmp_path):
    # Measurements need not be there to predict, so reading the case does not look for them.
    found = read(tmp_path, GOOD + VERIFIED).verification
    assert (found.microphone, found.level) == (0.015, 0.5)
    axis, null = found.responses
    assert axis == TakenResponse(
        "axis",
        "finished/axis.txt",
        1.0,
        voltage=2.0,
        timing="loopback",
        band=(300.0, 10_000.0),
        uncertainty=0.2,
    )
    assert null == TakenResponse(
        "below reversed",
        "finished/null.txt",
        1.5,
        right=20.0,
        up=-10.0,
        playing=("woofer", "tweeter"),
        reversed=("tweeter",),
        voltage=1.0,
        unit="Pa",
        calibrated=False,
        removed_delay=pytest.approx(2.9e-3),
        timing="second day",
        band=(400.0, 9000.0),
        uncertainty=0.4,
    )
    assert found.impedances == (
        TakenImpedance("woofer", "finished/woofer.txt", "woofer", (20.0, 200.0), 0.02),
    )


def test_what_nothing_is_said_of_is_usual(tmp_path):
    found = read(tmp_path, GOOD + "\n[verification]\n").verification
    assert found.responses == found.impedances == ()
    assert found.usual == TakenResponse("", "", distance=2.0)  # the reference distance


def test_predictions_do_not_rest_on_it(tmp_path):
    assert read(tmp_path, GOOD).digest == read(tmp_path, GOOD + VERIFIED).digest


def test_terminals_are_those_of_a_passive_crossover_or_of_the_only_driver(tmp_path):
    terminals = '\n[verification.impedances.terminals]\nfile = "z.txt"\n'
    passive = read(tmp_path, with_parts() + terminals).verification
    assert passive.impedances[0].driver is None
    before, after = (GOOD + terminals).split("[drivers.tweeter]")
    _, after = after.split("[drivers.woofer]")
    crossover, rest = after.split("[crossover.tweeter]")
    _, rest = rest.split("[reference]")
    rest = rest.replace('driver = "tweeter"\n', "")
    text = f"{before}[drivers.woofer]{crossover}[reference]{rest}"
    single = read(tmp_path, text).verification
    assert single.impedances[0].driver == "woofer"


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('"15 mm"', '"1 m"', "microphone", "out of range"),
        ("level = 0.5", 'level = "1 dB"', "level", "is text"),
        ("level = 0.5", "leval = 0.5", "leval", "did you mean 'level'"),
        ('["300 Hz", "10 kHz"]', '["10 kHz", "300 Hz"]', "band", "lower frequency comes first"),
        ('["300 Hz", "10 kHz"]', '["300 Hz"]', "band", "wrong length"),
        ('["300 Hz", "10 kHz"]', '["300 Hz", "30 kHz"]', "band.2", "highest frequency is 20 kHz"),
        ('["400 Hz", "9 kHz"]', '["5 Hz", "9 kHz"]', "responses.below reversed.band.1",
         "lowest frequency is 20 Hz"),
        ('["20 Hz", "200 Hz"]', '["20 Hz", "20 Hz"]', "impedances.woofer.band", "swap the two"),
        ('["20 Hz", "200 Hz"]', '["20 Hz", "40 kHz"]', "impedances.woofer.band.2", "20 kHz"),
        ('distance = "1.5 m"', 'distance = "1 mm"', "responses.below reversed.distance",
         "would touch the cabinet"),
        ('"20 deg"', '"200 deg"', "responses.below reversed.right", "out of range"),
        ('"-10 deg"', "-10", "responses.below reversed.up", "has no unit"),
        ('playing = ["woofer", "tweeter"]', 'playing = ["wofer", "tweeter"]',
         "responses.below reversed.playing.1", "did you mean 'woofer'"),
        ('playing = ["woofer", "tweeter"]', 'playing = "all"',
         "responses.below reversed.playing", "is not a list"),
        ('reversed = ["tweeter"]', 'reversed = ["twetter"]',
         "responses.below reversed.reversed", "does not play"),
        ('playing = ["woofer", "tweeter"]\nreversed = ["tweeter"]', 'reversed = ["twetter"]',
         "responses.below reversed.reversed.1", "did you mean 'tweeter'"),
        ('playing = ["woofer", "tweeter"]', 'playing = ["woofer"]',
         "responses.below reversed.reversed", "turned round and does not play"),
        ("calibrated = false", "calibrated = 0", "responses.below reversed.calibrated", "neither"),
        ('unit = "Pa"', 'unit = "dB"', "responses.below reversed.unit", "none of the choices"),
        ('"2.9 ms"', '"1 m"', "responses.below reversed.removed_delay", "is not a time"),
        ("= 0.4", "= -0.4", "responses.below reversed.uncertainty", "out of range"),
        ("= 0.02", "= 2", "impedances.woofer.uncertainty", "out of range"),
        ('file = "finished/axis.txt"\n', "", "responses.axis.file", "the key is missing"),
        ('file = "finished/axis.txt"', "file = 1", "responses.axis.file", "is not text"),
        ('"finished/woofer.txt"', '"finished/axis.txt"', "impedances.woofer.file",
         "responses.axis names this file already"),
        ("impedances.woofer]", "impedances.axis]", "impedances.axis",
         "a response is called 'axis' too"),
        ('driver = "woofer"', 'driver = "wofer"', "impedances.woofer.driver",
         "did you mean 'woofer'"),
        ('driver = "woofer"\n', "", "impedances.woofer", "no passive crossover joins the drivers"),
    ],
)  # fmt: skip
def test_faults_are_told_at_their_keys(faults_of, old, new, key, words):
    assert VERIFIED.count(old) == 1
    text = GOOD + VERIFIED.replace(old, new)
    fault = next(f for f in faults_of(text) if f.key == f"verification.{key}")
    assert words in fault.message
    assert fault.line is not None
    assert fault.line > GOOD.count("\n")


def test_it_is_not_swept(faults_of):
    sweep = '\n[[sweep.over]]\nkey = "verification.level"\nvalues = [1, 2]\n'
    text = GOOD + VERIFIED + sweep
    (fault,) = faults_of(text)
    assert fault.line == line_with(text, 'key = "verification.level"')
    assert "there is no 'verification'" in fault.message


def test_paths_lead_on_from_another_folder_whatever_a_response_is_called():
    text = VERIFIED.replace("responses.axis", "responses.far").replace("s.woofer]", "s.near]")
    document = tomlkit.parse(text)
    lead_on(document, Path("/cases/old"), Path("/cases/new"))
    table = document["verification"]
    assert table["responses"]["far"]["file"] == "../old/finished/axis.txt"
    near = table["impedances"]["near"]
    assert (near["file"], near["driver"]) == ("../old/finished/woofer.txt", "woofer")
