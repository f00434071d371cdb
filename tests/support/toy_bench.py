"""A bench in closed form: ideal drivers with ideal filters in free space, heard anywhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)
from support.cases import make_case

SPEED = 343.0
CORNER = 2500.0
AXIS = (0.0, 0.10, 2.0)
GRID = 1000.0 * 2.0 ** (np.arange(-36, 53) / 12)  # 125 Hz to 20.2 kHz


def linkwitz_riley(frequency: np.ndarray, corner: float = CORNER) -> tuple[np.ndarray, np.ndarray]:
    """Low- and high-pass of order 4: squares of Butterworth's of order 2 (Linkwitz 1976)."""
    s = 1j * frequency / corner
    below = 1 / (s**2 + np.sqrt(2) * s + 1)
    return below**2, (s**2 * below) ** 2


@dataclass(frozen=True, eq=False)
class ToyBench:
    """Woofer and tweeter of `make_case` as points of 1 Pa at 1 m each, a hand's width apart."""

    readings: Readings
    measured: Answers
    frequencies: Answers
    design: Built

    def answers(self, built: Built) -> Answers:
        """Points with Linkwitz–Riley filters; impedances of 6 ohm that follow the levels."""
        return Answers(
            tuple(
                heard(built, reading, frequency)
                for reading, frequency in zip(
                    self.readings.responses, self.frequencies.responses, strict=True
                )
            ),
            tuple(
                6 * (1 + 1j * each / 2e4) * 10 ** (sum(built.levels) / 20)
                for each in self.frequencies.impedances
            ),
        )


def heard(built: Built, reading: ResponseReading, frequency: np.ndarray) -> np.ndarray:
    """What one reading would be, (frequency,)."""
    total = np.zeros(frequency.size, dtype=complex)
    filters = linkwitz_riley(frequency)
    for n in reading.playing:
        driver = built.case.drivers[n]
        place = np.array(reading.place) + built.microphone
        way = float(np.linalg.norm(place - (*driver.position, 0.0)))
        late = way / SPEED + (built.delays[n] if built.delays else 0.0)
        size = 10 ** ((built.levels[n] if built.levels else 0.0) / 20) / way
        size *= -1 if driver.inverted != (n in reading.reversed) else 1
        total += size * filters[n] * np.exp(-2j * np.pi * frequency * late)
    return total * 10 ** (built.gain / 20)


def response(
    name: str,
    playing: Sequence[int] = (0, 1),
    flipped: Sequence[int] = (),
    place: tuple[float, float, float] = AXIS,
    **changes: object,
) -> ResponseReading:
    """A reading before it is measured: its frequencies and pressures come with `bench_with`."""
    values: dict[str, object] = {
        "has_phase": True,
        "calibrated": True,
        "clock": "one",
        "band": (float(GRID[0]), float(GRID[-1])),
        "uncertainty": 0.1,
        **changes,
    }
    empty = np.zeros(0)
    return ResponseReading(
        name, f"{name}.txt", tuple(playing), tuple(flipped), place, empty, empty, **values
    )  # type: ignore[arg-type]


def bench_with(
    readings: Sequence[ResponseReading],
    built: Built | None = None,
    *,
    delay: float = 0.0,
    seed: int | None = None,
    microphone: float = 0.01,
    level: float = 1.0,
    impedance: bool = False,
    case: Case | None = None,
) -> ToyBench:
    """A bench on which `built` (the design by default) was measured, `delay` (s) later."""
    design = Built(case or make_case())
    empty = ImpedanceReading("impedance", "z.txt", None, GRID, GRID, True, (100.0, 2e4), 0.01)
    impedances = (empty,) if impedance else ()
    frequencies = Answers(
        tuple(GRID[(r.band[0] <= GRID) & (r.band[1] >= GRID)] for r in readings),
        tuple(GRID for _ in impedances),
    )
    every = Readings(tuple(readings), impedances, microphone, level)
    bench = ToyBench(every, frequencies, frequencies, design)
    truth = bench.answers(built or design)
    rng = np.random.default_rng(seed) if seed is not None else None

    def noisy(value: np.ndarray, deviation: float) -> np.ndarray:
        if rng is None:
            return value
        draw = rng.standard_normal((2, value.size)) * deviation
        return value * np.exp(draw[0] + 1j * draw[1])

    responses = []
    for reading, value, f in zip(readings, truth.responses, frequencies.responses, strict=True):
        value = noisy(value, reading.uncertainty * np.log(10) / 20)
        value = value * np.exp(-2j * np.pi * f * delay)
        responses.append(value if reading.has_phase else np.abs(value))
    measured = Answers(tuple(responses), tuple(noisy(z, 0.01) for z in truth.impedances))
    filled = tuple(
        replace(reading, frequency=f, pressure=p)
        for reading, f, p in zip(readings, frequencies.responses, responses, strict=True)
    )
    return replace(bench, readings=replace(every, responses=filled), measured=measured)


@dataclass(frozen=True)
class ToyStray:
    """Something of a healthy build that strays; `changed` by so many standard deviations."""

    name: str
    changed: Callable[[Built, float], Built]


def _raised(driver: int, what: str, spread: float) -> Callable[[Built, float], Built]:
    def change(built: Built, size: float) -> Built:
        values = list(getattr(built, what) or (0.0, 0.0))
        values[driver] += spread * size
        return replace(built, **{what: tuple(values)})

    return change


STRAYS = (
    ToyStray("level of the woofer", _raised(0, "levels", 0.3)),
    ToyStray("level of the tweeter", _raised(1, "levels", 0.3)),
    ToyStray("delay of the tweeter", _raised(1, "delays", 2e-6)),
)
"""Levels (dB) and the tweeter's depth (s)."""
