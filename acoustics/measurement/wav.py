"""Recordings from WAV files."""

from __future__ import annotations

import io
import os
import struct
import warnings
from pathlib import Path

import numpy as np
from scipy.io import wavfile

from acoustics.files import content
from acoustics.measurement.recording import (
    MOST_BYTES,
    Recording,
    RecordingError,
    checked_rate,
    one_channel,
    refuse_broken,
)

WAY_OUT = "give a WAV file with 16, 24 or 32 bits, or 32 or 64 bits of floating point"

UNKNOWN_SIZE = 0xFFFFFFFF
"""What programs that write as they record leave in a chunk's size."""


def read_wav(
    path: str | os.PathLike[str],
    *,
    channel: int | None = None,
    sampling_rate: float | None = None,
) -> Recording:
    """Read a WAV file of any common format.

    Whole numbers of b bits are divided by 2^(b−1), so that full scale is 1. Floating point keeps
    its numbers; its full scale is taken to be 1 as long as nothing is beyond.

    Args:
        path: the file.
        channel: the one wanted, counted from 1; None keeps all.
        sampling_rate: Hz, where a certain one is expected.

    Raises:
        RecordingError: the file is missing, cut off or no WAV file, has no such channel, samples
            that are no numbers, or another sampling rate.
    """
    file = Path(path)
    name = str(file)
    data = content(file, MOST_BYTES, WAY_OUT, RecordingError)
    _refuse_cut_off(data, name)
    with warnings.catch_warnings():
        # Chunks that say who recorded it are none of our business.
        warnings.simplefilter("ignore", wavfile.WavFileWarning)
        try:
            rate, raw = wavfile.read(io.BytesIO(data))
        except Exception as error:  # a damaged head fails in as many ways as it has fields
            raise RecordingError(
                f"is no WAV file that can be read ({error}); {WAY_OUT}", name
            ) from error
    samples = np.atleast_2d(_scaled(raw).T)
    refuse_broken(samples, name)
    full_scale: float | None = 1.0
    guesses: tuple[str, ...] = ()
    if raw.dtype.kind == "f":
        within = float(abs(samples).max()) <= 1
        full_scale = 1.0 if within else None
        guesses = (
            ("Full scale of the floating-point samples is taken to be 1.",)
            if within
            else ("Full scale is not known: floating-point samples go beyond 1.",)
        )
    answer = Recording(
        np.ascontiguousarray(samples),
        checked_rate(float(rate), sampling_rate, name),
        name,
        full_scale,
        np.zeros(samples.shape[0]),
        None,
        guesses,
    )
    return answer if channel is None else one_channel(answer, channel)


def _scaled(raw: np.ndarray) -> np.ndarray:
    """Samples as float64; whole numbers fill their type, 24 bits the upper ones of 32."""
    if raw.dtype.kind == "f":
        with np.errstate(invalid="ignore"):  # what is no number is told afterwards
            return raw.astype(float)
    half = 2.0 ** (8 * raw.dtype.itemsize - 1)
    return raw / half - 1 if raw.dtype.kind == "u" else raw / half


def _refuse_cut_off(data: bytes, name: str) -> None:
    """Walk the chunks: the samples promised must be there (the reader would not tell)."""
    if not data:
        raise RecordingError(f"is empty; {WAY_OUT}", name)
    if data[:4] not in (b"RIFF", b"RIFX", b"RF64") or data[8:12] != b"WAVE":
        raise RecordingError(f"is no WAV file; {WAY_OUT}", name)
    order = ">" if data[:4] == b"RIFX" else "<"
    place, described = 12, False
    while place + 8 <= len(data):
        kind = data[place : place + 4]
        (size,) = struct.unpack(f"{order}I", data[place + 4 : place + 8])
        if kind == b"data":
            there = len(data) - place - 8
            if not described:
                break
            if size == UNKNOWN_SIZE and data[:4] == b"RF64":
                return  # its size stands elsewhere
            if size == UNKNOWN_SIZE:
                raise RecordingError(
                    "does not say how many samples it has: the recorder never closed it; open and "
                    "save it again in any sound editor",
                    name,
                )
            if size > there:
                raise RecordingError(
                    f"is cut off: it promises {size} bytes of samples and has {there}; "
                    "copy or record it again",
                    name,
                )
            return
        described |= kind == b"fmt "
        place += 8 + size + size % 2
    raise RecordingError(
        "has no samples behind its head: the file is cut off or damaged; copy or record it again",
        name,
    )
