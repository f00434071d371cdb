"""Files of a finished loudspeaker's measurements as readings: they come back, or are refused.

What goes in is made by closed forms and by the general library's filters and written by the tests
themselves, so that a round trip holds the reader against something else than itself.
"""

from __future__ import annotations

import struct
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

import support.measured_bench as mb
from acoustics.case import read_case
from acoustics.conventions import CaseError, RoundoverError
from acoustics.report.measured_tables import response_table
from acoustics.studies.verification.readings.given import files_of, verification_with
from acoustics.studies.verification.readings.microphone import heard_from
from acoustics.studies.verification.readings.read import read_readings
from support.verified import (
    coil_and_resonance,
    degrees,
    impedance_text,
    levels,
    response_text,
    table,
)

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-96, 105) / 24)
"""62.5 Hz to 20.2 kHz"""

PRESSURE = mb.expected("woofer", FREQUENCY, mb.Bench())
"""Pa for 2.83 V"""

OHMS = coil_and_resonance(FREQUENCY)
SET_UP, DRIVERS = mb.CASE.split("[measurement.drivers.tweeter]")
DESIGN, _ = SET_UP.split("[measurement]")


def case_in(folder: Path, text: str = DESIGN):
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return replace(designed(text), path=str(folder / "case.toml"))


@cache
def designed(text: str):
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "case.toml"
        file.write_text(text, encoding="utf-8")
        return read_case(file)


def put(folder: Path, name: str, content: str | bytes) -> str:
    (folder / name).write_bytes(content.encode() if isinstance(content, str) else content)
    return str(folder / name)


def read(folder: Path, responses=(), impedances=(), text: str = DESIGN):
    case = case_in(folder, text)
    return read_readings(case, verification_with(case, responses, impedances))


def faults(folder: Path, responses=(), impedances=(), text: str = DESIGN):
    with pytest.raises(CaseError) as caught:
        read(folder, responses, impedances, text)
    return caught.value.faults


def stated(entry: str, usual: str = "") -> str:
    return f"{DESIGN}\n[verification]\n{usual}\n[verification.responses.axis]\n{entry}\n"


