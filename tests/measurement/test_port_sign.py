"""The sign of a port's near field against its cone's."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.measurement.port_sign import port_turned

FREQUENCY = np.geomspace(20, 300, 80)
CONE = np.exp(1j * FREQUENCY / 50)


def flow(tuning, loss=0.1):
    """Out of a port for what goes out of the cone (Small, 1973, from memory), with some loss."""
    x = FREQUENCY / tuning
    return -CONE / (1 - x**2 + 1j * loss * x)


@pytest.mark.parametrize("tuning", [30.0, 42.0, 60.0])
@pytest.mark.parametrize("loss", [0.05, 0.2])
def test_only_a_turned_port_is_told(tuning, loss):
    right = flow(tuning, loss)
    assert port_turned(FREQUENCY, CONE, right, "rear") is None
    said = port_turned(FREQUENCY, CONE, -right, "rear")
    assert said is not None
    assert "rear" in said.what


def test_below_the_band_nothing_is_told():
    assert port_turned(FREQUENCY, CONE, -flow(15.0), "rear") is None
    assert port_turned(FREQUENCY[:0], CONE[:0], CONE[:0], "rear") is None
