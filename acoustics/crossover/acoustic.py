"""The filter that a driver needs so that its sound, not its voltage, has the slopes asked for."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Branch, PassFilter
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover.branch import slopes_response


def target_pressure(
    branch: Branch,
    frequency: np.ndarray,
    *,
    distance: float,
    speed_of_sound: float,
    latency: float = 0.0,
    low_end: np.ndarray | float = 1.0,
) -> np.ndarray:
    """Pressure that acoustic slopes ask of a driver on the reference axis.

    The branch's level, slopes, delay and polarity, as a wave from the reference point: all drivers
    of the crossover are in step on the reference axis wherever their slopes are. A branch without a
    high-pass leaves the low end to the driver and its box.

    Args:
        branch: with acoustic slopes and a level (dB at 1 m).
        frequency: Hz, shape (frequency,).
        distance: from the reference point, m.
        speed_of_sound: m/s.
        latency: s, by which all of the crossover's drivers wait for the one farthest back; without
            it that driver's filter would have to look ahead.
        low_end: how the driver falls toward low frequencies in its box, shape (…, frequency).

    Returns:
        Pa, complex, shape (…, frequency).
    """
    pressure = full_pressure(branch, distance)
    late = latency + distance / speed_of_sound
    wave = np.exp(-2j * np.pi * frequency * late)
    if not _has_low_corner(branch):
        wave = wave * low_end
    return pressure * slopes_response(branch, frequency) * wave


def _has_low_corner(branch: Branch) -> bool:
    """Whether the branch's own slopes say how it falls toward low frequencies."""
    return any(
        isinstance(section, PassFilter) and section.low_corner is not None
        for section in branch.sections
    )


def heard_low_end(low_end: np.ndarray, on_axis: np.ndarray, cone: np.ndarray) -> np.ndarray:
    """A driver's low end as it is heard on the reference axis, with its port where that is.

    Below the tuning cone and port nearly cancel, and what is heard of them near by is less their
    sum than the distance between them. No filter can mend that, so the target follows it.

    Args:
        low_end: as `Drive.low_end` has it, complex, shape (…, frequency).
        on_axis: field of all that the driver moves, Pa per m³/s, shape (…, frequency).
        cone: field of its cone alone, likewise.
    """
    share = np.divide(on_axis, cone, out=np.ones_like(on_axis), where=cone != 0)
    answer: np.ndarray = low_end * share
    return answer


def full_pressure(branch: Branch, distance: float) -> float:
    """Pressure at a branch's level at some distance (m), Pa."""
    assert branch.level is not None
    return float(REFERENCE_PRESSURE * 10 ** (branch.level / 20) / distance)


def full_with_low_end(branch: Branch, distance: float, low_end: np.ndarray) -> np.ndarray:
    """The same with the low end of the driver in its box, Pa, shape (frequency,)."""
    return full_pressure(branch, distance) * np.minimum(np.abs(low_end), 1.0)


def needed_filter(
    target: np.ndarray, unfiltered: np.ndarray, most_gain: float, full: float | np.ndarray
) -> np.ndarray:
    """Filter that turns a driver's own pressure into its target, its gain limited.

    Where more would be needed the phase is kept and the magnitude held at the limit, which falls
    with the target's slopes: in the nulls that a large cone has on the axis far above its
    crossover, no output is forced.

    Args:
        target: Pa, complex, shape (frequency,).
        unfiltered: the driver's pressure with the filter 1, Pa, complex, shape (frequency,).
        most_gain: dB, where the target is not below `full`.
        full: the target without its slopes, Pa, or of shape (frequency,): as far as the driver
            itself falls toward low frequencies, the filter's limit does not.

    Returns:
        V/V, complex, shape (frequency,).
    """
    limit = 10 ** (most_gain / 20) * np.minimum(np.abs(target) / full, 1.0)
    tiny = np.finfo(float).tiny
    least = np.maximum(np.abs(target) / np.maximum(limit, tiny), tiny)
    held = np.maximum(np.abs(unfiltered), least)
    answer: np.ndarray = target / held * np.exp(-1j * np.angle(unfiltered))
    return answer
