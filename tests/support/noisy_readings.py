"""What a workshop would write down of a build: with noise, a gate, and errors nobody knows of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)
from support.build_plans import LEVEL, MICROPHONE, Plan

GATED = (250.0, 20_000.0)
"""Hz: what a window against the first reflection of a small room leaves."""

RESPONSE_NOISE, IMPEDANCE_NOISE = 0.3, 0.01
"""dB and a share, standard deviations"""

DB = np.log(10) / 20
"""nepers"""

Places = Sequence[tuple[float, float, float]]


@dataclass(frozen=True)
class Heard:
    """Of each driver at each place, Pa/V, (driver, place, frequency); impedances by driver."""

    pressure: np.ndarray
    impedances: dict[int | None, np.ndarray]


def is_gated(frequency: np.ndarray) -> np.ndarray:
    """Which frequencies a response has."""
    inside: np.ndarray = (frequency >= GATED[0]) & (frequency <= GATED[1])
    return inside


def measured(
    plan: Plan, heard: Heard, names: Sequence[str], stated: Places, frequency: np.ndarray
) -> Readings:
    """Readings with noise, a gate, an unknown delay and a level that is a little off."""
    rng = np.random.default_rng([plan.seed, 3])
    all_of_them = tuple(range(len(names)))
    asked: list[tuple[str, tuple[int, ...], int]] = [("axis", all_of_them, 0)]
    if plan.each_alone:
        asked += [(f"{name} alone", (n,), 0) for n, name in enumerate(names)]
    if plan.off_axis:
        asked.append(("30 degrees right", all_of_them, 1))
    gated = is_gated(frequency)
    f = frequency[gated]
    responses = []
    for name, playing, place in asked:
        pressure = heard.pressure[list(playing), place].sum(axis=0)[gated]
        pressure = pressure * 10 ** (plan.drawn.gain / 20)
        if plan.heard is not None:
            pressure = pressure * plan.heard(f)
        noise = RESPONSE_NOISE * DB * (_normal(rng, f.size) + 1j * _normal(rng, f.size))
        pressure = pressure * np.exp(noise - 2j * np.pi * f * plan.drawn.delays[place])
        responses.append(
            ResponseReading(
                name=name,
                source="",
                playing=playing,
                reversed=(),
                place=stated[place],
                frequency=f,
                pressure=pressure if plan.with_phase else np.abs(pressure) + 0j,
                has_phase=plan.with_phase,
                calibrated=True,
                clock="" if len(asked) == 1 else f"place {place + 1}",
                band=GATED,
                uncertainty=RESPONSE_NOISE,
            )
        )
    impedances = []
    for driver, impedance in heard.impedances.items():
        size = frequency.size
        noise = IMPEDANCE_NOISE * (_normal(rng, size) + 1j * _normal(rng, size))
        impedances.append(
            ImpedanceReading(
                name="impedance" if driver is None else f"impedance of {names[driver]}",
                source="",
                driver=driver,
                frequency=frequency,
                impedance=impedance * np.exp(noise),
                has_phase=True,
                band=(float(frequency[0]), float(frequency[-1])),
                uncertainty=IMPEDANCE_NOISE,
            )
        )
    return Readings(tuple(responses), tuple(impedances), MICROPHONE, LEVEL)


def _normal(rng: np.random.Generator, size: int) -> np.ndarray:
    return rng.standard_normal(size)