HEADED = "Frequency (Hz)\t{}\t{}"
FORMS = {
    "tabs": ("", response_text(FREQUENCY, PRESSURE)),
    "decimal commas": (
        "",
        table(FREQUENCY, levels(PRESSURE), degrees(PRESSURE), mark=";", comma=True,
              head="Freq (Hz);Pegel (dB);Phase (deg)"),
    ),
    "no heads": ("", table(FREQUENCY, levels(PRESSURE), degrees(PRESSURE), mark=" ")),
    "radians and kHz": (
        "",
        table(FREQUENCY / 1000, levels(PRESSURE), np.angle(PRESSURE), mark=",",
              head="Frequency (kHz),SPL (dB),Phase (rad)"),
    ),
    "radians without a head": ("", table(FREQUENCY, levels(PRESSURE), np.angle(PRESSURE))),
    "pascals": (
        "", table(FREQUENCY, np.abs(PRESSURE), degrees(PRESSURE),
                  head=HEADED.format("Pressure (Pa)", "Phase (deg)")),
    ),
    "stated pascals": (
        'unit = "Pa"', table(FREQUENCY, np.abs(PRESSURE), degrees(PRESSURE)),
    ),
    "dB re 1 Pa by the head": (
        "", table(FREQUENCY, levels(PRESSURE, 1.0), degrees(PRESSURE),
                  head=HEADED.format("Level (dB re 1 Pa)", "Phase (deg)")),
    ),
    "dB re 1 Pa as stated": (
        'unit = "dB re 1 Pa"', table(FREQUENCY, levels(PRESSURE, 1.0), degrees(PRESSURE)),
    ),
    "parts": (
        "", table(FREQUENCY, PRESSURE.real, PRESSURE.imag, head=HEADED.format("Real", "Imaginary")),
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_a_response_comes_back_to_the_digits(tmp_path, form):
    entry, text = FORMS[form]
    put(tmp_path, "axis.txt", text)
    (found,) = read(tmp_path, text=stated(f'file = "axis.txt"\n{entry}')).responses
    assert found.frequency == pytest.approx(FREQUENCY, rel=1e-9)
    np.testing.assert_allclose(found.pressure, PRESSURE / 2.83, rtol=1e-8)
    assert found.has_phase
    assert found.calibrated
    assert found.clock == ""
    assert found.band == pytest.approx((FREQUENCY[0], 20_000.0))  # the case ends there
    assert (found.playing, found.reversed) == ((0, 1), ())


def test_what_the_case_says_of_it_counts(tmp_path):
    # Written with 3.1 ms of delay taken out, for 2 V; both are put right.
    turned = PRESSURE * np.exp(2j * np.pi * FREQUENCY * 3.1e-3)
    put(tmp_path, "axis.txt", response_text(FREQUENCY, turned))
    entry = (
        'file = "axis.txt"\nremoved_delay = "3.1 ms"\nright = "30 deg"\nup = "20 deg"\n'
        'playing = ["woofer"]\nreversed = ["woofer"]\nband = ["100 Hz", "5 kHz"]\n'
        "uncertainty = 0.7\ncalibrated = false\n"
    )
    usual = 'voltage = "2 V"\ntiming = "one day"\ndistance = "1.5 m"\nlevel = 0.4'
    readings = read(tmp_path, text=stated(entry, usual))
    (found,) = readings.responses
    np.testing.assert_allclose(found.pressure, PRESSURE / 2, rtol=1e-8)
    assert (found.playing, found.reversed) == ((1,), (1,))
    assert (found.clock, found.calibrated, found.uncertainty) == ("one day", False, 0.7)
    assert found.band == (100.0, 5000.0)
    assert readings.level == 0.4
    # Spherical coordinates about the reference point, the tweeter's centre 125 mm up.
    across = 1.5 * np.cos(np.radians(20))
    assert found.place == pytest.approx((across / 2, 0.125 + 1.5 * np.sin(np.radians(20)),
                                         across * np.sqrt(3) / 2))  # fmt: skip


def test_levels_alone_are_kept_and_told(tmp_path):
    file = put(tmp_path, "axis.txt", table(FREQUENCY, levels(PRESSURE), head="Hz\tdB SPL"))
    readings = read(tmp_path, [file])
    (found,) = readings.responses
    assert not found.has_phase
    np.testing.assert_allclose(found.pressure, np.abs(PRESSURE) / 2.83, rtol=1e-8)
    assert any("no phase" in note for note in readings.notes)


def test_the_band_ends_where_the_case_does(tmp_path):
    file = put(tmp_path, "axis.txt", response_text(FREQUENCY, PRESSURE))
    text = DESIGN + '\n[frequencies]\nlowest = "100 Hz"\nhighest = "8 kHz"\n'
    assert read(tmp_path, [file], text=text).responses[0].band == (100.0, 8000.0)


def test_impedances_come_back(tmp_path):
    parts = table(FREQUENCY, OHMS.real, OHMS.imag, head=HEADED.format("Re Z", "Im Z"))
    two = put(tmp_path, "w.txt", impedance_text(FREQUENCY, OHMS))
    three = put(tmp_path, "t.txt", parts.replace("5.6", "5.7"))
    found = read(tmp_path, [], [f"woofer={two}", f"tweeter={three}"]).impedances
    assert [each.driver for each in found] == [1, 0]
    np.testing.assert_allclose(found[0].impedance, OHMS, rtol=1e-8)
    assert np.abs(found[1].impedance - OHMS).max() < 0.2
    assert found[0].has_phase


def test_a_table_of_a_measured_driver_says_how_it_was_taken(tmp_path):
    def written(**attrs):
        one = {
            name: ("driver", [value])
            for name, value in {
                "valid_low": 100.0, "valid_high": 10_000.0, "removed_delay": 2.9e-3,
                "microphone_distance": 1.0, "gate_stop": 8e-3, "arrival": 3e-3,
                "splice_frequency": np.nan, "microphone_at": "reference axis",
            }.items()
        }  # fmt: skip
        study = xr.Dataset(
            {**one, "response": (("driver", "frequency"), [PRESSURE])},
            coords={"driver": ["woofer"], "frequency": FREQUENCY},
            attrs={"level": "absolute", "title": "t", "drive_voltage": 2.83, "clock": "loopback",
                   "calibration": "none", **attrs},
        )  # fmt: skip
        return response_table(study, "woofer")

    # Whatever voltage is said for all, this table is for 2.83 V.
    text = DESIGN + '\n[verification]\nvoltage = "1 V"\n'
    readings = read(tmp_path, [f"woofer={put(tmp_path, 'w.txt', written())}"], text=text)
    (found,) = readings.responses
    inside = (FREQUENCY >= 100) & (FREQUENCY <= 10_000)
    # Three digits of a decibel and two of a degree are written.
    np.testing.assert_allclose(found.pressure, PRESSURE[inside] / 2.83, rtol=2e-4)
    assert any("2.900 ms" in note for note in readings.notes)
    relative = written(level="relative", clock="none")
    readings = read(tmp_path, [f"woofer={put(tmp_path, 'w.txt', relative)}"])
    assert not readings.responses[0].calibrated
    assert any("full scale" in note for note in readings.notes)


def test_recorded_sweeps_share_the_loopback_s_clock(tmp_path):
    bench = mb.Bench()
    mb.write(tmp_path / "w.wav", mb.recorded("woofer", bench))
    text = f'{SET_UP}\n[verification]\ndistance = "1 m"\n'
    given = [f"woofer={tmp_path / 'w.wav'}"]
    (found,) = read(tmp_path, given, text=text).responses
    assert found.clock
    assert found.calibrated
    low, high = found.band
    assert low < 450 < 18_000 < high
    # The gate of 5 ms bends a woofer by some hundredths of a decibel and tenths of a degree.
    ratio = found.pressure / (mb.expected("woofer", found.frequency, bench) / 2.83)
    assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.2
    assert np.abs(degrees(ratio)).max() < 1.0
    # Without loopback the sound is put where geometry has it, to some millionths of a second.
    plain = text.replace("level_of_full_scale = 120.0\n", "").replace("loopback = 2\n", "")
    readings = read(tmp_path, given, text=plain)
    (found,) = readings.responses
    assert found.clock == ""
    heard = (found.frequency > 450) & (found.frequency < 5000)
    ratio = found.pressure / mb.expected("woofer", found.frequency, bench)
    assert np.abs(degrees(ratio))[heard].max() < 40
    assert not readings.responses[0].calibrated
    assert any("level_of_full_scale" in note for note in readings.notes)


def test_a_recording_that_says_nothing_is_told(tmp_path):
    silent = tmp_path / "s.wav"
    mb.write(silent, np.zeros((20_000, 2)))
    text = SET_UP + '\n[verification]\ndistance = "1 m"\n'
    (fault,) = faults(tmp_path, [str(silent)], text=text)
    assert str(fault).startswith(f"{silent}: --response: the microphone's channel is silent")
    noise = np.random.default_rng(5).standard_normal((40_000, 2))
    mb.write(silent, 1e-3 * noise)
    (fault,) = faults(tmp_path, [str(silent)], text=text)
    assert "does not stand out of its noise" in fault.message
    (fault,) = faults(tmp_path, [str(silent)], text=text.replace("loopback = 2", "loopback = 3"))
    assert "has 2 channels" in fault.message


def test_reflections_count_from_the_nearest_driver(tmp_path):
    # By hand: the floor's way for each of two drivers, over the shorter of the direct ways.
    case = case_in(tmp_path, SET_UP + "\n[verification]\n")
    place = heard_from(case, (0.0, 0.125, 1.0), (0, 1))
    direct = mb.way("tweeter")
    over = min(np.hypot(1.0, mb.HEIGHTS["tweeter"] + mb.HEIGHTS[name]) for name in mb.HEIGHTS)
    assert place.extra_path["floor"] == pytest.approx(over - direct)
    assert place.distance == pytest.approx(1.0)
    assert place.expected == pytest.approx(1.0 / mb.SPEED, rel=1e-4)


def test_an_impulse_response_comes_back(tmp_path):
    # e^(−at)·sin(bt), 10 ms from the beginning of the file, and its z transform in closed form
    # (Oppenheim & Schafer, Discrete-Time Signal Processing, table of pairs, from memory).
    a, b, start, gain = 2 * np.pi * 1500.0, 2 * np.pi * 2500.0, 10e-3, 0.05
    time = np.arange(4096) / mb.RATE
    late = np.maximum(time - start, 0.0)
    impulse = gain * np.exp(-a * late) * np.sin(b * late) * (time >= start)
    mb.write(tmp_path / "h.wav", impulse[:, None])
    text = SET_UP.replace("loopback = 2\n", 'kind = "impulse"\n')
    text += '\n[verification]\ndistance = "1 m"\ntiming = "file"\n'
    (found,) = read(tmp_path, [str(tmp_path / "h.wav")], text=text).responses
    back = np.exp(-2j * np.pi * found.frequency / mb.RATE)
    fall = np.exp(-a / mb.RATE)
    poles = 1 - 2 * fall * np.cos(b / mb.RATE) * back + (fall * back) ** 2
    expected = gain * fall * np.sin(b / mb.RATE) * back / poles * back ** (start * mb.RATE)
    expected *= 20e-6 * 10 ** (mb.FULL_SCALE / 20) / 2.83
    inside = (found.frequency > 500) & (found.frequency < 5000)
    assert np.count_nonzero(inside) > 100
    # The gate closes from the arrival on, and takes a hundredth of the sound.
    np.testing.assert_allclose(found.pressure[inside], expected[inside], rtol=0.02)
    assert found.clock == "file"
    (found,) = read(tmp_path, [str(tmp_path / "h.wav")], text=text.replace(
        'timing = "file"\n', '')).responses  # fmt: skip
    assert found.clock == ""


PNG = b"\x89PNG\r\n\x1a\n" + bytes(100)
PDF = b"%PDF-1.4\n1 0 obj\n" + b"0 1\n" * 400
ZIP = b"PK\x03\x04" + bytes(100)
WAVE = b"RIFF" + struct.pack("<I", 100) + b"WAVEfmt " + bytes(88)
SHORT = FREQUENCY[:4]
HIGH = np.geomspace(30e3, 60e3, 50)
OPPOSITE = np.conj(OHMS)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.txt", None, "there is no such file"),
        ("a.txt", "folder", "is a folder"),
        ("a.txt", b"", "is empty"),
        ("a.txt", PNG, "is a picture"),
        ("a.txt", PDF, "is a PDF document"),
        ("a.csv", ZIP, "a packed file or a spreadsheet"),
        ("a.txt", WAVE, "give WAV files the ending .wav"),
        ("a.txt", "nothing here\n", "no rows of numbers"),
        ("a.wav", response_text(FREQUENCY, PRESSURE), "the ending of a recording and is none"),
        ("a.wav", b"", "is empty"),
        ("a.txt", "Hz\tdB\n100\t80\n200\tnan\n300\t81\n400\t80\n", "no finite number"),
        ("a.txt", response_text(SHORT, PRESSURE[:4]), "only 4 frequencies in common"),
        ("a.txt", response_text(HIGH, np.full(50, 0.1)), "nothing in common"),
        ("a.txt", impedance_text(FREQUENCY, OHMS), "holds an impedance by its heads"),
        ("a.txt", impedance_text(FREQUENCY, OHMS, ""), "give it as an impedance"),
        ("a.txt", response_text(FREQUENCY, PRESSURE / 1e4), "no loudspeaker's; check unit"),
        ("a.txt", table(FREQUENCY, levels(PRESSURE), np.angle(PRESSURE),
                        head="Hz\tdB\tdegrees"), "as radians do"),
    ],
)  # fmt: skip
def test_what_is_no_response_is_refused(tmp_path, name, content, words):
    if content == "folder":
        (tmp_path / name).mkdir()
    elif content is not None:
        put(tmp_path, name, content)
    text = SET_UP + '\n[verification]\ndistance = "1 m"\n'
    (fault,) = faults(tmp_path, [str(tmp_path / name)], text=text)
    assert words in fault.message
    assert fault.key == "--response"
    assert fault.file == str(tmp_path / name)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (response_text(FREQUENCY, PRESSURE), "holds a response by its heads"),
        (table(FREQUENCY, levels(PRESSURE), degrees(PRESSURE)), "give it as a response"),
        (impedance_text(FREQUENCY, -OHMS), "which no loudspeaker has"),
        (impedance_text(FREQUENCY, OPPOSITE), "has the other sign"),
        (impedance_text(FREQUENCY, 1e4 * OHMS), "no loudspeaker's"),
        (table(FREQUENCY, np.abs(OHMS), np.angle(OHMS), head="Hz\tohm\tdegrees"), "as radians do"),
        (impedance_text(SHORT, OHMS[:4]), "only 4 frequencies"),
        (PNG, "is a picture"),
    ],
)
def test_what_is_no_impedance_is_refused(tmp_path, content, words):
    file = put(tmp_path, "z.txt", content)
    (fault,) = faults(tmp_path, [], [f"woofer={file}"])
    assert words in fault.message
    assert fault.key == "--impedance"


