"""What the crossover does to each driver: its sections in cascade, gain, delay and polarity."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import (
    AllPass,
    Branch,
    Case,
    ParametricSection,
    PassFilter,
    Section,
)
from acoustics.conventions import RoundoverError
from acoustics.crossover.all_pass import all_pass_response
from acoustics.crossover.digital import digital_response, realised_delay
from acoustics.crossover.parametric import parametric_response
from acoustics.crossover.pass_filter import pass_response


def branch_response(branch: Branch, frequency: np.ndarray, rate: float | None = None) -> np.ndarray:
    """Transfer function from the input to one driver's terminals, for electrical slopes.

    Args:
        branch: sections, gain (dB), delay (s), polarity.
        frequency: Hz, above 0, shape (frequency,).
        rate: sampling rate (Hz) of the processor that realises it, frequencies and corners below
            half of it; None for an analogue filter.

    Returns:
        V/V, complex, shape (frequency,); time dependence exp(+jωt), so a delay τ is exp(−jωτ).

    Raises:
        RoundoverError: an order the alignment does not have.
    """
    return 10 ** (branch.gain / 20) * slopes_response(branch, frequency, rate)


def slopes_response(branch: Branch, frequency: np.ndarray, rate: float | None = None) -> np.ndarray:
    """A branch's sections, delay and polarity, without its gain; as `branch_response`."""
    frequency = np.asarray(frequency, dtype=float)
    sign = -1.0 if branch.inverted else 1.0
    response = sign * np.exp(-2j * np.pi * frequency * realised_delay(branch.delay, rate))
    for section in branch.sections:
        response = response * section_response(section, frequency, rate)
    return response


def section_response(
    section: Section, frequency: np.ndarray, rate: float | None = None
) -> np.ndarray:
    """Transfer function of one section, complex, shape (frequency,); as `branch_response`."""
    if rate is not None:
        return digital_response(section, frequency, rate)
    if isinstance(section, PassFilter):
        return pass_response(section, frequency)
    if isinstance(section, ParametricSection):
        return parametric_response(section, frequency)
    if isinstance(section, AllPass):
        return all_pass_response(section, frequency)
    raise RoundoverError(
        "coefficients and taps mean something at a sampling rate only; add [processor] with "
        "sampling_rate"
    )


def branches_of(case: Case) -> tuple[Branch, ...]:
    """The branch of every driver of a case, in its order; one without gets the full signal."""
    branches = {branch.driver: branch for branch in case.crossover}
    return tuple(branches.get(driver.name, Branch(driver.name)) for driver in case.drivers)


def before_amplifier(case: Case) -> Branch:
    """What is done before the amplifier of the passive crossover, as a branch."""
    given = case.amplifier
    if given is None:
        return Branch("")
    return Branch("", given.sections, given.gain, given.delay, given.inverted)
