"""From recordings of one thing to its impulse response, the noise under it and its harmonics."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.fft import next_fast_len, rfft

from acoustics.case.design.measurement_model import Measurement, PlayedSweep
from acoustics.conventions import RoundoverError
from acoustics.measurement.arrival import FEWEST_BEFORE
from acoustics.measurement.checks import too_loud
from acoustics.measurement.findings import Finding
from acoustics.measurement.gate import Gate, noise_weight
from acoustics.measurement.harmonics import Distortion, harmonics
from acoustics.measurement.impulse import Impulse
from acoustics.measurement.noise import FEWEST as FEWEST_SILENT
from acoustics.measurement.noise import repeats_density, silence_density, transfer_noise
from acoustics.measurement.repeats import averaged, drifting
from acoustics.measurement.sweep import Sweep, deconvolved, linear_part, make_sweep
from acoustics.measurement.undeclared_rate import sweep_of_another_rate
from acoustics.studies.measure.recorded import Take

BEFORE = 5e-3
"""s before the sound comes: here silence ends."""

BEFORE_PEAK = 1.5e-3
"""s before the peak of an impulse response: here the noise under it ends"""

SHORTEST = 0.02
"""s of a response that is kept, however soon the recording ends"""

SILENT = 1e-3
"""Of the peak of a file that was played: what is less at either end is silence."""

Noise = Callable[[np.ndarray, Gate], np.ndarray]


@dataclass(frozen=True, eq=False)
class Evaluated:
    """The linear response of one thing.

    Attributes:
        impulse: per amplitude of the sweep as made; time 0 is when it was sent, by the loopback, or
            else when the recording began.
        noise: rms noise in the gated transfer function: frequency (Hz), gate → (frequency,).
        noise_from: in words, where that comes from.
        band: Hz, in which the sweep played at its full level.
        repeats: how many recordings were averaged.
        findings: what is wrong with the recordings.
        sweep: that was played; None of impulse responses.
        first: the first recording, from which harmonics are told.
        late: s, from the recording's first sample to the response.
        gain: amplitude of the loopback over that of the sweep as made; 1 without a loopback.
    """

    impulse: Impulse
    noise: Noise
    noise_from: str
    band: tuple[float, float]
    repeats: int
    findings: tuple[Finding, ...]
    sweep: Sweep | None
    first: Take
    late: float
    gain: float = 1.0

    def harmonics(self, frequency: np.ndarray, length: float | None) -> Distortion | None:
        """Harmonics of the fundamentals (Hz) that the sweep tells; None of impulse responses."""
        if self.sweep is None:
            return None
        silence = _silence(self.first, self.late)
        return harmonics(
            self.first.heard,
            self.sweep,
            frequency,
            late=self.late,
            length=length,
            silence=silence if silence.size >= FEWEST_SILENT else None,
        )


def sweep_of(stated: PlayedSweep, sampling_rate: float, played: np.ndarray | None) -> Sweep:
    """The sweep that was played; of a file, as `alone` leaves it, its length is the file's."""
    duration = stated.duration if played is None else (played.size - 1) / sampling_rate
    return make_sweep(stated.lowest, stated.highest, duration, sampling_rate)


def alone(played: np.ndarray) -> np.ndarray:
    """A file that was played, without the silence round it and with peak 1, shape (n,).

    The voltage that a case states is that of a sine as strong as the sweep in the file, whatever
    part of full scale that is.
    """
    size = np.abs(played)
    sounding = np.flatnonzero(size > SILENT * size.max(initial=0.0))
    if not sounding.size:
        raise RoundoverError("the file that was played is silent; name the one with the sweep")
    answer: np.ndarray = played[sounding[0] : sounding[-1] + 1] / size.max()
    return answer


