"""Every recording that a case names, read and checked; all faults at once."""

from __future__ import annotations

import pathlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import numpy as np

from acoustics.case.design.measurement_model import Measurement
from acoustics.case.design.model import Case
from acoustics.case.files.driver_files import at_the_case
from acoustics.case.text.lines import Path
from acoustics.conventions import CaseError, Fault, FileError, RoundoverError
from acoustics.curves import Curve
from acoustics.measurement.calibration import read_calibration
from acoustics.measurement.recording import Recording, RecordingError, one_channel
from acoustics.measurement.text_recording import read_text_recording
from acoustics.measurement.wav import read_wav
from acoustics.studies.measure.microphone import with_phase

WAV = frozenset({".wav", ".wave"})
"""Endings of files that are not text."""

LOWEST_RATE, HIGHEST_RATE = 4000.0, 800_000.0
"""Hz: nobody records sound with fewer or more samples a second; a damaged head may say so"""

LARGEST = 1e9
"""of a sample, whatever full scale is: whole numbers of 24 bits are less than 2e7"""

CONE = ""
"""Stands for the cone where near fields are named by their ports."""

Answer = TypeVar("Answer")


@dataclass(frozen=True, eq=False)
class Take:
    """One recording: what the microphone heard and what was sent, each of shape (n,).

    `sent` is None without a loopback. `start` is the time of the first sample, s; `full_scale` the
    value at which the recorder clips, None if not known; `key` where the case names the file.
    """

    name: str
    heard: np.ndarray
    sent: np.ndarray | None
    sampling_rate: float
    start: float
    full_scale: float | None
    key: Path


@dataclass(frozen=True, eq=False)
class Recorded:
    """All recordings of a case.

    `far` by driver; `near` by driver, and there by the port's name, `CONE` for the cone. `played`
    is the file that was played, None for the sweep as made. `guessed_phase` says whether the
    calibration's table has none, and it was taken to be of minimum phase.
    """

    far: dict[str, tuple[Take, ...]]
    near: dict[str, dict[str, tuple[Take, ...]]]
    played: np.ndarray | None
    calibration: Curve | None
    guessed_phase: bool
    sampling_rate: float


def require_measurement(case: Case) -> Measurement:
    """How the drivers of a case were measured. Raises RoundoverError where it does not say."""
    if case.measurement is None:
        raise RoundoverError(
            f"{case.path}: nothing says how the drivers were measured; add a table [measurement] "
            "and one such as [measurement.drivers.woofer] with far, the recording"
        )
    return case.measurement


def read_recorded(case: Case) -> Recorded:
    """Read all recordings that a case names.

    Raises:
        CaseError: files that are missing, damaged or without the channel, and rates that differ;
            all of them at once.
    """
    measurement = require_measurement(case)
    if not measurement.drivers:
        raise RoundoverError(
            f"{case.path}: no driver was measured; add a table for each, such as "
            "[measurement.drivers.woofer]"
        )
    faults: list[Fault] = []
    takes: dict[Path, list[Take]] = {}
    for path, name in _named(measurement):
        take = _tried(case, path, faults, partial(read_take, case, path, name))
        takes.setdefault(path, []).extend([] if take is None else [take])
    first = next((take for found in takes.values() for take in found), None)
    rate = 0.0 if first is None else first.sampling_rate
    for take in (take for found in takes.values() for take in found):
        if first is not None and take.sampling_rate != rate:
            fault = Fault(
                f"has a sampling rate of {take.sampling_rate:g} Hz, {first.name} one of "
                f"{rate:g} Hz; record all with the same",
                take.name,
            )
            faults.append(at_key(case, take.key, fault))
    faults += [at_key(case, each, fault) for each, fault in _alike(takes)]
    played, calibration = _shared(case, rate, faults)
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    near: dict[str, dict[str, tuple[Take, ...]]] = {}
    for each in measurement.drivers:
        here: Path = ("measurement", "drivers", each.driver)
        near[each.driver] = {}
        if each.near:
            near[each.driver][CONE] = tuple(takes[(*here, "near")])
        for port, _ in each.near_ports:
            near[each.driver][port] = tuple(takes[(*here, "near_ports", port)])
    far = {
        each.driver: tuple(takes[("measurement", "drivers", each.driver, "far")])
        for each in measurement.drivers
    }
    microphone = None if calibration is None else with_phase(calibration)
    return Recorded(far, near, played, microphone, calibration is not microphone, rate)


def read_shared(case: Case, sampling_rate: float) -> tuple[np.ndarray | None, Curve | None]:
    """What all recordings of a case share: the file that was played, and the calibration.

    Args:
        case: with a table [measurement].
        sampling_rate: of the recordings, Hz.

    Returns:
        Samples (n,), None for the sweep as made; the microphone's table with its phase, None for a
        perfect one.

    Raises:
        CaseError: files that are missing or damaged.
    """
    faults: list[Fault] = []
    played, calibration = _shared(case, sampling_rate, faults)
    if faults:
        raise CaseError(faults)
    return played, None if calibration is None else with_phase(calibration)


