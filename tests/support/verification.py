"""Readings made by hand, for tests in which no value of theirs counts."""

from __future__ import annotations

from typing import Any

import numpy as np

from acoustics.studies.verification.readings import Readings, ResponseReading


def one_response(**changes: Any) -> ResponseReading:
    """Both drivers of a two-way at 1 m before the tweeter; any field can be changed by keyword."""
    frequency = np.array([100.0, 1000.0, 10_000.0])
    values: dict[str, Any] = {
        "name": "both",
        "source": "both.frd",
        "playing": (0, 1),
        "reversed": (),
        "place": (0.0, 0.125, 1.0),
        "frequency": frequency,
        "pressure": np.ones(3, dtype=complex),
        "has_phase": True,
        "calibrated": True,
        "clock": "",
        "band": (100.0, 10_000.0),
        "uncertainty": 0.2,
    }
    return ResponseReading(**{**values, **changes})


def some_readings(*responses: ResponseReading, **changes: Any) -> Readings:
    """Some responses, or that one; microphone within 10 mm, levels within 0.5 dB."""
    values: dict[str, Any] = {"impedances": (), "microphone": 0.01, "level": 0.5}
    return Readings(responses or (one_response(),), **{**values, **changes})
