"""Tables of drivers' measured responses: files that a case names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, get_args

from acoustics.case.design.files_model import OtherFiles
from acoustics.case.design.measured_model import LevelUnit
from acoustics.case.files.curve_files import Tables, tables_of
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.curves import Curve, CurveForm, curve_of

KEY = ("measured", "response")

REFERENCES: dict[str, float] = {"dB re 20 uPa": REFERENCE_PRESSURE, "dB re 1 Pa": 1.0, "Pa": 1.0}
"""Pa: what the levels of a table are relative to, by their unit."""


def response_tables(data: Mapping[str, Any], others: OtherFiles) -> Tables:
    """The pressures (Pa) that drivers' tables hold, in the units that the case states."""
    units = {file.driver: _unit(data, file.driver) for file in others.responses}
    return tables_of(
        others.responses, lambda file: _curve(file.text, file.path, units[file.driver])
    )


@lru_cache(maxsize=24)
def _curve(text: str, source: str, unit: str) -> Curve:
    # Every point of a sweep reads the same tables.
    form = CurveForm() if unit == "Pa" else CurveForm(magnitude="dB")
    curve = curve_of(text, source, "level", form, CurveForm(magnitude="linear", phase="deg"))
    return replace(curve, values=curve.values * REFERENCES[unit])


def _unit(data: Mapping[str, Any], name: str) -> str:
    """What is wrong with the key is told elsewhere."""
    unit = data["drivers"][name]["measured"].get("unit")
    return unit if unit in get_args(LevelUnit) else "dB re 20 uPa"