def _shared(case: Case, rate: float, faults: list[Fault]) -> tuple[np.ndarray | None, Curve | None]:
    """As `read_shared`, the calibration as it stands; 0 for a rate that is not known."""
    measurement = require_measurement(case)
    played = calibration = None
    if measurement.sweep_file is not None:
        path = ("measurement", "sweep_file")
        file = _file(case, measurement.sweep_file)
        played = _tried(case, path, faults, lambda: _samples(file, rate or None, 1))
    if measurement.calibration is not None:
        path = ("measurement", "calibration")
        file = _file(case, measurement.calibration)
        calibration = _tried(case, path, faults, lambda: read_calibration(file))
    return None if played is None else played.samples[0], calibration


def at_key(case: Case, path: Path, fault: Fault) -> Fault:
    """A fault told where the case names what it is about, as far as its file is still there."""
    file = pathlib.Path(case.path)
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        text = ""
    return at_the_case(file, text, path, fault) if fault.file else _plain(file, text, path, fault)


def _plain(file: pathlib.Path, text: str, path: Path, fault: Fault) -> Fault:
    placed = at_the_case(file, text, path, Fault("", "-"))
    return Fault(fault.message, placed.file, placed.line, placed.key)


def _tried(
    case: Case, path: Path, faults: list[Fault], read: Callable[[], Answer]
) -> Answer | None:
    """What is read, or None and one more fault."""
    try:
        return read()
    except FileError as error:
        faults.append(at_key(case, path, error.fault))
    return None


def _named(measurement: Measurement) -> Iterator[tuple[Path, str]]:
    """Where recordings are named, and their names."""
    for each in measurement.drivers:
        here: Path = ("measurement", "drivers", each.driver)
        for name in each.far:
            yield (*here, "far"), name
        for name in each.near:
            yield (*here, "near"), name
        for port, names in each.near_ports:
            for name in names:
                yield (*here, "near_ports", port), name


def named_files(case: Case) -> list[pathlib.Path]:
    """What measuring reads beside the case file: recordings, and the microphone's table."""
    if case.measurement is None:
        return []
    names = [name for _, name in _named(case.measurement)]
    names += [name for name in (case.measurement.calibration,) if name is not None]
    return [_file(case, name) for name in names]


def _alike(takes: dict[Path, list[Take]]) -> Iterator[tuple[Path, Fault]]:
    """Recordings that stand twice, under one name or as a copy: noise alone makes two differ."""
    seen: list[Take] = []
    for take in (take for found in takes.values() for take in found):
        first = next((one for one in seen if np.array_equal(one.heard, take.heard)), None)
        if first is None or not np.any(take.heard):
            seen.append(take)
            continue
        where = ".".join(map(str, first.key))
        stands = (
            f"is named by {where} already"
            if first.name == take.name
            else f"is a copy of {first.name}, which {where} names"
        )
        yield take.key, Fault(f"{stands}; name the recording that was made for this", take.name)


def read_take(case: Case, path: Path, name: str) -> Take:
    """One recording, made as the case says.

    Args:
        case: with a table [measurement].
        path: where the file is named.
        name: of the file, counted from the case's folder.

    Raises:
        RecordingError: a file that is missing, damaged, or without the channels.
    """
    measurement = require_measurement(case)
    recording = _samples(_file(case, name), measurement.sampling_rate, None)
    heard = one_channel(recording, measurement.channel)
    sent = None
    if measurement.loopback is not None:
        count = recording.samples.shape[0]
        if measurement.loopback > count:
            raise RecordingError(
                f"has {count} channel{'' if count == 1 else 's'} and none that is "
                f"measurement.loopback ({measurement.loopback}); record what was sent together "
                'with the microphone, or write loopback = "none": delays are then not known',
                recording.name,
            )
        sent = one_channel(recording, measurement.loopback).samples[0]
    return Take(
        name=recording.name,
        heard=heard.samples[0],
        sent=sent,
        sampling_rate=recording.sampling_rate,
        start=float(heard.start[0]),
        full_scale=recording.full_scale,
        key=path,
    )


def _samples(file: pathlib.Path, rate: float | None, channel: int | None) -> Recording:
    if file.suffix.lower() in WAV:
        recording = read_wav(file, channel=channel, sampling_rate=rate)
    else:
        recording = read_text_recording(file, sampling_rate=rate)
        recording = recording if channel is None else one_channel(recording, channel)
    if not LOWEST_RATE <= recording.sampling_rate <= HIGHEST_RATE:
        raise RecordingError(
            f"states a sampling rate of {recording.sampling_rate:g} Hz, and sound is recorded with "
            f"{LOWEST_RATE:g} to {HIGHEST_RATE:g} Hz; record it again",
            str(file),
        )
    most = float(np.abs(recording.samples).max())
    if most > LARGEST:
        raise RecordingError(
            f"holds values of up to {most:.3g}, full scale being about 1; it is damaged, or no "
            "recording",
            str(file),
        )
    return recording


def _file(case: Case, name: str) -> pathlib.Path:
    return pathlib.Path(case.path).parent / name
