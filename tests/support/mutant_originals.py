"""Small sound files of every kind that is read, as bytes, for mutants to be made of."""

from __future__ import annotations

import io
import struct
from functools import cache
from pathlib import Path

import h5netcdf
import numpy as np
from scipy.io import wavfile

from acoustics.case import read_case
from acoustics.case.design.model import FrequencyGrid
from acoustics.measurement.wav_bytes import wav_bytes
from acoustics.prediction import predict
from acoustics.report.open_data.sofa import write_sofa
from acoustics.storage import save
from support.cases import CASES, make_case, make_driver
from support.free_field import solve_free_field
from support.verifications import verification
from support.verified import coil_and_resonance, impedance_text, levels, response_text, table

FREQUENCY = np.geomspace(20.0, 20_000.0, 40)
VERIFIED = "compact-passive"
"""the shipped design whose verification is read"""


@cache
def wav_files() -> tuple[bytes, ...]:
    """Two channels in every width that is read, both byte orders, and heads of several lengths."""
    rng = np.random.default_rng(5)
    sound = np.clip(0.3 * rng.standard_normal((64, 2)), -0.9, 0.9)
    found = [wav_bytes(sound.T, 48_000)]
    for kind, scale in (("u1", 127), ("i2", 32_000), ("i4", 2e9), ("f4", 1), ("f8", 1)):
        buffer = io.BytesIO()
        samples = sound * scale + (128 if kind == "u1" else 0)
        wavfile.write(buffer, 48_000, samples.astype(kind))
        found.append(buffer.getvalue())
    data = (sound * 32_000).astype("<i2")
    plain = struct.pack("<HHIIHH", 1, 2, 48_000, 192_000, 4, 16)
    # The extended head of WAVE_FORMAT_EXTENSIBLE, its subformat that of whole numbers.
    long = struct.pack("<HHIIHHHHI", 0xFFFE, 2, 48_000, 192_000, 4, 16, 22, 16, 3)
    long += struct.pack("<H", 1) + bytes.fromhex("000000001000800000aa00389b71")
    named = b"LIST" + struct.pack("<I", 12) + b"INFOISFT" + struct.pack("<I", 0)
    found += [
        _riff(b"RIFF", plain, named, data.tobytes()),
        _riff(b"RIFF", long, b"", data.tobytes()),
    ]
    turned = struct.pack(">HHIIHH", 1, 2, 48_000, 192_000, 4, 16)
    found.append(_riff(b"RIFX", turned, b"", data.byteswap().tobytes(), ">"))
    return tuple(found)


def _riff(kind: bytes, head: bytes, more: bytes, data: bytes, order: str = "<") -> bytes:
    def sized(name: bytes, inside: bytes) -> bytes:
        return name + struct.pack(f"{order}I", len(inside)) + inside

    chunks = b"WAVE" + sized(b"fmt ", head) + more + sized(b"data", data)
    return sized(kind, chunks)


@cache
def response_tables() -> tuple[bytes, ...]:
    """Tables of levels: parted by tabs, commas and blanks, with heads, comments and without."""
    pressure = 0.2 * np.exp(-2j * np.pi * FREQUENCY * 1e-3) * (1 + 0.1 * np.sin(FREQUENCY / 700))
    degrees = np.degrees(np.angle(pressure))
    shipped = CASES / "compact-measured" / "measured" / "woofer-response.txt"
    return (
        response_text(FREQUENCY, pressure).encode(),
        table(FREQUENCY, levels(pressure), degrees, head="* SPL\n", mark=" ").encode(),
        table(FREQUENCY, levels(pressure), head="Freq;dB", mark=";", comma=True).encode(),
        table(FREQUENCY, pressure.real, pressure.imag, head="freq,real,imag", mark=",").encode(),
        _few_lines(shipped.read_bytes()),
    )


