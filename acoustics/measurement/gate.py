"""The part of an impulse response before the first reflection, and its transfer function."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.measurement.impulse import Impulse, transfer

AHEAD = 1e-3
"""s before the arrival at which a gate opens: converters' filters ring that long."""

OPENING = 0.5e-3
"""s, of which the gate takes this to open."""


def _hann(x: np.ndarray) -> np.ndarray:
    return 0.5 + 0.5 * np.cos(np.pi * x)


def _blackman_harris(x: np.ndarray) -> np.ndarray:
    """Four terms, −92 dB (Harris, Proc. IEEE 66, 1978, 51, from memory)."""
    terms = (0.35875, 0.48829, 0.14128, 0.01168)
    return sum(
        (term * np.cos(np.pi * order * x) for order, term in enumerate(terms)), np.zeros(x.shape)
    )


def _hard(x: np.ndarray) -> np.ndarray:
    return np.ones(x.shape)


FADES: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "hann": _hann,
    "blackman-harris": _blackman_harris,
    "none": _hard,
}
"""From 1 at the fade's beginning, x = 0, to about 0 at its end, x = 1."""


@dataclass(frozen=True)
class Gate:
    """A window on an impulse's time axis, in s.

    It is 0 up to `start`, opens until `opened`, is 1 until `closing`, and closes until `stop`. With
    `opened` = `closing` at the arrival it is half a window; with `closing` later a Tukey window.

    Attributes:
        start, opened, closing, stop: s, in this order.
        arrival: of the direct sound, s; not before `opened`.
        fade: shape of both fades, one of `FADES`.
    """

    start: float
    opened: float
    closing: float
    stop: float
    arrival: float
    fade: str = "hann"

    def __post_init__(self) -> None:
        if not self.start <= self.opened <= self.closing <= self.stop:
            raise RoundoverError(
                "a gate opens before it closes: its start, opened, closing and stop must ascend, "
                f"not {self.start:g}, {self.opened:g}, {self.closing:g}, {self.stop:g} s"
            )
        if not self.opened <= self.arrival < self.stop:
            raise RoundoverError(
                f"the sound arrives at {self.arrival:g} s, where the gate from {self.opened:g} to "
                f"{self.stop:g} s is not open; move the gate"
            )
        if self.fade not in FADES:
            raise RoundoverError(
                f"{self.fade!r} is no shape of a fade; take one of {', '.join(FADES)}"
            )

    @property
    def length(self) -> float:
        """From the arrival to where the gate is closed, s."""
        return self.stop - self.arrival

    @property
    def effective_length(self) -> float:
        """Integral of the window after the arrival, s: a hard gate this long weighs as much."""
        time = self.arrival + self.length * (np.arange(1000) + 0.5) / 1000
        return float(self.length * np.mean(self.weights(time)))

    @property
    def lowest_frequency(self) -> float:
        """1/length, Hz: one period fits in (common practice); nothing below it was measured."""
        return 1 / self.length

    @property
    def resolution(self) -> float:
        """1/effective length, Hz: features closer in frequency than this merge."""
        return 1 / self.effective_length

    def weights(self, time: np.ndarray) -> np.ndarray:
        """The window at times (s), from 0 to 1, shape as `time`."""
        time = np.asarray(time, dtype=float)
        fade = FADES[self.fade]
        answer = np.ones(time.shape)
        for late, length in (
            (self.opened - time, self.opened - self.start),
            (time - self.closing, self.stop - self.closing),
        ):
            fading = (late > 0) & (late <= length)
            if length > 0:
                answer[fading] *= fade(late[fading] / length)
            answer[late > length] = 0.0
        return answer


def suggested_gate(
    arrival: float,
    extra_path: Iterable[float],
    speed_of_sound: float,
    *,
    closing_share: float = 0.3,
    fade: str = "hann",
) -> Gate:
    """The longest gate that is closed when the first reflection comes.

    Args:
        arrival: of the direct sound, s.
        extra_path: of every reflection, m, as `first_reflection` gives them.
        speed_of_sound: m/s.
        closing_share: how much of the length the fade at the end takes, from 0 to 1; 1 is half a
            window, which smooths most.
        fade: one of `FADES`.
    """
    if not 0 <= closing_share <= 1:
        raise RoundoverError(f"a share lies between 0 and 1, not at {closing_share:g}")
    length = min(extra_path, default=math.inf) / speed_of_sound
    if not (math.isfinite(length) and length > 0):
        raise RoundoverError(
            "no surface sends sound back later than the direct sound, so no gate follows; name the "
            "floor and the other surfaces nearby"
        )
    stop = arrival + length
    return Gate(
        start=arrival - AHEAD,
        opened=arrival - AHEAD + OPENING,
        closing=stop - closing_share * length,
        stop=stop,
        arrival=arrival,
        fade=fade,
    )


def gated(
    impulse: Impulse, gate: Gate, frequency: np.ndarray, *, reference: float | None = None
) -> np.ndarray:
    """Transfer function of what the gate lets through, at exactly the frequencies asked for.

    Args:
        impulse: the response.
        gate: on its time axis.
        frequency: Hz, shape (frequency,); below `gate.lowest_frequency` it says nothing.
        reference: s, time that counts as 0: the gate's arrival if not given; 0 keeps the flight,
            against the loopback.

    Returns:
        Complex, shape (frequency,), in the unit of the samples.
    """
    return transfer(
        _weighted(impulse, gate.weights(impulse.time)),
        frequency,
        gate.arrival if reference is None else reference,
    )


def removed(impulse: Impulse, gate: Gate, frequency: np.ndarray) -> np.ndarray:
    """How far the gate moves the level at each frequency: gated over not gated, dB, (frequency,).

    It holds the reflections, which were to go, and below the gate's lowest frequency the response
    itself, which was not.
    """
    with np.errstate(divide="ignore"):
        answer: np.ndarray = 20 * np.log10(
            np.abs(gated(impulse, gate, frequency) / transfer(impulse, frequency))
        )
    return answer


def removed_share(impulse: Impulse, gate: Gate) -> float:
    """Share of the impulse's energy that the gate takes away, from 0 to 1."""
    weights = gate.weights(impulse.time)
    energy = impulse.samples**2
    return float(1 - np.sum(energy * weights**2) / np.sum(energy))


def noise_weight(impulse: Impulse, gate: Gate) -> float:
    """Sum of the squared window over the samples: white noise under it adds up to this power."""
    return float(np.sum(gate.weights(impulse.time) ** 2))


def _weighted(impulse: Impulse, weights: np.ndarray) -> Impulse:
    """The weighted samples, where weights are not 0: most of an impulse is out of its gate."""
    some = np.flatnonzero(weights)
    first = min(int(some[0]), weights.size - 2) if some.size else 0
    last = max(int(some[-1]) + 1, first + 2) if some.size else 2
    return Impulse(
        impulse.samples[first:last] * weights[first:last],
        impulse.sampling_rate,
        impulse.start + first / impulse.sampling_rate,
    )
