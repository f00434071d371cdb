"""Samples in plain text."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.curves import CurveForm
from acoustics.measurement import RecordingError, read_text_recording

RATE = 48000
SAMPLES = np.random.default_rng(9).normal(size=400) * np.exp(-np.arange(400) / 60)


def written(tmp_path, text):
    file = tmp_path / "impulse.txt"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("head", ["", "# invented impulse response\n", "Amplitude\n"])
@pytest.mark.parametrize("comma", [False, True])
def test_one_column_with_a_stated_rate(tmp_path, head, comma):
    text = head + "\n".join(f"{sample:.17g}" for sample in SAMPLES)
    file = written(tmp_path, text.replace(".", ",") if comma else text)
    recording = read_text_recording(file, sampling_rate=RATE)
    np.testing.assert_array_equal(recording.samples, SAMPLES[None])
    assert (recording.sampling_rate, recording.full_scale) == (RATE, None)
    assert recording.start.tolist() == [0.0]
    assert any("comma" in guess for guess in recording.guesses) == comma


@pytest.mark.parametrize(
    ("head", "scale", "between", "comma"),
    [
        ("", 1, " ", False),
        ("time (s),value\n", 1, ",", False),
        ("Time [ms]\tPressure\n", 1000, "\t", False),
        ("", 1000, ";", True),
    ],
)
def test_time_and_value(tmp_path, head, scale, between, comma):
    times = (np.arange(400) - 48) / RATE * scale
    rows = [
        f"{time:.{9 if scale == 1 else 6}f}{between}{sample!r}"
        for time, sample in zip(times, SAMPLES.tolist(), strict=True)
    ]
    text = "\n".join(rows)
    file = written(tmp_path, head + (text.replace(".", ",") if comma else text))
    recording = read_text_recording(file)
    np.testing.assert_array_equal(recording.samples, SAMPLES[None])
    assert recording.sampling_rate == RATE
    assert recording.start[0] == pytest.approx(-1e-3)
    guessed = [guess for guess in recording.guesses if "taken to be in" in guess]
    assert bool(guessed) == (head == "")
    assert read_text_recording(file, sampling_rate=RATE).sampling_rate == RATE


def test_times_printed_with_few_digits_give_a_common_rate_and_say_so(tmp_path):
    rows = "\n".join(f"{i / 44100:.6f} {s!r}" for i, s in enumerate(SAMPLES.tolist()))
    recording = read_text_recording(written(tmp_path, rows))
    assert recording.sampling_rate == 44100
    assert any("taken to be 44100 Hz" in guess for guess in recording.guesses)


def test_an_uncommon_rate_stays(tmp_path):
    rows = "\n".join(f"{i / 50000:.9f} {s!r}" for i, s in enumerate(SAMPLES.tolist()))
    recording = read_text_recording(written(tmp_path, rows))
    assert recording.sampling_rate == pytest.approx(50000, rel=1e-9)


def test_the_unit_of_time_can_be_stated(tmp_path):
    rows = "\n".join(f"{i / 500:.6f} {s!r}" for i, s in enumerate(SAMPLES.tolist()))
    file = written(tmp_path, rows)
    assert read_text_recording(file).sampling_rate == pytest.approx(500_000)
    assert read_text_recording(file, time_unit="s").sampling_rate == pytest.approx(500)


@pytest.mark.parametrize("missing", [1, 100, 200, 398])
def test_a_missing_sample_is_told_with_its_line(tmp_path, missing):
    rows = [f"{i / RATE:.9f} {s!r}" for i, s in enumerate(SAMPLES.tolist())]
    del rows[missing]
    with pytest.raises(RecordingError, match="breaks the even steps") as caught:
        read_text_recording(written(tmp_path, "\n".join(rows)))
    assert caught.value.fault.line == missing + 1


@pytest.mark.parametrize(
    ("text", "options", "said"),
    [
        ("", {}, "is empty"),
        ("nothing here\n", {}, "no rows of numbers"),
        ("0.1\n0.2\n0.3\n", {}, "state sampling_rate"),
        ("0.1\n0.2\n0.3\n", {"sampling_rate": 0}, "which is none"),
        ("0.1\nnan\n0.3\n", {"sampling_rate": 48000}, "sample 2 of channel 1"),
        ("0.1\n0.2 0.3\n0.3\n", {"sampling_rate": 48000}, "has 2 columns"),
        ("3 0.1\n2 0.2\n1 0.3\n", {}, "no rising time"),
        ("1 0.1\n1 0.2\n1 0.3\n", {}, "no rising time"),
        ("0 0.1\n1e-4 0.2\n2e-4 0.3\n", {"sampling_rate": 48000}, "expected was 48000 Hz"),
    ],
)
def test_what_is_no_recording(tmp_path, text, options, said):
    file = written(tmp_path, text)
    with pytest.raises(RecordingError, match=said) as caught:
        read_text_recording(file, **options)
    assert caught.value.fault.file == str(file)


def test_the_decimal_mark_can_be_stated(tmp_path):
    file = written(tmp_path, "0,1\n1,2\n2,3\n")
    options = {"sampling_rate": RATE, "form": CurveForm(decimal="comma")}
    np.testing.assert_array_equal(read_text_recording(file, **options).samples, [[0.1, 1.2, 2.3]])
