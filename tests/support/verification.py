"""Readings made by hand, none of whose values counts, and faults of shipped designs."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

import acoustics as ac
from acoustics.case.design.model import Case
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.faults.all_faults import faults_of
from acoustics.studies.verification.readings.readings import Readings, ResponseReading
from support.cases import CASES


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


@cache
def design(name: str) -> Case:
    """A shipped design."""
    return ac.read_case(CASES / name)


@cache
def found(name: str) -> dict[str, Fault]:
    """The faults of a shipped design by their names."""
    return {fault.name: fault for fault in faults_of(Built(design(name)), some_readings())}


def changed(name: str, fault: str, size: float = 0.0) -> Case:
    """A shipped design with a fault of some size."""
    return found(name)[fault].changed(Built(design(name)), size).case


def read(folder: Path, text: str) -> Case:
    """The design of a text."""
    path = folder / "case.toml"
    path.write_text(text, encoding="utf-8")
    return ac.read_case(path)
