"""How far each thing strays in each build, drawn from stated spreads."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.tolerance_model import Spread, Tolerance

NORMAL_95 = 1.959963984540054
"""Standard deviations that hold 95 % of a normal spread."""


def drawn(tolerance: Tolerance) -> np.ndarray:
    """Standardised draws: normal ones in standard deviations, uniform ones from −1 to 1.

    Every spread has a stream of its own, so that more builds begin with those of fewer.

    Returns:
        Shape (build, spread).
    """
    streams = np.random.default_rng(tolerance.seed).spawn(len(tolerance.spreads))
    columns = [
        stream.standard_normal(tolerance.builds)
        if spread.shape == "normal"
        else stream.uniform(-1.0, 1.0, tolerance.builds)
        for stream, spread in zip(streams, tolerance.spreads, strict=True)
    ]
    return np.stack(columns, axis=1) if columns else np.zeros((tolerance.builds, 0))


def scale(spread: Spread) -> float:
    """What a standardised draw of 1 is worth: base units, dB, or a share of the value."""
    return spread.within / NORMAL_95 if spread.shape == "normal" else spread.within


def amounts(spreads: tuple[Spread, ...], draws: np.ndarray) -> np.ndarray:
    """By how much each thing strays, of the shape of the draws (…, spread)."""
    return draws * np.array([scale(spread) for spread in spreads])
