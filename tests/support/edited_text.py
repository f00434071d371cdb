"""The text of a case with other values in it, as TOML gives it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

Data = dict[str, Any]
"""A case file as TOML gives it."""

Edit = Callable[[Data], None]

NORMAL_95 = 1.959963984540054
"""Standard deviations that hold 95 % of a normal spread."""

PART_SPREAD = 0.02
"""Standard deviation of every part's value, as a share."""

DRIVER_SPREADS = {"compliance": 0.15, "moving_mass": 0.05, "force_factor": 0.05}
"""Shares within 95 %, of the harder set alone: as a case's usual tolerance has them."""

PART_KEYS = {"capacitor": ("uF", 1e6), "inductor": ("mH", 1e3), "resistor": ("ohm", 1.0)}


def times(data: Data, key: str, factor: float) -> None:
    """Multiply what stands at a key, text with a unit or a bare number."""
    here: Any = data
    *way, last = key.split(".")
    for part in way:
        here = here[int(part) - 1] if isinstance(here, list) else here[part]
    value = here[last]
    if isinstance(value, str):
        number, unit = value.split(" ", 1)
        here[last] = f"{float(number) * factor!r} {unit}"
    else:
        here[last] = value * factor


def parameter_times(data: Data, driver: str, parameter: str, factor: float) -> None:
    """Multiply one of a driver's parameters, the others as they are.

    Resonance 1/(2π√(MC)) and Q √(M/C)/R follow; compliance and resistance are no keys of the text.
    """
    at = f"drivers.{driver}.small_signal"
    if parameter == "compliance":
        times(data, f"{at}.resonance", factor**-0.5)
        times(data, f"{at}.mechanical_q", factor**-0.5)
        return
    times(data, f"{at}.{parameter}", factor)
    if parameter == "moving_mass":
        times(data, f"{at}.resonance", factor**-0.5)
        times(data, f"{at}.mechanical_q", factor**0.5)


def part_keys(data: Data) -> list[str]:
    """Keys of all values of the parts of a passive crossover, in the order of the text."""
    return [
        f"crossover.{driver}.parts.{n}.{key}"
        for driver, branch in data.get("crossover", {}).items()
        for n, part in enumerate(branch.get("parts", ()), start=1)
        for key in PART_KEYS
        if key in part
    ]


def stray_parts(data: Data, rng: np.random.Generator, fixed: Sequence[str]) -> None:
    """Every part a little off, but for those whose keys are fixed; they draw all the same."""
    for key in part_keys(data):
        factor = 1 + PART_SPREAD * float(rng.standard_normal())
        if key not in fixed:
            times(data, key, factor)


def stray_drivers(data: Data, rng: np.random.Generator) -> None:
    """Every driver a little off, as drivers of one kind are."""
    for name, driver in data["drivers"].items():
        for parameter, within in DRIVER_SPREADS.items():
            factor = 1 + within / NORMAL_95 * float(rng.standard_normal())
            if "small_signal" in driver:
                parameter_times(data, name, parameter, factor)


def copied(data: Any) -> Any:
    """The same in tables and lists of its own."""
    if isinstance(data, dict):
        return {key: copied(value) for key, value in data.items()}
    return [copied(value) for value in data] if isinstance(data, list) else data