def heard_in(
    takes: Sequence[Take],
    measurement: Measurement,
    stated: PlayedSweep,
    played: np.ndarray | None = None,
    gain: float | None = None,
) -> Evaluated:
    """The response in repeats of one recording.

    Args:
        takes: one or more, of one sampling rate.
        measurement: how they were made.
        stated: the sweep.
        played: the file that was played, shape (n,); the sweep as made if not given.
        gain: of the recording that the stated voltage belongs to. What was played louder or quieter
            than that counts as if it had been played alike; with the first take's own gain if not
            given.

    Raises:
        RoundoverError: too short, silent, or without a usable loopback.
    """
    findings = [too_loud(take.heard, take.sampling_rate, take.full_scale) for take in takes]
    findings += [
        _loopback_too_loud(too_loud(take.sent, take.sampling_rate, take.full_scale))
        for take in takes
        if take.sent is not None
    ]
    for take in takes:
        if not np.any(take.heard):
            raise RoundoverError(
                f"{take.name}: the microphone's channel is silent throughout; look whether "
                f"measurement.channel ({measurement.channel}) is the microphone's, or record again"
            )
    if measurement.kind == "impulse":
        return _of_impulses(takes, tuple(filter(None, findings)))
    rate = takes[0].sampling_rate
    played = None if played is None else alone(played)
    sweep = sweep_of(stated, rate, played)
    reference = sweep.samples if played is None else played
    if takes[0].sent is None and played is None:
        findings += [sweep_of_another_rate(take.heard, sweep) for take in takes]
    # Of each by itself: nobody starts two recordings at the same moment.
    lates = [_late(take, sweep, reference) for take in takes]
    late = lates[0]
    own = 1.0 if takes[0].sent is None else _gain(takes[0].sent, sweep, reference)
    gain = own if gain is None or takes[0].sent is None else gain
    responses = [_response(take, sweep, reference, gain) for take in takes]
    zeros = [
        0.0 if take.sent is not None else each for take, each in zip(takes, lates, strict=True)
    ]
    zero = zeros[0]
    linear = [
        _while_it_lasts(
            linear_part(full, sweep, begin), begin + max(_tail(take, sweep, each), SHORTEST)
        )
        for full, take, begin, each in zip(responses, takes, zeros, lates, strict=True)
    ]
    impulse, between = _mean(linear, sweep.valid, align=takes[0].sent is None)
    findings.append(between[1] if between else None)
    silence = _silence(takes[0], late)
    noise: Noise
    if between is not None:
        repeats = between[0]

        def noise(frequency: np.ndarray, gate: Gate) -> np.ndarray:
            weight = noise_weight(impulse, gate)
            density: np.ndarray = repeats_density(repeats, frequency) * rate * weight
            return np.sqrt(density)

        told = f"what {len(takes)} repeats differ by"
    elif silence.size >= FEWEST_SILENT:

        def noise(frequency: np.ndarray, gate: Gate) -> np.ndarray:
            density = silence_density(silence, rate, frequency)
            weight = noise_weight(impulse, gate)
            return transfer_noise(density, sweep, frequency, weight, own / gain)

        told = f"the {1e3 * silence.size / rate:.0f} ms of silence before the sweep"
    else:
        noise, told = _before_the_peak(impulse.part(zero - sweep.ahead(2) / 8, impulse.stop))
    return Evaluated(
        impulse,
        noise,
        told,
        sweep.valid,
        len(takes),
        tuple(filter(None, findings)),
        sweep if played is None else None,
        takes[0],
        late,
        own,
    )


def _response(take: Take, sweep: Sweep, reference: np.ndarray, gain: float) -> Impulse:
    """One recording's response, per amplitude of the sweep as made."""
    if take.sent is None:
        return deconvolved(take.heard, sweep, reference)
    full = deconvolved(take.heard, sweep, take.sent)
    return replace(full, samples=full.samples * gain)


def _late(take: Take, sweep: Sweep, reference: np.ndarray) -> float:
    """From a recording's first sample to its response, s."""
    full = deconvolved(take.heard, sweep, reference)
    return max(0.0, float(full.time[np.argmax(np.abs(full.samples))]))


