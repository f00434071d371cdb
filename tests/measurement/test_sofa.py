"""SOFA files written with plain netCDF4, as AES69-2022 describes them (from memory), read back."""

from __future__ import annotations

import netCDF4
import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.measurement import RecordingError, read_sofa_curves, read_sofa_responses

SEED = 7
RATE = 48000.0
FREQUENCY = np.array([0.0, 100.0, 1000.0, 10000.0])


def sofa(file, data_type, variables, attributes=(), types=()):
    """Write a file; `variables` are name → (dimensions, array), `types` name → (Type, Units)."""
    types = dict(types)
    with netCDF4.Dataset(file, "w") as dataset:
        stated = {"Conventions": "SOFA", "Version": "2.1", "DataType": data_type}
        stated |= {"SOFAConventions": "FreeFieldDirectivityTF", **dict(attributes)}
        dataset.setncatts({name: value for name, value in stated.items() if value})
        for name, (dims, array) in variables.items():
            array = np.asarray(array)
            for dim, size in zip(dims, array.shape, strict=True):
                if dim not in dataset.dimensions:
                    dataset.createDimension(dim, size)
            variable = dataset.createVariable(name, array.dtype, dims, zlib=True)
            variable[...] = array
            if name in types:
                kind, units = types[name]
                if kind:
                    variable.Type = kind
                variable.Units = units
    return file


def places(**changed):
    """A source in the middle that looks along x, a microphone 2 m ahead of it."""
    return {
        "ListenerPosition": (("I", "C"), [[0.0, 0, 0]]),
        "ReceiverPosition": (("R", "C", "I"), [[[2.0], [0.0], [0.0]]]),
        "SourcePosition": (("I", "C"), [[0.0, 0, 0]]),
        "EmitterPosition": (("E", "C", "I"), [[[0.0], [0.0], [0.0]]]),
        **changed,
    }


def transfer(shape=(1, 1), frequency=FREQUENCY):
    values = np.random.default_rng(SEED).normal(size=(*shape, frequency.size, 2))
    return values, {
        "N": (("N",), frequency),
        "Data.Real": (("M", "R", "N"), values[..., 0]),
        "Data.Imag": (("M", "R", "N"), values[..., 1]),
    }


def test_a_directivity_reads_back_with_its_directions(tmp_path):
    # Receivers on the horizontal circle and one above, spherical, at 1.5 m: AES69 counts azimuth
    # to the source's left, which is the right of a listener in front of it: the cabinet's x.
    azimuth = np.array([0.0, 90.0, 180.0, 270.0, 0.0])
    elevation = np.array([0.0, 0.0, 0.0, 0.0, 90.0])
    spherical = np.stack([azimuth, elevation, np.full(5, 1.5)], axis=1)[:, :, None]
    values, data = transfer((1, 5))
    file = sofa(
        tmp_path / "speaker.sofa",
        "TF",
        places(ReceiverPosition=(("R", "C", "I"), spherical)) | data,
        types={"ReceiverPosition": ("spherical", "degree, degree, metre"), "N": ("", "hertz")},
    )
    curves = read_sofa_curves(file)
    assert [curve.receiver for curve in curves] == [0, 1, 2, 3, 4]
    expected = 1.5 * np.array([[0, 0, 1], [1, 0, 0], [0, 0, -1], [-1, 0, 0], [0, 1, 0]])
    np.testing.assert_allclose([curve.position for curve in curves], expected, atol=1e-12)
    for curve, written in zip(curves, values[0, :, 1:], strict=True):
        np.testing.assert_array_equal(curve.curve.frequency, FREQUENCY[1:])
        np.testing.assert_array_equal(curve.curve.values, written @ [1, 1j])
        assert curve.curve.has_phase
        assert curve.curve.guesses == ("The value at 0 Hz is left out.",)
    assert curves[2].curve.source == f"{file}, measurement 1, receiver 3"


def test_a_turned_source_is_seen_in_its_own_axes(tmp_path):
    # The loudspeaker looks along −y with its top along x; a microphone at −y is on its axis, one
    # at +x above it, one at +z: up × view = x × (−y) = −z is its left and a
    # listener's right, so +z is on the listener's left.
    receivers = np.array([[1.0, 0, 3], [3, 2, 3], [1, 2, 5]]) - [1.0, 2, 0]
    _, data = transfer((1, 3), FREQUENCY[1:])
    file = sofa(
        tmp_path / "speaker.sofa",
        "TF",
        places(
            ListenerPosition=(("I", "C"), [[1.0, 2, 0]]),
            ReceiverPosition=(("R", "C", "I"), receivers[:, :, None]),
            SourcePosition=(("I", "C"), [[1.0, 2, 3]]),
            SourceView=(("I", "C"), [[0.0, -1, 0]]),
            SourceUp=(("I", "C"), [[1.0, 0, 0]]),
        )
        | data,
        types={"SourceView": ("cartesian", "metre")},
    )
    seen = [curve.position for curve in read_sofa_curves(file)]
    np.testing.assert_allclose(seen, [[0, 0, 2], [0, 2, 0], [-2, 0, 0]], atol=1e-12)