def test_a_recording_is_no_impedance(tmp_path):
    (fault,) = faults(tmp_path, [], [f"woofer={put(tmp_path, 'z.wav', WAVE)}"])
    assert "text table of frequency, ohm and phase" in fault.message


def test_recordings_need_to_be_described(tmp_path):
    (fault,) = faults(tmp_path, [put(tmp_path, "a.wav", WAVE)])
    assert "add a table [measurement]" in fault.message


def test_all_faults_are_told_at_once_where_the_case_names_them(tmp_path):
    put(tmp_path, "one.txt", response_text(FREQUENCY, PRESSURE))
    put(tmp_path, "two.txt", "# a copy\n" + response_text(FREQUENCY, PRESSURE))
    text = stated('file = "one.txt"') + "".join(
        f"[verification.{key}]\n{lines}\n"
        for key, lines in (
            ("responses.copy", 'file = "two.txt"'),
            ("responses.gone", 'file = "gone.txt"'),
            ("responses.behind", 'file = "one.txt.bak"\nright = "180 deg"\ndistance = "100 mm"'),
            ("impedances.woofer", 'file = "none.txt"\ndriver = "woofer"'),
        )
    )
    told = {fault.key: fault for fault in faults(tmp_path, text=text)}
    assert told.keys() == {
        "verification.responses.copy.file", "verification.responses.gone.file",
        "verification.responses.behind.distance", "verification.impedances.woofer.file",
    }  # fmt: skip
    assert "which is 'axis'" in told["verification.responses.copy.file"].message
    assert "is in the cabinet" in told["verification.responses.behind.distance"].message
    lines = text.splitlines()
    for fault in told.values():
        assert fault.file == str(tmp_path / "case.toml")
        assert fault.key.split(".")[-1] in lines[fault.line - 1]