@cache
def impedance_tables() -> tuple[bytes, ...]:
    """Tables of ohms, likewise."""
    ohm = coil_and_resonance(FREQUENCY)
    shipped = CASES / "compact-passive" / "finished" / "terminals.txt"
    return (
        impedance_text(FREQUENCY, ohm).encode(),
        table(FREQUENCY, abs(ohm), np.degrees(np.angle(ohm)), head="! ohm", mark=" ").encode(),
        table(FREQUENCY, ohm.real, ohm.imag, head="Hz,R (ohm),X (ohm)", mark=",").encode(),
        _few_lines(shipped.read_bytes()),
    )


@cache
def text_recordings() -> tuple[bytes, ...]:
    """Impulse responses as text: one column, and times beside values."""
    sound = np.exp(-np.arange(200) / 20.0) * np.cos(np.arange(200) / 3.0)
    one = "\n".join(f"{value:.9g}" for value in sound)
    return (
        f"* one sample a line\n{one}\n".encode(),
        table(np.arange(200) / 48_000, sound, head="Time (s)\tImpulse").encode(),
        table(np.arange(200) / 48, sound, head='"ms";"Pa"', mark=";", comma=True).encode(),
    )


@cache
def predictions() -> tuple[bytes, ...]:
    """A prediction of a two-way at a few frequencies."""
    small = make_case(
        (make_driver("woofer", -0.05), make_driver("tweeter", 0.08)),
        frequencies=FrequencyGrid(500.0, 2000.0, 2),
    )
    return (_bytes_of(lambda file: save(predict(small, solve=solve_free_field), file)),)


@cache
def verifications() -> tuple[bytes, ...]:
    """What `roundover verify` writes about a shipped design."""
    case = read_case(CASES / VERIFIED)
    found = verification(outside=["axis"], sure=False, healthy=0.7, unknown=0.3)
    return (_bytes_of(lambda file: save(found.assign_attrs(case_digest=case.digest), file)),)


@cache
def sofa_files() -> tuple[bytes, ...]:
    """Transfer functions as the open data have them, and impulse responses beside them."""
    small = make_case(frequencies=FrequencyGrid(500.0, 2000.0, 2))
    prediction = predict(small, solve=solve_free_field)
    return (_bytes_of(lambda file: write_sofa(prediction, file)), _fir())


def _fir() -> bytes:
    """Data type FIR of AES69: measurements, receivers, samples."""
    content = io.BytesIO()
    with h5netcdf.File(content, "w") as file:
        file.dimensions = {"I": 1, "C": 3, "M": 2, "R": 1, "E": 1, "N": 64}
        file.attrs.update({"Conventions": "SOFA", "DataType": "FIR", "Version": "2.1"})
        place = np.zeros((1, 3))
        for name, dims, values, units in (
            ("ListenerPosition", "IC", place, "metre"),
            ("ReceiverPosition", "RCI", np.array([[[2.0], [0.0], [0.0]]]), "metre"),
            ("SourcePosition", "IC", place, "metre"),
            ("EmitterPosition", "ECI", place[:, :, None], "metre"),
            ("Data.IR", "MRN", np.random.default_rng(3).standard_normal((2, 1, 64)), ""),
            ("Data.SamplingRate", "I", np.array([48_000.0]), "hertz"),
            ("Data.Delay", "IR", np.zeros((1, 1)), ""),
        ):
            variable = file.create_variable(name, tuple(dims), data=values)
            variable.attrs["Units"] = units
            if name.endswith("Position"):
                variable.attrs["Type"] = "cartesian"
    return content.getvalue()


def _few_lines(data: bytes, most: int = 60) -> bytes:
    """The head of a shipped table and every so many of its rows."""
    lines = data.splitlines(keepends=True)
    return b"".join(lines[:8] + lines[8 :: max(1, len(lines) // most)])


def _bytes_of(write) -> bytes:  # type: ignore[no-untyped-def]
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        file = Path(folder) / "made"
        write(file)
        return file.read_bytes()
