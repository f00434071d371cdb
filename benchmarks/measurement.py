"""Measurements: how long they take, over one plain transform of the same samples.

python benchmarks/measurement.py            a few seconds
python benchmarks/measurement.py --smoke    each once: checks that it runs
"""

from __future__ import annotations

import numpy as np
from common import best_time, is_smoke, print_table

from acoustics.measurement import (
    arrival,
    deconvolved,
    gated,
    harmonics,
    linear_part,
    make_sweep,
    spliced,
    suggested_gate,
)

RATE, WHOLE = 96_000.0, 10.0
"""Hz and s, of the recording."""

FLIGHT = 3e-3
"""s"""


def recorded(seconds: float) -> tuple[object, np.ndarray, np.ndarray]:
    """A sweep with a second of silence behind it, what was sent and what was heard."""
    sweep = make_sweep(10.0, 40_000.0, seconds - 1.05, RATE)
    size = round(seconds * RATE)
    sent = np.zeros(size)
    sent[: sweep.samples.size] = sweep.samples
    late = round(FLIGHT * RATE)
    heard = np.concatenate([np.zeros(late), sent[: size - late]])
    heard[late + 480 :] += 0.3 * sent[: size - late - 480]
    return sweep, sent, heard + 1e-4 * np.random.default_rng(1).standard_normal(size)


def main() -> None:
    smoke = is_smoke(__doc__, "each once")
    repeats = 1 if smoke else 5
    seconds = 3.0 if smoke else WHOLE
    sweep, sent, heard = recorded(seconds)
    plain = best_time(lambda: np.fft.rfft(heard), repeats)
    impulse = linear_part(deconvolved(heard, sweep, sent), sweep)
    early = impulse.part(-0.02, 0.3)
    gate = suggested_gate(FLIGHT, [1.2], 343.0)
    direct = early.part(-0.02, gate.stop)
    frequency = np.geomspace(20.0, 20_000.0, 480)
    far = gated(early, gate, frequency)
    kilohertz = np.geomspace(60.0, 8000.0, 48)
    work = {
        "deconvolved with its loopback": lambda: deconvolved(heard, sweep, sent),
        "deconvolved with the sweep as made": lambda: deconvolved(heard, sweep),
        "the linear part of it": lambda: linear_part(deconvolved(heard, sweep, sent), sweep),
        "harmonics up to the fifth, 48 frequencies": lambda: harmonics(heard, sweep, kilohertz),
        "gated, 480 frequencies": lambda: gated(early, gate, frequency),
        "arrival": lambda: arrival(direct, (200.0, 18_000.0)),
        "spliced": lambda: spliced(frequency, far, far, (400.0, 900.0)),
    }
    print(f"{seconds:g} s at {RATE / 1000:g} kHz; a plain transform takes {1e3 * plain:.1f} ms")
    row = print_table("what", "time", "plain transforms")
    for name, each in work.items():
        taken = best_time(each, repeats)
        row(name, f"{1e3 * taken:.1f} ms", f"{taken / plain:.2f}")


if __name__ == "__main__":
    main()
