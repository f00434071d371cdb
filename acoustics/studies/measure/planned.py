"""The test sweep for a driver: as the case states it, and not below what the driver stands."""

from __future__ import annotations

from dataclasses import dataclass

from acoustics.case.design.measurement_model import PlayedSweep
from acoustics.case.design.model import Case, Driver
from acoustics.case.text.phrases import choice
from acoustics.conventions import RoundoverError
from acoustics.measurement.sweep import Sweep, make_sweep

SAMPLING_RATE = 48_000.0
"""Hz, where the case states none."""

DELICATE_FROM = 200.0
"""Hz: drivers whose resonance lies higher are hurt by sweeps from below it (common practice)."""

SMALL, SMALL_FROM = 0.045, 1000.0
"""m and Hz: a piston up to that diameter of unknown resonance is played from there on only (common
practice, no source)."""


@dataclass(frozen=True)
class Planned:
    """A test sweep for one driver.

    The `sweep`, as it is `stated` in a case, its `driver`, and `why` it begins where it does, a
    sentence; empty where it is as the case has it.
    """

    sweep: Sweep
    stated: PlayedSweep
    driver: str
    why: str


def planned_sweep(case: Case, driver: str | None, lowest: float | None) -> Planned:
    """The sweep for one driver.

    Args:
        case: the design; its table [measurement] need not be there yet.
        driver: its name; may be left out where there is only one.
        lowest: Hz, where it begins whatever the driver is; None to keep it from harm.

    Raises:
        RoundoverError: no such driver, or a sweep that cannot be made.
    """
    names = [each.name for each in case.drivers]
    if driver is None and len(names) > 1:
        raise RoundoverError(
            f"{case.path}: each driver has a sweep of its own; name one with --driver: "
            f"{choice(names, '')}"
        )
    driver = driver or names[0]
    if driver not in names:
        raise RoundoverError(f"{case.path}: there is no driver '{driver}'; {choice(names, driver)}")
    stated, rate = _stated(case, driver), SAMPLING_RATE
    if case.measurement is not None and case.measurement.sampling_rate is not None:
        rate = case.measurement.sampling_rate
    why = ""
    if lowest is not None:
        stated = PlayedSweep(lowest, stated.highest, stated.duration)
        why = "It begins where you asked for."
    else:
        least, why = _least(case.driver(driver))
        if stated.lowest >= least:
            why = ""
        else:
            stated = PlayedSweep(least, stated.highest, stated.duration)
    return Planned(
        make_sweep(stated.lowest, stated.highest, stated.duration, rate), stated, driver, why
    )


def _stated(case: Case, driver: str) -> PlayedSweep:
    if case.measurement is None:
        return PlayedSweep()
    tables = case.measurement.drivers
    return next((t.sweep for t in tables if t.driver == driver), case.measurement.sweep)


def _least(driver: Driver) -> tuple[float, str]:
    """Where a sweep may begin, Hz, and why."""
    if driver.small_signal is not None:
        resonance = driver.small_signal.resonance
        if resonance >= DELICATE_FROM:
            least = float(f"{resonance:.2g}")
            return least, (
                f"It begins at the driver's resonance, {least:g} Hz, because below it nothing but "
                "harm comes of a sweep."
            )
        return 0.0, ""
    if driver.piston_diameter <= SMALL:
        return SMALL_FROM, (
            f"It begins at {SMALL_FROM:g} Hz, because a small driver of unknown resonance may not "
            "stand more; state small_signal, or choose with --from."
        )
    return 0.0, ""
