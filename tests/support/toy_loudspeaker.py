"""A loudspeaker of closed forms on a bench: what diagnoses are tried on without a solver.

Its state is `Built.levels`, six numbers that are 0 for the design: dB of woofer and tweeter, log of
the crossover's frequency, of the resonance's and of its Q, and 1 for a tweeter the wrong way round.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)
from acoustics.studies.verification.strays.strays import Stray
from support.cases import make_case

WOOFER, TWEETER, CROSSOVER, RESONANCE, QUALITY, TURNED = range(6)
DESIGN = Built(make_case(), levels=(0.0,) * 6)

HEARD = 200.0 * 2 ** (np.arange(0, 39) / 6)
SEEN = 20.0 * 2 ** (np.arange(0, 40) / 8)
LATE = (0.0, 60e-6)
"""s by which the tweeter comes later than the woofer at either place of the microphone"""

NOISE = 0.1
SHARE = 0.005


def sound(built: Built, place: int) -> np.ndarray:
    """What the microphone hears: two Butterworth filters of second order, tweeter reversed."""
    level, s = built.levels, 1j * HEARD / (2000.0 * math.exp(built.levels[CROSSOVER]))
    below = 10 ** (level[WOOFER] / 20) / (1 + math.sqrt(2) * s + s**2)
    above = -(10 ** (level[TWEETER] / 20)) * s**2 / (1 + math.sqrt(2) * s + s**2)
    above = above * (1 - 2 * level[TURNED])
    late = LATE[place] * (1 + 0.3 * built.microphone[1])
    far = np.exp(-2j * np.pi * HEARD * 1e-5 * built.microphone[2])
    answer: np.ndarray = (
        10 ** (built.gain / 20) * far * (below + above * np.exp(-2j * np.pi * HEARD * late))
    )
    return answer


def impedance(built: Built) -> np.ndarray:
    """Of a resistance and one resonance."""
    s = 1j * SEEN / (60.0 * math.exp(built.levels[RESONANCE]))
    q = 4.0 * math.exp(built.levels[QUALITY])
    answer: np.ndarray = 6.0 + 40.0 * (s / q) / (1 + s / q + s**2)
    return answer


@dataclass(frozen=True, eq=False)
class ToyBench:
    readings: Readings
    measured: Answers
    design: Built = DESIGN

    @property
    def frequencies(self) -> Answers:
        return Answers((HEARD,) * len(self.readings.responses), (SEEN,))

    def answers(self, built: Built) -> Answers:
        return toy_answers(built)


def toy_answers(built: Built) -> Answers:
    return Answers((sound(built, 0), sound(built, 1)), (impedance(built),))


def response(number: int, heard: np.ndarray, calibrated: bool = True) -> ResponseReading:
    return ResponseReading(
        f"place {number}",
        "",
        (0, 1),
        (),
        (0.0, 0.1 * number, 1.0),
        HEARD,
        heard,
        True,
        calibrated,
        "one",
        (200.0, 20e3),
        NOISE,
    )


def toy_bench(
    built: Built,
    random: np.random.Generator | None,
    delay: float = 0.0,
    calibrated: bool = True,
    off: np.ndarray | None = None,
) -> ToyBench:
    """Readings of a build: with noise and all that a diagnosis allows for, or exact for None."""
    true = toy_answers(built)
    heard = [a * np.exp(-2j * np.pi * HEARD * delay) for a in true.responses]
    seen = true.impedances[0]
    if off is not None:
        heard = [a * off for a in heard]
    if random is not None:
        heard = [
            a * np.exp(_drawn(random, HEARD, NOISE * math.log(10) / 20, 0.3 * math.log(10) / 20))
            for a in heard
        ]
        seen = seen * np.exp(_drawn(random, SEEN, SHARE, 0.01))
    readings = Readings(
        tuple(response(n, a, calibrated) for n, a in enumerate(heard)),
        (ImpedanceReading("terminals", "", None, SEEN, seen, True, (20.0, 600.0), SHARE),),
        0.005,
        0.5,
    )
    return ToyBench(readings, Answers(tuple(heard), (seen,)))


def _drawn(
    random: np.random.Generator, frequency: np.ndarray, noise: float, model: float
) -> np.ndarray:
    from acoustics.studies.verification.misfit.misfit import matern

    lower = np.linalg.cholesky(matern(np.log2(frequency), 0.5) + 1e-9 * np.eye(frequency.size))
    two = random.standard_normal((4, frequency.size))
    return noise * (two[0] + 1j * two[1]) + model * (lower @ (two[2] + 1j * two[3]))


def state(number: int) -> Callable[[Built, float], Built]:
    def changed(built: Built, by: float) -> Built:
        levels = list(built.levels)
        levels[number] += by
        return replace(built, levels=tuple(levels))

    return changed


def higher(built: Built, by: float) -> Built:
    x, y, z = built.microphone
    return replace(built, microphone=(x, y + by, z))


def farther(built: Built, by: float) -> Built:
    x, y, z = built.microphone
    return replace(built, microphone=(x, y, z + by))


def louder(built: Built, by: float) -> Built:
    return replace(built, gain=built.gain + by)


def stray(name: str, spread: float, changed: Callable[[Built, float], Built]) -> Stray:
    return Stray(name, spread, lambda built, share: changed(built, share * spread))


STRAYS = (
    stray("microphone's height", 1.0, higher),
    stray("microphone's distance", 1.0, farther),
    stray("level", 0.25, louder),
    stray("resonance", 0.05, state(RESONANCE)),
    stray("Q", 0.05, state(QUALITY)),
    stray("tweeter's level", 0.3, state(TWEETER)),
)


def fault(
    kind: str,
    subject: str,
    changed: Callable[[Built, float], Built],
    sizes: Sizes | None = None,
    odds: float = 1.0,
) -> Fault:
    return Fault(kind, subject, changed, lambda size: f"{subject} {size:.3g}", "Look.", sizes, odds)


def _by_log(number: int) -> Callable[[Built, float], Built]:
    return lambda built, size: state(number)(built, math.log(size))


FAULTS = (
    fault("level", "woofer", state(WOOFER), Sizes(-12.0, 12.0, 0.0, 1.0, False, "dB")),
    fault("level", "tweeter", state(TWEETER), Sizes(-12.0, 12.0, 0.0, 1.0, False, "dB")),
    fault("part", "crossover", _by_log(CROSSOVER), Sizes(0.25, 4.0, 1.0, 0.2, True, "")),
    fault("box", "resonance", _by_log(RESONANCE), Sizes(0.5, 2.0, 1.0, 0.15, True, "")),
    fault("box", "losses", _by_log(QUALITY), Sizes(0.2, 3.0, 1.0, 0.2, True, "")),
    fault("polarity", "tweeter", lambda built, _: state(TURNED)(built, 1.0)),
    fault("polarity", "all", lambda built, _: replace(built, gain=built.gain)),
)[:6]
