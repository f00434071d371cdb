"""What may be wrong with a recording or an impulse response."""

from __future__ import annotations

import math

import numpy as np

from acoustics.measurement.clipping import NEARLY, runs_at
from acoustics.measurement.findings import Finding
from acoustics.measurement.gate import Gate
from acoustics.measurement.impulse import Impulse
from acoustics.measurement.reflections import Visible

SEVERAL = 3
"""Times at the extreme that are no chance."""

EXACT = 1e-9
"""Relative: values this close are the same."""

ABRUPT = 8.0
"""Steps of the converter by which a clipped wave leaves its extreme at once."""

QUIET = 40.0
"""dB of peak over noise below which an impulse response is called noisy (common practice)."""

DECAYED = 40.0
"""dB below the peak to which a response should have decayed at its end (common practice)."""

LAST = 0.1
"""Of the response: its end."""


def too_loud(
    samples: np.ndarray, sampling_rate: float, full_scale: float | None = None
) -> Finding | None:
    """Whether a recording stays at its extreme for several samples in a row.

    At full scale this is certain. Below, where something before the converter cut it off, or where
    full scale is not known, a wave leaves its extreme by a jump; a slow one that the converter
    only rounds leaves it by its smallest steps.

    Args:
        samples: shape (n,).
        sampling_rate: Hz.
        full_scale: largest value that the converter has; None if that is not known.
    """
    most = float(np.abs(samples).max(initial=0.0))
    if most == 0:
        return None
    at_full = full_scale is not None and most >= NEARLY * full_scale
    runs = runs_at(samples, most * (NEARLY if at_full else 1 - EXACT))
    if not at_full:
        apart = np.diff(np.unique(samples))
        smallest = float(apart[apart > most * EXACT].min(initial=most))
        steps = np.concatenate([[0.0], np.abs(np.diff(samples)), [0.0]])
        runs = tuple(
            (first, length)
            for first, length in runs
            if max(steps[first], steps[first + length]) > ABRUPT * smallest
        )
    if not runs:
        return None
    longest = max(length for _, length in runs)
    times = "once" if len(runs) == 1 else f"{len(runs)} times"
    return Finding(
        what=f"The recording stays at its extreme {times}, for up to {longest} samples: clipped",
        where=f"first at {runs[0][0] / sampling_rate:.3f} s",
        certain=at_full or len(runs) >= SEVERAL,
        advice="Lower the level or the input gain by 6 dB and measure again.",
    )


def noisy(impulse: Impulse, noise: float, least: float = QUIET) -> Finding | None:
    """Whether the peak of an impulse stands too little above its noise.

    Args:
        impulse: the response.
        noise: rms of its samples, as `arrival.noise_before` tells it.
        least: dB that are wanted.
    """
    peak = float(np.abs(impulse.samples).max())
    ratio = 20 * math.log10(peak / noise) if noise > 0 else math.inf
    if ratio >= least:
        return None
    missing = least - ratio
    # Twice as many sweeps, or a sweep twice as long, gain 3 dB.
    doublings = math.ceil(missing / (10 * math.log10(2)))
    return Finding(
        what=(
            f"The peak of the impulse stands {ratio:.0f} dB above its noise, {least:.0f} are wanted"
        ),
        where="",
        certain=True,
        advice=(
            f"Measure {missing:.0f} dB louder, or closer, or average {2**doublings} sweeps, or "
            "take a sweep that many times as long."
        ),
    )


def too_short(impulse: Impulse, arrival: float, lowest: float) -> Finding | None:
    """Whether a response ends before a period of the lowest frequency, or before it has decayed.

    Args:
        impulse: not gated.
        arrival: of the sound, s, on its time axis.
        lowest: lowest frequency that is wanted, Hz.
    """
    length = impulse.stop - arrival
    if length < 1 / lowest:
        begun = "no sound" if length <= 0 else f"{1e3 * length:.1f} ms"
        return Finding(
            what=(
                f"The response holds {begun} after the arrival, a period of {lowest:g} Hz takes "
                f"{1e3 / lowest:.1f} ms"
            ),
            where=f"ends at {impulse.stop:.3f} s",
            certain=True,
            advice="Record on for longer after the sweep, or ask for less at the low end.",
        )
    after = np.abs(impulse.part(arrival, impulse.stop).samples)
    end = float(after[-max(1, round(LAST * after.size)) :].max())
    fallen = 20 * math.log10(after.max() / end) if end > 0 else math.inf
    if fallen >= DECAYED:
        return None
    return Finding(
        what=(
            f"At its end the response has fallen by {fallen:.0f} dB only, so it is cut off or "
            "drowned in noise"
        ),
        where=f"ends at {impulse.stop:.3f} s",
        certain=False,
        advice="Record on for longer after the sweep, or measure louder.",
    )


def reflection_in_gate(seen: Visible, gate: Gate, surface: str | None = None) -> Finding | None:
    """Whether a reflection that is seen in the impulse comes before the gate closes.

    Args:
        seen: by `reflections.visible_reflection`.
        gate: on the same time axis.
        surface: whose it is by geometry (`reflections.explained`); None if no surface explains it.
    """
    if seen.time >= gate.stop:
        return None
    late = f"{1e3 * (seen.time - gate.arrival):.1f} ms"
    if surface is None:
        return Finding(
            what=(
                f"Something like a reflection comes {late} after the arrival, {-seen.level:.0f} dB "
                "below it, inside the gate; no surface that was named explains it"
            ),
            where=f"at {seen.time:.4f} s",
            certain=False,
            advice="Look for a stand, a table or a wall that was not named, or shorten the gate.",
        )
    return Finding(
        what=(
            f"The reflection of the {surface} comes {late} after the arrival, {-seen.level:.0f} dB "
            "below it, inside the gate"
        ),
        where=f"at {seen.time:.4f} s",
        certain=True,
        advice=f"Close the gate by {late} after the arrival.",
    )


def rates_differ(first: float, second: float, what: tuple[str, str]) -> Finding | None:
    """Whether two sampling rates (Hz) are not the same.

    Args:
        first: Hz.
        second: Hz.
        what: what each is of: ("the recording", "the sweep"), say.
    """
    if math.isclose(first, second, rel_tol=1e-9):
        return None
    return Finding(
        what=(
            f"{what[0][:1].upper()}{what[0][1:]} has {first:g} samples a second and {what[1]} "
            f"{second:g}"
        ),
        where="",
        certain=True,
        advice="Set the interface to one rate and measure again; do not convert afterwards.",
    )
