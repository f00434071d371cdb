"""Where drivers play above what a flat piston stands for."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.listening.trust import doubtful, doubtful_bands, doubtful_share, past_pistons

FREQUENCY = 1000.0 * 2.0 ** np.arange(-3, 5)  # 125 Hz to 16 kHz by octaves
HALF = 2**0.5


def prediction(strength, trusted_to):
    return xr.Dataset(
        {"strength": (("driver", "frequency"), np.array(strength, dtype=float))},
        coords={
            "driver": ["woofer", "tweeter"],
            "frequency": FREQUENCY,
            "trusted_to": ("driver", np.array(trusted_to, dtype=float)),
        },
    )


def shares(*shares_of_woofer):
    """Strengths such that the woofer makes these shares of the power."""
    share = np.array(shares_of_woofer)
    return np.sqrt([share, 1 - share])


def test_a_tenth_of_the_power_decides():
    made = prediction(shares(1, 1, 1, 0.9, 0.11, 0.09, 0.5, 0), [1500, 10_000])
    # 125 … 1000 Hz: below the woofer's limit. 2 kHz: 11 %. 4 kHz: 9 %. 8 kHz: half. 16 kHz: the
    # tweeter's own limit.
    wanted = [False, False, False, False, True, False, True, True]
    answer = doubtful(made)
    assert answer.dims == ("frequency",)
    assert answer.dtype == bool
    assert answer.values.tolist() == wanted


def test_bands_end_halfway_and_at_the_grid_s_ends():
    made = prediction(shares(1, 1, 1, 0.9, 0.11, 0.09, 0.5, 0), [1500, 10_000])
    first, second = doubtful_bands(made)
    assert first == pytest.approx((1000 * HALF, 2000 * HALF), rel=1e-12)
    assert second == pytest.approx((4000 * HALF, 16_000.0), rel=1e-12)
    everywhere = prediction(shares(*8 * [0.5]), [100, 100])
    assert doubtful_bands(everywhere) == ((125.0, 16_000.0),)


def test_nothing_is_doubtful_below_every_limit():
    made = prediction(shares(*8 * [0.5]), [16_000, 20_000])
    assert not doubtful(made).any()  # a driver at its limit is still trusted
    assert doubtful_bands(made) == ()
    assert doubtful_share(made, (300, 10_000)) == 0


def test_the_share_counts_octaves():
    made = prediction(shares(1, 1, 1, 0.9, 0.11, 0.09, 0.5, 0), [1500, 10_000])
    # Doubtful: 1.414 to 2.828 kHz, one octave, and from 5.657 kHz, 1.5 octaves, of seven.
    assert doubtful_share(made, (125, 16_000)) == pytest.approx(2.5 / 7)
    assert doubtful_share(made, (1000, 4000)) == pytest.approx(0.5)
    assert doubtful_share(made, (1000, 2000)) == pytest.approx(0.5)
    assert doubtful_share(made, (8000, 16_000)) == pytest.approx(1)
    # Only what was predicted counts.
    assert doubtful_share(made, (8000, 32_000)) == pytest.approx(1)
    assert np.isnan(doubtful_share(made, (20_000, 32_000)))


def test_silence_is_not_doubtful():
    assert not doubtful(prediction(np.zeros((2, 8)), [100, 100])).any()


def test_sources_past_what_was_measured_are_doubtful_too():
    """The woofer is carried on below 250 Hz, the tweeter there too, but hardly plays."""
    made = prediction(shares(1, 0.5, 0.5, 0.5, 0.5, 0.5, 0, 0), [1e5, 1e5])
    carried_on = np.zeros((2, FREQUENCY.size), dtype=bool)
    carried_on[0, 0] = carried_on[1, 0] = carried_on[0, -1] = True
    made["source_extrapolated"] = (("driver", "frequency"), carried_on)
    assert doubtful(made).values.tolist() == [True] + 7 * [False]
    assert not doubtful(made, past_pistons(made)).any()
    assert doubtful_bands(made) == (pytest.approx((125.0, 125.0 * HALF)),)
    assert doubtful_share(made, (125.0, 16_000.0), past_pistons(made)) == 0
