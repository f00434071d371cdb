"""Values in base units as they would be written in a case file."""

from __future__ import annotations

from acoustics.case.text.units import Dimension


def as_written(value: float, dimension: Dimension | None, whole: bool = False) -> float | int | str:
    """A value as text with its unit, or as a bare number, from which the same value is read."""
    return with_unit(value, dimension.base if dimension else "", whole)


def with_unit(value: float, unit: str, whole: bool = False) -> float | int | str:
    """As `as_written`; `unit` is empty for a bare number."""
    if unit:
        return f"{value!r} {unit}"
    return int(value) if whole and value == int(value) else value