def test_a_turned_listener_carries_its_receivers(tmp_path):
    # A microphone 0.1 m to the left of a listener who stands 2 m ahead and looks back: the
    # cabinet's x goes to the listener's right.
    _, data = transfer((1, 1), FREQUENCY[1:])
    file = sofa(
        tmp_path / "speaker.sofa",
        "TF",
        places(
            ListenerPosition=(("I", "C"), [[2.0, 0, 0]]),
            ListenerView=(("I", "C"), [[180.0, 0, 1]]),
            ReceiverPosition=(("R", "C", "I"), [[[0.0], [0.1], [0.0]]]),
        )
        | data,
        types={"ListenerView": ("spherical", "degree, degree, metre")},
    )
    np.testing.assert_allclose(read_sofa_curves(file)[0].position, [-0.1, 0, 2], atol=1e-12)


def test_receivers_that_move_from_measurement_to_measurement(tmp_path):
    moving = np.random.default_rng(SEED).normal(size=(2, 3, 4))
    _, data = transfer((4, 2), FREQUENCY[1:])
    file = sofa(
        tmp_path / "s.sofa", "TF", places(ReceiverPosition=(("R", "C", "M"), moving)) | data
    )
    for curve in read_sofa_curves(file):
        ahead, left, up = moving[curve.receiver, :, curve.measurement]
        np.testing.assert_allclose(curve.position, [left, up, ahead], rtol=1e-12)


@pytest.mark.parametrize("convention", ["GeneralFIR", "SimpleFreeFieldHRIR"])
def test_impulse_responses_read_back(tmp_path, convention):
    samples = np.random.default_rng(SEED).normal(size=(3, 2, 64))
    file = sofa(
        tmp_path / "room.sofa",
        "FIR",
        places(
            ReceiverPosition=(("R", "C", "I"), [[[2.0], [0.1], [0.0]], [[2.0], [-0.1], [0.0]]]),
            SourcePosition=(("M", "C"), [[0.0, 0, 0], [1, 0, 0], [0, 1, 0]]),
        )
        | {
            "Data.IR": (("M", "R", "N"), samples),
            "Data.SamplingRate": (("I",), [RATE]),
            "Data.Delay": (("I", "R"), [[0.0, 12.0]]),
        },
        attributes={"SOFAConventions": convention},
        types={"Data.SamplingRate": ("", "hertz")},
    )
    recording = read_sofa_responses(file)
    np.testing.assert_array_equal(recording.samples, samples.reshape(6, 64))
    assert (recording.sampling_rate, recording.full_scale) == (RATE, None)
    np.testing.assert_allclose(recording.start, np.tile([0, 12 / RATE], 3))
    # Second measurement, first receiver: 1 m ahead and 0.1 m to the left.
    np.testing.assert_allclose(recording.positions[2], [0.1, 0, 1], atol=1e-12)
    with pytest.raises(RecordingError, match="48000 Hz, expected was 44100 Hz"):
        read_sofa_responses(file, sampling_rate=44100)


def test_emitters_have_their_own_places(tmp_path):
    samples = np.random.default_rng(SEED).normal(
        size=(2, 1, 16, 3)
    )  # AES69: measurement, receiver, sample, emitter
    emitters = np.array([[0.0, 0, 0.2], [0, 0, 0], [0, 0, -0.2]])[:, :, None]
    file = sofa(
        tmp_path / "array.sofa",
        "FIR-E",
        places(EmitterPosition=(("E", "C", "I"), emitters))
        | {
            "Data.IR": (("M", "R", "N", "E"), samples),
            "Data.SamplingRate": (("I",), [RATE]),
        },
    )
    recording = read_sofa_responses(file)
    np.testing.assert_array_equal(recording.samples, np.moveaxis(samples, 3, 2).reshape(6, 16))
    expected = [[0, -0.2, 2], [0, 0, 2], [0, 0.2, 2]] * 2
    np.testing.assert_allclose(recording.positions, expected, atol=1e-12)


