"""Where a recording was too loud for the recorder."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from acoustics.measurement.recording import Recording, RecordingError

NEARLY = 1 - 2.0**-14
"""of full scale: within two steps of 16 bits, the coarsest format"""

SHORTEST = 3
"""samples in a row; a healthy peak may touch full scale for one or two (common practice)"""


class Clip(NamedTuple):
    """A run at full scale: its channel and first sample, counted from 0, and its length."""

    channel: int
    first: int
    length: int


def clipped(
    recording: Recording, *, full_scale: float | None = None, shortest: int = SHORTEST
) -> tuple[Clip, ...]:
    """Runs of samples at full scale, all on one side.

    Args:
        recording: the recording.
        full_scale: where the recorder clips, if the recording does not say.
        shortest: samples in a row that count as clipped.

    Raises:
        RecordingError: full scale is known neither from the recording nor stated.
    """
    limit = recording.full_scale if full_scale is None else full_scale
    if limit is None:
        raise RecordingError(
            "does not say at which value the recorder clips, so clipping cannot be found; "
            "state full_scale, or record to a WAV file of whole numbers",
            recording.name,
        )
    found = []
    for channel, samples in enumerate(recording.samples):
        for first, length in runs_at(samples, limit * NEARLY, shortest):
            found.append(Clip(channel, first, length))
    return tuple(found)


def runs_at(
    samples: np.ndarray, limit: float, shortest: int = SHORTEST
) -> tuple[tuple[int, int], ...]:
    """First sample and length of runs beyond a limit, all on one side.

    Args:
        samples: shape (n,).
        limit: of their size.
        shortest: samples in a row that count.
    """
    side = np.where(abs(samples) >= limit, np.sign(samples), 0)
    turns = np.flatnonzero(np.diff(side, prepend=0, append=0))
    return tuple(
        (int(first), int(end - first))
        for first, end in pairwise(turns)
        if side[first] != 0 and end - first >= shortest
    )
