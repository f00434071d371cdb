"""WAV files of every format, written by scipy and by Python's own `wave`, read back."""

from __future__ import annotations

import struct
import wave

import numpy as np
import pytest
from scipy.io import wavfile

from acoustics.conventions import RoundoverError
from acoustics.measurement import RecordingError, common_rate, one_channel, read_wav

RATE = 48000
SAMPLES = np.stack(
    [
        0.9 * np.sin(2 * np.pi * 997 * np.arange(480) / RATE),
        np.random.default_rng(5).uniform(-1, 1 - 2e-2, 480),
    ]
)


def quantised(bits: int, samples: np.ndarray = SAMPLES) -> np.ndarray:
    return np.round(samples * 2 ** (bits - 1)).astype(np.int64)


def frames(numbers: np.ndarray, octets: int) -> bytes:
    """Interleaved little-endian frames; 8 bits are unsigned (the WAV format)."""
    if octets == 1:
        return (numbers + 128).astype(np.uint8).T.tobytes()
    whole = np.ascontiguousarray(numbers.T).astype("<i8").view(np.uint8)
    return whole.reshape(-1, 8)[:, :octets].tobytes()


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("bits", [8, 16, 24, 32])
def test_whole_numbers_read_back_exactly(tmp_path, bits, channels):
    numbers = quantised(bits)[:channels]
    file = tmp_path / "take.wav"
    with wave.open(str(file), "wb") as stream:
        stream.setnchannels(channels)
        stream.setsampwidth(bits // 8)
        stream.setframerate(RATE)
        stream.writeframes(frames(numbers, bits // 8))
    recording = read_wav(file)
    assert recording.samples.dtype == np.float64
    np.testing.assert_array_equal(recording.samples, numbers / 2.0 ** (bits - 1))
    assert abs(recording.samples - SAMPLES[:channels]).max() <= 0.5 / 2 ** (bits - 1)
    assert (recording.sampling_rate, recording.name) == (RATE, str(file))
    assert (recording.full_scale, recording.guesses) == (1.0, ())
    assert recording.duration == 480 / RATE


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", ["i2", "i4", "f4", "f8"])
def test_what_scipy_writes_reads_back(tmp_path, kind, order):
    written = SAMPLES.T if kind[0] == "f" else quantised(8 * int(kind[1])).T
    file = tmp_path / "take.wav"
    wavfile.write(file, RATE, written.astype(order + kind))
    recording = read_wav(file, sampling_rate=RATE)
    unit = {"i2": 2.0**-15, "i4": 2.0**-31, "f4": 2.0**-24, "f8": 0.0}[kind]
    np.testing.assert_allclose(recording.samples, SAMPLES, rtol=0, atol=0.51 * unit)


def test_floating_point_beyond_one_has_no_known_full_scale(tmp_path):
    wavfile.write(tmp_path / "loud.wav", RATE, 3 * SAMPLES.T)
    loud = read_wav(tmp_path / "loud.wav")
    np.testing.assert_array_equal(loud.samples, 3 * SAMPLES)
    assert loud.full_scale is None
    assert "not known" in loud.guesses[0]
    wavfile.write(tmp_path / "soft.wav", RATE, SAMPLES.T)
    soft = read_wav(tmp_path / "soft.wav")
    assert soft.full_scale == 1.0
    assert "taken to be 1" in soft.guesses[0]


def test_one_channel_of_several(tmp_path):
    wavfile.write(tmp_path / "take.wav", RATE, SAMPLES.T)
    second = read_wav(tmp_path / "take.wav", channel=2)
    np.testing.assert_array_equal(second.samples, SAMPLES[1:])
    assert second.start.shape == (1,)
    for channel in (0, 3, -1):
        with pytest.raises(RecordingError, match=r"there are 2; ask for 1 to 2"):
            read_wav(tmp_path / "take.wav", channel=channel)
    with pytest.raises(RecordingError, match="there is only one; ask for 1"):
        one_channel(second, 2)


def test_another_sampling_rate_than_expected_is_a_fault(tmp_path):
    for rate in (44100, 48000):
        wavfile.write(tmp_path / f"{rate}.wav", rate, SAMPLES.T)
    with pytest.raises(RecordingError, match=r"44100.wav: has .* 44100 Hz, expected was 48000 Hz"):
        read_wav(tmp_path / "44100.wav", sampling_rate=48000)
    first, second = (read_wav(tmp_path / f"{rate}.wav") for rate in (44100, 48000))
    assert common_rate([first, first]) == 44100
    with pytest.raises(RecordingError, match=r"48000.wav: has .*44100.wav one of 44100 Hz"):
        common_rate([first, second])


def test_chunks_that_say_more_are_passed(tmp_path):
    file = tmp_path / "take.wav"
    wavfile.write(file, RATE, quantised(16).T.astype(np.int16))
    data = file.read_bytes()
    more = b"bext" + struct.pack("<I", 7) + b"invent\0\0"
    size = struct.pack("<I", len(data) + len(more) - 8)
    file.write_bytes(b"RIFF" + size + b"WAVE" + more + data[12:] + b"cue " + b"\0" * 4)
    np.testing.assert_array_equal(read_wav(file).samples, quantised(16) / 2.0**15)


@pytest.fixture
def good(tmp_path):
    wavfile.write(tmp_path / "good.wav", RATE, quantised(16).T.astype(np.int16))
    return (tmp_path / "good.wav").read_bytes()


def damaged(data: bytes, place: int, new: bytes) -> bytes:
    return data[:place] + new + data[place + len(new) :]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda data: b"", "is empty"),
        (lambda data: b"hello, world" * 20, "is no WAV file; give"),
        (lambda data: data[:-100], "promises 1920 bytes of samples and has 1820"),
        (lambda data: data[:44], "promises 1920 bytes of samples and has 0"),
        (lambda data: damaged(data, 40, b"\xff" * 4), "the recorder never closed it"),
        (lambda data: data[:30], "cut off or damaged"),
        (lambda data: data[:12], "cut off or damaged"),
        (lambda data: damaged(data, 12, b"junk"), "cut off or damaged"),
        (lambda data: damaged(data, 20, b"\x55\x00"), "no WAV file that can be read"),
        (lambda data: damaged(data, 22, b"\0\0"), "no WAV file that can be read"),
        (lambda data: damaged(data, 24, b"\0" * 8), "sampling rate of 0 Hz"),
        (lambda data: damaged(data, 40, b"\0\0\0\0"), r"holds no samples|can be read"),
    ],
)
def test_damaged_files_are_told(tmp_path, good, change, said):
    file = tmp_path / "bad.wav"
    file.write_bytes(change(good))
    with pytest.raises(RecordingError, match=said) as caught:
        read_wav(file)
    assert caught.value.fault.file == str(file)
    assert "\n" not in str(caught.value)


