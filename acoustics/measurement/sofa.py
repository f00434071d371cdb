"""Impulse responses and transfer functions from SOFA files (AES69-2022), netCDF-4 inside."""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np

from acoustics.curves import Curve
from acoustics.measurement.recording import (
    Recording,
    checked_rate,
    refuse_broken,
)
from acoustics.measurement.sofa_file import SofaFile, opened
from acoustics.measurement.sofa_positions import positions_of

FIR, TF = ("FIR", "FIR-E"), ("TF", "TF-E")
"""Data types of AES69 that hold impulse responses and transfer functions; -E has emitters."""


@dataclass(frozen=True, eq=False)
class DirectedCurve:
    """A transfer function and where its microphone stood.

    `position` in m from the source, in the axes of the cabinet (right as the listener sees it,
    up, toward the listener), shape (3,). `measurement`, `receiver` and `emitter` are counted
    from 0.
    """

    curve: Curve
    position: np.ndarray
    measurement: int
    receiver: int
    emitter: int


def read_sofa_responses(
    path: str | os.PathLike[str], *, sampling_rate: float | None = None
) -> Recording:
    """Read the impulse responses of a SOFA file of data type FIR or FIR-E.

    Channels are measurements, for each of these receivers, for each of these emitters. A stated
    delay becomes the `start` of its channel.

    Args:
        path: the file.
        sampling_rate: Hz, where a certain one is expected.

    Raises:
        RecordingError: the file is missing, damaged or holds something else, or has another
            sampling rate.
    """
    with opened(path) as file:
        file.expect_type(FIR, "impulse responses; read it as transfer functions")
        responses = _with_emitters(file, file.numbers("Data.IR"), "Data.IR")
        rates = np.unique(file.numbers("Data.SamplingRate", unit=("hertz", "hz")))
        if rates.size != 1:
            raise file.fault("Data.SamplingRate has several rates; give a file of one")
        rate = checked_rate(float(rates[0]), sampling_rate, file.name)
        shape = responses.shape[:3]
        delay = np.zeros(shape)
        if file.has("Data.Delay"):
            delay = delay + file.broadcast("Data.Delay", shape)
        samples = responses.reshape(-1, responses.shape[-1])
        refuse_broken(samples, file.name)
        return Recording(
            samples,
            rate,
            file.name,
            None,
            delay.reshape(-1) / rate,
            positions_of(file, shape).reshape(-1, 3),
        )


def read_sofa_curves(path: str | os.PathLike[str]) -> tuple[DirectedCurve, ...]:
    """Read the transfer functions of a SOFA file of data type TF or TF-E.

    That is what the convention FreeFieldDirectivityTF holds: a source in the middle, receivers
    round it. A frequency of 0 Hz is left out, and said. Raises RecordingError.
    """
    with opened(path) as file:
        file.expect_type(TF, "transfer functions; read it as impulse responses")
        frequency = file.numbers("N", unit=("hertz", "hz")).ravel()
        real, imaginary = file.numbers("Data.Real"), file.numbers("Data.Imag")
        if real.shape != imaginary.shape:
            raise file.fault(
                f"Data.Real has the shape {real.shape}, Data.Imag {imaginary.shape}; "
                "they must agree"
            )
        values = _with_emitters(file, real + 1j * imaginary, "Data.Real")
        if values.shape[-1] != frequency.size:
            raise file.fault(
                f"Data.Real has {values.shape[-1]} frequencies, N {frequency.size}; they must agree"
            )
        guesses: tuple[str, ...] = ()
        if frequency.size and frequency[0] == 0:
            frequency, values = frequency[1:], values[..., 1:]
            guesses = ("The value at 0 Hz is left out.",)
        if frequency.size == 0 or not (frequency[0] > 0 and np.all(np.diff(frequency) > 0)):
            raise file.fault("N does not hold ascending frequencies above 0; export it again")
        positions = positions_of(file, values.shape[:3])
        return tuple(
            DirectedCurve(
                _curve(file, frequency, values[place], place, guesses), positions[place], *place
            )
            for place in np.ndindex(*values.shape[:3])
        )


def _curve(
    file: SofaFile,
    frequency: np.ndarray,
    values: np.ndarray,
    place: tuple[int, ...],
    guesses: tuple[str, ...],
) -> Curve:
    measurement, receiver, emitter = (number + 1 for number in place)
    wrong = ~np.isfinite(values) | (values == 0)
    if wrong.any():
        raise file.fault(
            f"measurement {measurement}, receiver {receiver}, emitter {emitter} has no value at "
            f"{frequency[int(np.argmax(wrong))]:g} Hz (0 or no finite number); leave it out"
        )
    source = f"{file.name}, measurement {measurement}, receiver {receiver}"
    return Curve(frequency, values, True, guesses, source)


def _with_emitters(file: SofaFile, data: np.ndarray, name: str) -> np.ndarray:
    """Data in the order measurement, receiver, emitter, sample; AES69 has emitters last."""
    wanted = 4 if file.data_type.endswith("-E") else 3
    if data.ndim != wanted:
        raise file.fault(
            f"{name} has {data.ndim} dimensions, data type {file.data_type} has {wanted}; "
            "export it again"
        )
    return np.moveaxis(data, 3, 2) if wanted == 4 else data[:, :, None, :]
