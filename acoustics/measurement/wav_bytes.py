"""Samples as a WAV file."""

from __future__ import annotations

import io
import wave

import numpy as np

BYTES = 3
"""of a sample: 24 bits"""


def wav_bytes(samples: np.ndarray, sampling_rate: float) -> bytes:
    """A WAV file of 24 bits.

    Args:
        samples: full scale being 1, shape (channel, n); what is beyond is cut off.
        sampling_rate: Hz, a whole number.
    """
    most = 2 ** (8 * BYTES - 1)
    steps = np.clip(np.round(most * np.atleast_2d(samples)), -most, most - 1).astype("<i4")
    # Little-endian: the fourth byte of each repeats the sign.
    low = np.ascontiguousarray(steps.T).view(np.uint8).reshape(-1, 4)[:, :BYTES]
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(steps.shape[0])
        file.setsampwidth(BYTES)
        file.setframerate(round(sampling_rate))
        file.writeframes(low.tobytes())
    return buffer.getvalue()