def _tail(take: Take, sweep: Sweep, late: float) -> float:
    """For how long the recording went on after the last of the sweep was heard, s."""
    return take.heard.size / take.sampling_rate - late - sweep.duration


def _while_it_lasts(impulse: Impulse, stop: float) -> Impulse:
    """A response up to where the recording ends for the highest frequencies.

    Later it holds less than it should, of sound and of noise.
    """
    return impulse.part(impulse.start, stop)


def _gain(sent: np.ndarray, sweep: Sweep, reference: np.ndarray) -> float:
    """Amplitude of the loopback over that of the sweep as made."""
    length = next_fast_len(max(sent.size, reference.size), real=True)
    frequency = np.fft.rfftfreq(length, 1 / sweep.sampling_rate)
    inside = (frequency > sweep.valid[0]) & (frequency < sweep.valid[1])
    below = np.maximum(np.abs(rfft(reference, length)[inside]), np.finfo(float).tiny)
    return float(np.median(np.abs(rfft(sent, length)[inside]) / below))


def _mean(linear: Sequence[Impulse], band: tuple[float, float], align: bool):  # type: ignore[no-untyped-def]
    """The mean of responses; of two or more also the repeats and what is wrong with them.

    On the clock of the first. Where they are aligned, each begins as long before its own peak.
    """
    if len(linear) == 1:
        return linear[0], None
    size = min(each.samples.size for each in linear)
    rate = linear[0].sampling_rate
    repeats = averaged(np.array([each.samples[:size] for each in linear]), rate, band, align=align)
    return Impulse(repeats.mean, rate, linear[0].start), (repeats, drifting(repeats))


def _of_impulses(takes: Sequence[Take], findings: tuple[Finding, ...]) -> Evaluated:
    """Responses that files hold already."""
    rate = takes[0].sampling_rate
    band = (2 * rate / min(take.heard.size for take in takes), 0.45 * rate)
    each = [Impulse(take.heard, rate, take.start) for take in takes]
    impulse, between = _mean(each, band, align=False)
    peak = int(np.argmax(np.abs(impulse.samples)))
    if peak < FEWEST_BEFORE:  # an impulse that was cut at its beginning
        lead = np.zeros(2 * FEWEST_BEFORE)
        start = impulse.start - lead.size / rate
        impulse = Impulse(np.concatenate([lead, impulse.samples]), rate, start)
    noise, told = _before_the_peak(impulse)
    more = (between[1],) if between and between[1] else ()
    return Evaluated(
        impulse, noise, told, band, len(takes), (*findings, *more), None, takes[0], 0.0
    )


def _before_the_peak(impulse: Impulse) -> tuple[Noise, str]:
    """Noise like what comes well before the peak; white where that is short."""
    peak = int(np.argmax(np.abs(impulse.samples)))
    quiet = impulse.samples[: max(peak - round(BEFORE_PEAK * impulse.sampling_rate), peak // 2, 1)]
    rate, rms = impulse.sampling_rate, float(np.sqrt(np.mean(quiet**2)))

    def noise(frequency: np.ndarray, gate: Gate) -> np.ndarray:
        density = np.full(frequency.size, rms**2 / rate)
        if quiet.size >= FEWEST_SILENT:
            density = silence_density(quiet, rate, frequency)
        answer: np.ndarray = np.sqrt(density * rate * noise_weight(impulse, gate))
        return answer

    return noise, "what comes before the peak of the impulse response"


def _silence(take: Take, late: float) -> np.ndarray:
    return take.heard[: max(0, int((late - BEFORE) * take.sampling_rate))]


def _loopback_too_loud(found: Finding | None) -> Finding | None:
    if found is None:
        return None
    what = found.what.replace("The recording stays", "The loopback stays")
    return replace(found, what=what, advice="Lower the loopback's input gain and measure again.")