def test_cut_anywhere_a_file_is_refused(tmp_path, good):
    file = tmp_path / "cut.wav"
    for end in range(0, len(good), 7):
        file.write_bytes(good[:end])
        with pytest.raises(RecordingError):
            read_wav(file)


def test_any_damaged_head_is_a_clear_error_or_a_recording(tmp_path, good):
    rng = np.random.default_rng(11)
    file = tmp_path / "bad.wav"
    for _ in range(300):
        place = int(rng.integers(0, 44))
        file.write_bytes(damaged(good, place, bytes([int(rng.integers(256))])))
        try:
            recording = read_wav(file)
        except RoundoverError as error:
            assert str(file) in str(error)  # noqa: PT017
        else:
            assert np.isfinite(recording.samples).all()


def test_samples_that_are_no_numbers_are_told(tmp_path):
    samples = SAMPLES.T.copy()
    samples[7, 1] = np.nan
    wavfile.write(tmp_path / "nan.wav", RATE, samples)
    with pytest.raises(RecordingError, match="sample 8 of channel 2 is no finite number"):
        read_wav(tmp_path / "nan.wav")
    wavfile.write(tmp_path / "none.wav", RATE, np.zeros(0, np.int16))
    with pytest.raises(RecordingError, match="holds no samples"):
        read_wav(tmp_path / "none.wav")


def test_files_that_are_not_there(tmp_path):
    with pytest.raises(RecordingError, match="no such file"):
        read_wav(tmp_path / "missing.wav")
    with pytest.raises(RecordingError, match="is a folder"):
        read_wav(tmp_path)
