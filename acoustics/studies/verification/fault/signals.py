"""Faults of one small-signal parameter of a driver, which differ in the parameter alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from acoustics.case.design.model import Driver
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import scaled, with_driver
from acoustics.studies.verification.fault.fault import Fault, Sizes


@dataclass(frozen=True)
class Parameter:
    """A parameter of `SmallSignal` that may be off by a factor.

    `factors` are how small and how large it may be relative to the design, `least` as in `Sizes`;
    `words` makes its fault from driver, size and design's value, `remedy` from the driver's name.
    """

    name: str
    kind: str
    unit: str
    factors: tuple[float, float]
    least: float
    words: Callable[[str, float, float], str]
    remedy: Callable[[str], str]
    odds: float = 1.0


def parameter_faults(design: Built, parameter: Parameter) -> Iterator[Fault]:
    """One for every driver that has small-signal parameters."""
    for number, driver in enumerate(design.case.drivers):
        if driver.small_signal is None:
            continue
        value = float(getattr(driver.small_signal, parameter.name))
        low, high = parameter.factors
        yield Fault(
            parameter.kind,
            driver.name,
            partial(_changed, number, parameter.name, value),
            partial(_words, parameter, driver.name, value),
            parameter.remedy(driver.name),
            Sizes(low * value, high * value, value, parameter.least, True, parameter.unit),
            parameter.odds,
        )


def _changed(number: int, name: str, design: float, built: Built, size: float) -> Built:
    def other(driver: Driver) -> Driver:
        assert driver.small_signal is not None
        now = float(getattr(driver.small_signal, name))
        changed: dict[str, Any] = {name: scaled(now, design, size)}
        return replace(driver, small_signal=replace(driver.small_signal, **changed))

    return with_driver(built, number, other)


def _words(parameter: Parameter, driver: str, design: float, size: float) -> str:
    return parameter.words(driver, size, design)
