"""Impedances as two-ports of scikit-rf, which has neither series pairs nor loads of its own."""

from __future__ import annotations

import numpy as np
import skrf


def series(media, impedance):
    """A two-port with an impedance (ohm) in series, from its S-parameters at 1 ohm."""
    s = np.empty((impedance.size, 2, 2), dtype=complex)
    s[:, 0, 0] = s[:, 1, 1] = impedance / (impedance + 2)
    s[:, 0, 1] = s[:, 1, 0] = 2 / (impedance + 2)
    return skrf.Network(frequency=media.frequency, s=s, z0=1.0)


def shunt(media, impedance):
    """Likewise in parallel."""
    s = np.empty((impedance.size, 2, 2), dtype=complex)
    s[:, 0, 0] = s[:, 1, 1] = -1 / (1 + 2 * impedance)
    s[:, 0, 1] = s[:, 1, 0] = 2 * impedance / (1 + 2 * impedance)
    return skrf.Network(frequency=media.frequency, s=s, z0=1.0)
