"""What is worth hearing of a draft, from how loud everything was the last time."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

FAINT = 10 ** (-50 / 20)
"""of the loudest sum: a driver that nowhere reaches it changes no level by 0.03 dB"""

PLAIN = 10 ** (-30 / 20)
"""of the loudest sum, as long as a driver stands still and only receivers follow another: what
edges add to its sound, a third of it about, is then a little out of step and nothing else is, which
moved levels of boxes by 0.02 dB at most, of an open baffle by 0.035 dB"""


class Needed(NamedTuple):
    """Frequencies that take part in what is shown.

    Masks: loud (driver, frequency), of drivers that moved; plain (driver, frequency), of those that
    did not while receivers did; looked (frequency,), of receivers that may be spared.
    """

    loud: np.ndarray
    plain: np.ndarray
    looked: np.ndarray

    def beyond(self, other: Needed) -> bool:
        """Whether there is something in it that the other one lacks."""
        return any((here & ~there).any() for here, there in zip(self, other, strict=True))

    def beside(self, other: Needed) -> Needed:
        """What is needed by either."""
        return Needed(*(here | there for here, there in zip(self, other, strict=True)))


def all_of(drivers: int, frequencies: int) -> Needed:
    """Everything but what receivers may be spared, as long as nothing was heard."""
    every = np.ones((drivers, frequencies), dtype=bool)
    return Needed(every, every, np.zeros(frequencies, dtype=bool))