_, GOOD = transfer((1, 1), FREQUENCY[1:])


@pytest.mark.parametrize(
    ("data_type", "variables", "options", "said"),
    [
        ("FIR", GOOD, {}, "data type 'FIR', expected was TF"),
        ("TF", GOOD, {"attributes": {"Conventions": ""}}, "follow"),
        ("TF", {key: GOOD[key] for key in ("N", "Data.Real")}, {}, "no variable Data.Imag"),
        (
            "TF",
            GOOD,
            {"types": {"N": ("", "kilohertz")}},
            "N is in 'kilohertz', expected was hertz",
        ),
        ("TF", GOOD | {"N": (("N",), [3.0, 2.0, 1.0])}, {}, "ascending"),
        (
            "TF",
            {
                "N": (("N",), [3.0, 2.0]),
                "Data.Real": (("M", "R", "L"), [[[1.0, 2, 3]]]),
                "Data.Imag": (("M", "R", "L"), [[[1.0, 2, 3]]]),
            },
            {},
            "has 3 frequencies, N 2",
        ),
        ("TF", GOOD | {"Data.Imag": (("M", "N"), [[1.0, 2, 3]])}, {}, "they must agree"),
        ("TF-E", GOOD, {}, "has 3 dimensions, data type TF-E has 4"),
        (
            "TF",
            GOOD | {"Data.Real": (("M", "R", "N"), [[[1.0, np.nan, 3]]])},
            {},
            "measurement 1, receiver 1, emitter 1 has no value at 1000 Hz",
        ),
        ("TF", GOOD | {"ReceiverPosition": (("R", "I"), [[1.0]])}, {}, "expected was rows of 3"),
        (
            "TF",
            GOOD | {"ReceiverPosition": (("X", "C", "I"), np.ones((2, 3, 1)))},
            {},
            "has 2 places in 1 measurements, the data 1",
        ),
        ("TF", GOOD | {"SourcePosition": (("X", "C"), np.ones((2, 3)))}, {}, "1 or 1 rows of 3"),
        ("TF", GOOD | {"SourceView": (("I", "C"), [[0.0, 0, 1]])}, {}, "point the same way"),
        (
            "TF",
            GOOD,
            {"types": {"ReceiverPosition": ("spherical harmonics", "degree, degree, metre")}},
            "'spherical harmonics', expected was cartesian or spherical",
        ),
        (
            "TF",
            GOOD,
            {"types": {"ReceiverPosition": ("spherical", "radian, radian, metre")}},
            "expected was degree",
        ),
    ],
)
def test_what_does_not_fit_is_told(tmp_path, data_type, variables, options, said):
    base = {key: value for key, value in places().items() if key not in variables}
    file = sofa(tmp_path / "bad.sofa", data_type, base | variables, **options)
    with pytest.raises(RecordingError, match=said) as caught:
        read_sofa_curves(file)
    assert caught.value.fault.file == str(file)


def test_no_impulse_responses_where_transfer_functions_are(tmp_path):
    file = sofa(tmp_path / "speaker.sofa", "TF", places() | GOOD)
    with pytest.raises(RecordingError, match="holds no impulse responses; read it as transfer"):
        read_sofa_responses(file)


def test_files_of_another_kind_or_cut_off(tmp_path):
    file = tmp_path / "bad.sofa"
    for content in (b"", b"hello" * 100, b"CDF\x01" + b"\0" * 200):
        file.write_bytes(content)
        with pytest.raises(RecordingError, match=r"is empty|no SOFA file"):
            read_sofa_curves(file)
    with pytest.raises(RecordingError, match="no such file"):
        read_sofa_curves(tmp_path / "missing.sofa")


def test_cut_or_damaged_anywhere_it_is_a_clear_error_or_a_reading(tmp_path):
    good = sofa(tmp_path / "good.sofa", "TF", places() | GOOD).read_bytes()
    file, rng = tmp_path / "bad.sofa", np.random.default_rng(SEED)
    for end in np.linspace(1, len(good) - 1, 5).astype(int):
        file.write_bytes(good[:end])
        with pytest.raises(RecordingError):
            read_sofa_curves(file)
    for _ in range(10):  # many more are read at scale
        changed = bytearray(good)
        for place in rng.integers(0, len(good), 20):
            changed[place] = rng.integers(256)
        file.write_bytes(changed)
        try:
            read_sofa_curves(file)
        except RoundoverError as error:
            assert str(file) in str(error)  # noqa: PT017
