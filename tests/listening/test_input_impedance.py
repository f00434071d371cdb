"""The lowest impedance at the amplifier, of a series circuit worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.listening.input_impedance import lowest_impedance


def test_the_lowest_is_at_a_series_resonance():
    """R + jωL + 1/jωC is R at 1/(2π√(LC)), and real there (any handbook of circuits)."""
    coil, size, ohm = 1e-3, 1e-3 / 20.0**2, 3.2
    resonance = 1 / (2 * np.pi * np.sqrt(coil * size))
    frequency = resonance * 2 ** (np.arange(-9, 10) / 3)
    s = 2j * np.pi * frequency
    series = ohm + s * coil + 1 / (s * size)
    found = lowest_impedance(
        xr.Dataset({"input_impedance": ("frequency", series)}, coords={"frequency": frequency})
    )
    assert found.impedance == pytest.approx(3.2)
    assert found.frequency == pytest.approx(resonance)
    assert found.phase == pytest.approx(0.0, abs=1e-6)
    turned = xr.Dataset(
        {"input_impedance": ("frequency", np.array([8.0, 3.0 - 3.0j, 6.0]))},
        coords={"frequency": [50.0, 90.0, 200.0]},
    )
    assert lowest_impedance(turned) == pytest.approx((np.sqrt(18.0), 90.0, -45.0))
