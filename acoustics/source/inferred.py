"""A driver's source from what one microphone heard of it, and from a model beyond that."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.curves import Curve, at_frequencies
from acoustics.curves.between import SLACK
from acoustics.curves.minimum_phase import Tails, fitted_tails, minimum_phase

FADE = 1 / 3
"""octave over which measurement and model are faded into each other"""

NEIGHBOURS = 0.5
"""octave to either side: what the field at a microphone is held against to tell a null"""

STRAY = 0.02
"""What reaches a microphone beside the model, over the field at neighbouring frequencies: -34 dB,
from places that are a little off, and frames, screws and grilles (common practice, no source)."""


class Inferred(NamedTuple):
    """The source of one driver, with what is known of it; all of shape (frequency,) but the last.

    source: m³/s per V at its terminals, complex, with the delay of its cone. measured: whether the
    frequency lies in the band of the table. extrapolated: whether it was carried on past that
    without a model. uncertainty: standard deviation of its level, dB, NaN where nothing was
    measured. mismatch: level of the measurement over the model's at the lowest and highest
    frequency of the table, dB, shape (2,), NaN where they are not joined.
    """

    source: np.ndarray
    measured: np.ndarray
    extrapolated: np.ndarray
    uncertainty: np.ndarray
    mismatch: np.ndarray


def inferred_source(
    heard: MeasuredResponse,
    frequency: np.ndarray,
    *,
    field: np.ndarray,
    off: np.ndarray,
    flight: float,
    model: np.ndarray,
    late: float,
    falls: bool = False,
) -> Inferred:
    """Divide what was measured by the field at the microphone, and join a model at the ends.

    With an unknown delay only the size is taken from the table. The phase is then the model's, and
    that of minimum phase for what differs in size; without a model that of minimum phase for jω
    times the source, which is what a driver's pressure follows, and of `late`.

    Args:
        heard: what was measured.
        frequency: Hz, ascending, shape (frequency,).
        field: at the microphone, Pa per m³/s of the driver and all it moves, (frequency,).
        off: by how much that may be off, likewise.
        flight: time from the driver's centre to the microphone, s.
        model: source by small-signal parameters or sensitivity, m³/s per V, with the delay of its
            depth, (frequency,).
        late: how much the driver's sound is delayed by its own depth, s; for unknown delays.
        falls: whether the model knows how the driver falls at low frequencies; likewise.
    """
    low, high = heard.band
    inside = (frequency >= low * (1 - SLACK)) & (frequency <= high * (1 + SLACK))
    pressure = np.full(frequency.shape, np.nan + 0j)
    pressure[inside] = pressure_heard(heard, frequency[inside], flight)
    source = pressure / field
    if heard.unknown_delay:
        source = np.abs(source) + 0j
    outside = ~inside
    mismatch = np.full(2, np.nan)
    if heard.modelled:
        meets = np.abs(model) + 0j if heard.unknown_delay else model
        source, mismatch = joined(frequency, source, inside, meets)
    elif outside.any():
        source[outside] = carried_on(frequency, source, inside, heard.source)
    if heard.unknown_delay:
        size = np.abs(source)
        if heard.modelled:
            source = beside_a_model(frequency, size, inside, model, falls)
        else:
            source = of_minimum_phase(frequency, size, late)
    return Inferred(
        source=source,
        measured=inside,
        extrapolated=outside & (not heard.modelled),
        uncertainty=_uncertainty(heard, frequency, pressure, field, off),
        mismatch=mismatch,
    )


def pressure_heard(heard: MeasuredResponse, frequency: np.ndarray, flight: float) -> np.ndarray:
    """What the microphone heard per volt, from the moment of the electrical signal.

    The flight is taken out of the phase before rows are interpolated, and put back after: at a
    metre it turns by a whole circle every 343 Hz, which rows at high frequencies do not follow.

    Args:
        heard: what was measured.
        frequency: Hz, within its table, shape (frequency,).
        flight: time from the driver to the microphone, s.

    Returns:
        Pa/V, complex, shape (frequency,).
    """
    rows = np.array(heard.frequency)
    turn = 2j * np.pi * (flight - heard.removed_delay)
    values = (np.array(heard.real) + 1j * np.array(heard.imaginary)) * np.exp(turn * rows)
    straight, _ = at_frequencies(Curve(rows, values, True, (), heard.source), frequency)
    answer: np.ndarray = straight * np.exp(-2j * np.pi * flight * frequency)
    return answer


def joined(
    frequency: np.ndarray, source: np.ndarray, inside: np.ndarray, model: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """A source as measured, and beyond the measurement the model, turned and sized to meet it.

    Within the outermost third of an octave of what was measured, logarithms of size and phase fade
    from one to the other.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        source: as measured, m³/s per V, complex, shape (frequency,).
        inside: where that is, likewise; one block.
        model: m³/s per V, complex, likewise.

    Returns:
        The source everywhere, and the level of the measurement over the model's at both ends, dB.
    """
    octave = np.log2(frequency)
    known = np.flatnonzero(inside)
    answer = np.where(inside, source, 0.0)
    mismatch = np.full(2, np.nan)
    ends = ((known[0], np.arange(known[0])), (known[-1], np.arange(known[-1] + 1, frequency.size)))
    for side, (end, beyond) in enumerate(ends):
        if beyond.size == 0:
            continue
        away = np.abs(octave - octave[end])
        zone = inside & (away <= FADE + 1e-9)
        ratio = source[zone] / model[zone]
        angle = np.angle((ratio / np.abs(ratio)).sum())
        level = np.mean(np.log(np.abs(ratio)))
        meeting = np.exp(level + 1j * angle)
        mismatch[side] = 20 * np.log10(np.exp(level))
        answer[beyond] = meeting * model[beyond]
        # At the end itself the model, a third of an octave within the measurement.
        share = away[zone] / FADE
        rest = ratio / meeting
        answer[zone] = meeting * model[zone] * np.abs(rest) ** share
        answer[zone] *= np.exp(1j * share * np.angle(rest))
    return answer, mismatch


def carried_on(
    frequency: np.ndarray, source: np.ndarray, inside: np.ndarray, name: str
) -> np.ndarray:
    """A source past the ends of what was measured, as `at_frequencies` carries tables on.

    What is carried on is jω times the source, which a driver's pressure follows.
    """
    omega = 2j * np.pi * frequency
    known = Curve(frequency[inside], (omega * source)[inside], True, (), name)
    answer, _ = at_frequencies(known, frequency[~inside], beyond=True)
    return answer / omega[~inside]


def of_minimum_phase(frequency: np.ndarray, size: np.ndarray, late: float) -> np.ndarray:
    """The source of this size whose jω-fold is of minimum phase, and `late` (s).

    Raises:
        RoundoverError: too few frequencies.
    """
    phase = minimum_phase(frequency, size * frequency)
    answer: np.ndarray = -1j * size * np.exp(1j * phase - 2j * np.pi * late * frequency)
    return answer


def beside_a_model(
    frequency: np.ndarray, size: np.ndarray, inside: np.ndarray, model: np.ndarray, falls: bool
) -> np.ndarray:
    """The source of this size with the model's phase, and minimum phase for what differs.

    What a box does below the lowest frequency, the model knows; from the size alone the phase of a
    vented woofer was 95° out at the lowest frequency and 20° two octaves above. Beyond the lowest
    and the highest frequency the source goes on as the model does, where it was not measured or the
    model knows better; else size and model part on as they did over the outermost octave.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        size: of the source, m³/s per V, likewise.
        inside: where it was measured, likewise.
        model: m³/s per V, complex, likewise.
        falls: whether the model knows how the driver falls at low frequencies.

    Raises:
        RoundoverError: too few frequencies.
    """
    ratio = size / np.abs(model)
    fitted = fitted_tails(frequency, ratio)
    tails = Tails(
        fitted.below if inside[0] and not falls else 0.0, fitted.above if inside[-1] else 0.0
    )
    answer: np.ndarray = ratio * model * np.exp(1j * minimum_phase(frequency, ratio, tails=tails))
    return answer


def null_depth(frequency: np.ndarray, field: np.ndarray) -> np.ndarray:
    """By how much the field at a microphone lies below that at neighbouring frequencies.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        field: Pa per m³/s, complex, shape (frequency,). It rises with the frequency, which does
            not count.

    Returns:
        Ratio of the root mean square over `NEIGHBOURS` to either side to the field itself, at
        least 1, shape (frequency,).
    """
    size = np.abs(field) / frequency
    octave = np.log2(frequency)
    near = np.abs(octave[:, None] - octave) <= NEIGHBOURS
    around = np.sqrt((near * size**2).sum(axis=1) / near.sum(axis=1))
    answer: np.ndarray = np.maximum(around / np.maximum(size, np.finfo(float).tiny), 1.0)
    return answer


def _uncertainty(
    heard: MeasuredResponse,
    frequency: np.ndarray,
    pressure: np.ndarray,
    field: np.ndarray,
    off: np.ndarray,
) -> np.ndarray:
    """Standard deviation of the source's level, dB; NaN where nothing was measured.

    Of noise, the half of its power that is in phase with the pressure changes the level.
    """
    parts = (
        heard.noise / np.sqrt(2) / np.abs(pressure),
        off / np.maximum(np.abs(field), np.finfo(float).tiny),
        STRAY * (null_depth(frequency, field) - 1) / (1 + STRAY),
    )
    decibels = [20 * np.log10(1 + part) for part in parts]
    answer: np.ndarray = np.sqrt(heard.uncertainty**2 + np.sum(np.square(decibels), axis=0))
    return np.where(np.isnan(pressure), np.nan, answer)
