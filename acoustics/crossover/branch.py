"""What the crossover does to each driver: its sections in cascade, gain, delay and polarity."""

from __future__ import annotations

import numpy as np

from acoustics.case.model import Branch, Case, PassFilter, Section
from acoustics.crossover.parametric import parametric_response
from acoustics.crossover.pass_filter import pass_response


def branch_response(branch: Branch, frequency: np.ndarray) -> np.ndarray:
    """Transfer function from the input to one driver's terminals, for electrical slopes.

    Args:
        branch: sections, gain (dB), delay (s), polarity.
        frequency: Hz, above 0, shape (frequency,).

    Returns:
        V/V, complex, shape (frequency,); time dependence exp(+jωt), so a delay τ is exp(−jωτ).

    Raises:
        RoundoverError: an order the alignment does not have.
    """
    return 10 ** (branch.gain / 20) * slopes_response(branch, frequency)


def slopes_response(branch: Branch, frequency: np.ndarray) -> np.ndarray:
    """A branch's sections, delay and polarity, without its gain; as `branch_response`."""
    frequency = np.asarray(frequency, dtype=float)
    sign = -1.0 if branch.inverted else 1.0
    response = sign * np.exp(-2j * np.pi * frequency * branch.delay)
    for section in branch.sections:
        response = response * _section_response(section, frequency)
    return response


def branches_of(case: Case) -> tuple[Branch, ...]:
    """The branch of every driver of a case, in its order; one without gets the full signal."""
    branches = {branch.driver: branch for branch in case.crossover}
    return tuple(branches.get(driver.name, Branch(driver.name)) for driver in case.drivers)


def _section_response(section: Section, frequency: np.ndarray) -> np.ndarray:
    """Transfer function of one section, complex, shape (frequency,)."""
    if isinstance(section, PassFilter):
        return pass_response(section, frequency)
    return parametric_response(section, frequency)
