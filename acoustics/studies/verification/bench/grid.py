"""The frequencies by which readings are compared, and what was read there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.curves import Curve, at_frequencies
from acoustics.studies.verification.readings.readings import ImpedanceReading, ResponseReading

FINEST = 24
"""per octave, of impedances below `FINE_BELOW`; half as many of all else"""

FINE_BELOW = 500.0
"""Hz: below, peaks of impedances are narrow, and what a box does shows in them."""

LOWEST, HIGHEST = 10.0, 20_000.0
"""Hz: within these at least, so that other readings can be thought of."""

LONGEST = 5e-3
"""s: by how much the delay of a reading may differ from the flight that is stated."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Frequencies 1000·2^(step/24) Hz; `steps` ascending, shape (frequency,)."""

    steps: np.ndarray

    @cached_property
    def frequency(self) -> np.ndarray:
        """Hz, ascending, shape (frequency,)."""
        answer: np.ndarray = 1000.0 * 2.0 ** (self.steps / FINEST)
        return answer

    def within(self, band: tuple[float, float], fine: bool = False) -> np.ndarray:
        """Numbers of the frequencies in a band (Hz), 12 per octave or all there are."""
        frequency = self.frequency
        inside = (frequency >= band[0] * (1 - 1e-9)) & (frequency <= band[1] * (1 + 1e-9))
        return np.flatnonzero(inside & (fine | (self.steps % 2 == 0)))


def grid_between(lowest: float, highest: float) -> Grid:
    """12 per octave from the one to the other (Hz), 24 below `FINE_BELOW`."""
    first = int(np.ceil(FINEST * np.log2(lowest / 1000.0) - 1e-9))
    last = int(np.floor(FINEST * np.log2(highest / 1000.0) + 1e-9))
    steps = np.arange(first, last + 1)
    grid = Grid(steps)
    return Grid(steps[(steps % 2 == 0) | (grid.frequency < FINE_BELOW)])


def places_of(grid: Grid, reading: ResponseReading | ImpedanceReading) -> np.ndarray:
    """Numbers of the frequencies of a grid at which a reading is compared.

    Raises:
        RoundoverError: there are none.
    """
    low, high = reading.band
    if reading.frequency.size:
        low, high = max(low, reading.frequency[0]), min(high, reading.frequency[-1])
    found = grid.within((low, high), fine=isinstance(reading, ImpedanceReading))
    if not found.size:
        raise RoundoverError(
            f"{reading.name}: between {low:g} and {high:g} Hz there is nothing by which it can be "
            "compared; use a wider band"
        )
    return found


def response_at(reading: ResponseReading, frequency: np.ndarray, flight: float) -> np.ndarray:
    """A response at other frequencies within its table.

    Args:
        reading: what was measured.
        frequency: Hz, shape (frequency,).
        flight: about the time from the loudspeaker to the microphone, s. The reading may come
            later or earlier, by a clock that nobody knows.

    Returns:
        Pa/V, complex with phase and real without, shape (frequency,); NaN where the reading is.
    """
    values = reading.pressure
    if not reading.has_phase or not np.isfinite(values).all():
        return _between(reading, values, reading.has_phase, frequency)
    delay = smoothest_delay(reading.frequency, values, flight)
    straight = values * np.exp(2j * np.pi * delay * reading.frequency)
    answer = _between(reading, straight, True, frequency)
    return answer * np.exp(-2j * np.pi * delay * frequency)


def impedance_at(reading: ImpedanceReading, frequency: np.ndarray) -> np.ndarray:
    """As `response_at`, of an impedance, ohm."""
    return _between(reading, reading.impedance, reading.has_phase, frequency)


def smoothest_delay(frequency: np.ndarray, values: np.ndarray, about: float) -> float:
    """Delay without which the phase turns least from row to row, s.

    Rows of a sparse table are so far apart that a delay turns the phase by more than half a circle
    from one to the next, and the interpolation would take the short way round. Within `LONGEST` of
    what is expected the delay is tried in steps that turn the widest gap by 45°.

    Args:
        frequency: Hz, ascending, shape (row,).
        values: complex, likewise.
        about: s.
    """
    gaps = np.diff(frequency)
    if not gaps.size:
        return about
    turned = values[1:] * values[:-1].conj()
    size = np.abs(turned)
    turned = np.divide(turned, size, out=np.zeros_like(turned), where=size > 0)
    step = 1 / (8 * gaps.max())
    most = int(LONGEST / step)
    tried = about + step * np.arange(-most, most + 1)
    straight = [float((turned * np.exp(2j * np.pi * delay * gaps)).sum().real) for delay in tried]
    return float(tried[int(np.argmax(straight))])


def _between(
    reading: ResponseReading | ImpedanceReading,
    values: np.ndarray,
    has_phase: bool,
    frequency: np.ndarray,
) -> np.ndarray:
    """As `at_frequencies`; a reading without data stays without."""
    if not np.isfinite(values).all():
        return np.full(frequency.shape, np.nan, dtype=complex if has_phase else float)
    # Nothing is exactly 0, and logarithms are taken.
    tiny = float(np.abs(values).max()) * 1e-9
    held = np.where(np.abs(values) < tiny, tiny, values if has_phase else np.abs(values))
    curve = Curve(reading.frequency, held, has_phase, (), reading.source)
    answer, _ = at_frequencies(curve, frequency)
    return answer if has_phase else np.abs(answer)
