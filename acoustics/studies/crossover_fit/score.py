"""What crossovers are ranked by: how far from their aims they are, and what parts are worth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.fit_model import Fit, Prices
from acoustics.studies.crossover_fit.outcome import Outcome


def score_of(fit: Fit, kinds: Sequence[str], outcome: Outcome) -> float:
    """The cost's root, and what parts and price are worth, dB: less is better."""
    worth = fit.worth_of_part * outcome.pieces
    worth += fit.worth_of_price * price_of(kinds, outcome, fit.prices)
    return float(np.sqrt(outcome.cost)) + worth


def price_of(kinds: Sequence[str], outcome: Outcome, prices: Prices) -> float:
    """What some parts cost, in the currency of their prices; every piece is bought."""
    each = {
        "inductor": (prices.inductor, 1e3 * prices.inductor_per_mh),
        "capacitor": (prices.capacitor, 1e6 * prices.capacitor_per_uf),
        "resistor": (prices.resistor, 0.0),
    }
    seconds = outcome.seconds or (0.0,) * len(kinds)
    return float(
        sum(
            each[k][0] * (2 if second else 1) + each[k][1] * value
            for k, value, second in zip(kinds, outcome.values, seconds, strict=True)
        )
    )
