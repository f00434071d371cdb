"""What was recorded: samples at a steady rate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.conventions import FileError

MOST_BYTES = 1_000_000_000
"""of a recording; an hour of stereo at 96 kHz and 24 bits is 2 GB and no measurement"""

COMMON_RATES = (8000, 11025, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000)
"""Hz"""


class RecordingError(FileError):
    """A file that cannot be read as a recording; `fault` has its place."""


@dataclass(frozen=True, eq=False)
class Recording:
    """Impulse responses or recordings of one sampling rate.

    `samples` float64, shape (channel, n); `sampling_rate` in Hz; `name` is the file's. Of whole
    numbers full scale is 1. `full_scale` is the value at which the recorder clips, None where
    that is not known. `start` is the time of the first sample in s, shape (channel,): 0 unless
    the file says otherwise. `positions`, shape (channel, 3), are those of the microphones in m
    from the source, in the axes of the cabinet (right, up, toward the listener), where the file
    states them. `guesses` are sentences about what the file did not say.
    """

    samples: np.ndarray
    sampling_rate: float
    name: str
    full_scale: float | None
    start: np.ndarray
    positions: np.ndarray | None = None
    guesses: tuple[str, ...] = ()

    @property
    def duration(self) -> float:
        """In s."""
        return self.samples.shape[1] / self.sampling_rate


def one_channel(recording: Recording, channel: int) -> Recording:
    """One channel of several, counted from 1. Raises RecordingError where there is no such."""
    count = recording.samples.shape[0]
    if not 1 <= channel <= count:
        raise RecordingError(
            f"channel {channel} was asked for, there "
            f"{'is only one; ask for 1' if count == 1 else f'are {count}; ask for 1 to {count}'}",
            recording.name,
        )
    kept = slice(channel - 1, channel)
    positions = None if recording.positions is None else recording.positions[kept]
    return replace(
        recording,
        samples=recording.samples[kept],
        start=recording.start[kept],
        positions=positions,
    )


def common_rate(recordings: Sequence[Recording]) -> float:
    """The sampling rate of all recordings in Hz. Raises RecordingError where they differ."""
    first, *others = recordings
    for other in others:
        if other.sampling_rate != first.sampling_rate:
            raise RecordingError(
                f"has a sampling rate of {other.sampling_rate:g} Hz, {first.name} one of "
                f"{first.sampling_rate:g} Hz; record both with the same",
                other.name,
            )
    return first.sampling_rate


def checked_rate(found: float, expected: float | None, name: str) -> float:
    """A file's sampling rate. Raises RecordingError where it is none or another is expected."""
    if not (np.isfinite(found) and found > 0):
        raise RecordingError(
            f"states a sampling rate of {found:g} Hz, which is none; record it again", name
        )
    if expected is not None and found != expected:
        raise RecordingError(
            f"has a sampling rate of {found:g} Hz, expected was {expected:g} Hz; record at that "
            "rate, or change sampling_rate where it is stated",
            name,
        )
    return found


def refuse_broken(samples: np.ndarray, name: str) -> None:
    """Raises RecordingError where there are no samples, or some that are no numbers."""
    if samples.size == 0:
        raise RecordingError("holds no samples; record it again", name)
    wrong = ~np.isfinite(samples)
    if wrong.any():
        channel, sample = np.unravel_index(int(np.argmax(wrong)), wrong.shape)
        raise RecordingError(
            f"sample {sample + 1} of channel {channel + 1} is no finite number; record it again, "
            "or leave that channel out",
            name,
        )
