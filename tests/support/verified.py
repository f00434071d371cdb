"""Tables of responses and impedances as people write them, for tests of a finished loudspeaker."""

from __future__ import annotations

import numpy as np

REFERENCE = 20e-6
"""Pa (IEC 60027-3)"""


def table(frequency, *columns, head="", mark="\t", comma=False):
    """Rows of numbers with all their digits."""
    rows = [mark.join(f"{value:.12g}" for value in row) for row in zip(frequency, *columns)]  # noqa: B905
    text = "\n".join(rows)
    return f"{head}\n{text.replace('.', ',') if comma else text}\n"


def levels(pressure, reference=REFERENCE):
    """dB."""
    return 20 * np.log10(np.abs(pressure) / reference)


def degrees(values):
    """Phases, wrapped."""
    return np.degrees(np.angle(values))


def response_text(frequency, pressure):
    """The plain table of a response (Pa)."""
    return table(
        frequency, levels(pressure), degrees(pressure), head="Frequency (Hz)\tSPL (dB)\tPhase (deg)"
    )


def impedance_text(frequency, impedance, head="Frequency (Hz)\tImpedance (ohm)\tPhase (deg)"):
    """The plain table of an impedance."""
    return table(frequency, np.abs(impedance), degrees(impedance), head=head)


def coil_and_resonance(frequency):
    """Ohm of a driver in a closed box: resistance, coil, and a resonance at 60 Hz.

    The equivalent circuit by Small (Closed-Box Loudspeaker Systems I, JAES 20, 1972, from memory).
    """
    s = 2j * np.pi * frequency
    w0, q, peak = 2 * np.pi * 60.0, 5.0, 40.0
    return 5.6 + 0.4e-3 * s + peak * (s * w0 / q) / (s**2 + s * w0 / q + w0**2)
