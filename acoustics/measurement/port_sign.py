"""Whether the near field of a port has the sign that its cone's asks for."""

from __future__ import annotations

import numpy as np

from acoustics.measurement.findings import Finding

BELOW = 0.8
"""Of the tuning, up to which the sign is looked at."""

FEWEST = 4
"""Frequencies that must be there."""

TURNED = 0.5
"""Median cosine of the phase from cone to port, from which on both are taken to work together."""


def port_turned(
    frequency: np.ndarray, cone: np.ndarray, port: np.ndarray, name: str
) -> Finding | None:
    """Below the tuning a port sends out what its cone takes in; one that does not is turned round.

    With the box's compliance C and the port's mass M the flows out of both are as
    U_port/U_cone = −1/(1 − ω²MC) (Small, "Vented-box loudspeaker systems", 1973, lossless, from
    memory); a passive radiator's compliance changes the size and not the sign. The tuning is taken
    to be where the port sends out most against the cone.

    Args:
        frequency: Hz, ascending, shape (frequency,), where both stand out of their noise.
        cone: volume velocity out of the cone, complex, (frequency,).
        port: likewise.
        name: of the port.
    """
    if frequency.size == 0 or np.any(cone == 0):
        return None
    ratio = port / cone
    tuning = frequency[np.argmax(np.abs(ratio))]
    low = ratio[frequency < BELOW * tuning]
    if low.size < FEWEST or np.median(np.cos(np.angle(low))) < TURNED:
        return None
    return Finding(
        what=f"Below its tuning {name} works with the cone, where a port works against it",
        where=f"about {tuning:.0f} Hz",
        certain=False,
        advice=(
            "One of both near fields has the other polarity, or their files are exchanged: look "
            "at the names, or measure again."
        ),
    )
