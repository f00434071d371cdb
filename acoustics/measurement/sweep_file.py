"""The test sweep as a file to be played: both channels alike, silence around it."""

from __future__ import annotations

import numpy as np

from acoustics.measurement.sweep import Sweep
from acoustics.measurement.wav_bytes import wav_bytes

LEAD, TAIL = 0.5, 1.0
"""s of silence before the sweep, which tells the noise, and after it, until the room is silent."""


def sweep_wav(sweep: Sweep, level: float) -> bytes:
    """A WAV file of 24 bits: channel 1 for the amplifier, channel 2 for the loopback.

    Args:
        sweep: to be played.
        level: of its peak, dB re full scale, 0 or less.
    """
    lead, tail = (np.zeros(round(length * sweep.sampling_rate)) for length in (LEAD, TAIL))
    sound = np.concatenate([lead, 10 ** (level / 20) * sweep.samples, tail])
    return wav_bytes(np.array([sound, sound]), sweep.sampling_rate)