def test_nothing_measured_is_told(tmp_path):
    with pytest.raises(RoundoverError, match="give --response FILE or --impedance FILE"):
        read(tmp_path)


def test_options_add_to_the_case_and_take_its_details(tmp_path, monkeypatch):
    put(tmp_path, "axis.txt", "")
    text = stated('file = "axis.txt"\nright = "10 deg"', 'distance = "1 m"\nvoltage = "2 V"')
    case = case_in(tmp_path, text)
    (tmp_path / "below").mkdir()
    monkeypatch.chdir(tmp_path / "below")
    found = verification_with(
        case, ["../axis.txt", "woofer=w.txt", "a=b.txt", "C:\\m\\axis.txt"], ["tweeter=w=2.txt"]
    )
    axis, woofer, odd, drive = found.responses
    assert axis == case.verification.responses[0]
    assert (woofer.name, woofer.playing, woofer.distance) == ("w", ("woofer",), 1.0)
    assert (woofer.voltage, woofer.right) == (2.0, 0.0)
    assert Path(woofer.file) == tmp_path / "below" / "w.txt"
    assert (Path(odd.file).name, odd.playing, drive.playing) == ("a=b.txt", (), ())
    (load,) = found.impedances
    assert (load.driver, Path(load.file).name) == ("tweeter", "w=2.txt")
    assert len(files_of(case, found)) == 5


@pytest.mark.parametrize(
    ("responses", "impedances", "words"),
    [
        (["wofer=there.txt"], [], "no driver 'wofer'.*did you mean 'woofer'"),
        (["woofer="], [], "no file is named"),
        ([" "], [], "no file is named"),
        (["tweeter=axis.txt"], [], "says otherwise of this file, as 'axis'"),
        ([], ["there.txt"], "say at whose terminals.*tweeter=there.txt"),
        ([], ["woofer=there.txt", "tweeter=there.txt"], "says otherwise of this file, as 'there'"),
    ],
)
def test_options_that_mean_nothing_are_refused(tmp_path, monkeypatch, responses, impedances, words):
    monkeypatch.chdir(tmp_path)
    put(tmp_path, "there.txt", "")
    case = case_in(tmp_path, stated('file = "axis.txt"\nplaying = ["woofer"]'))
    with pytest.raises(RoundoverError, match=words):
        verification_with(case, responses, impedances)
