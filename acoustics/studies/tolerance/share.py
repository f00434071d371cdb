"""The share of builds that meet an aim, with its confidence interval."""

from __future__ import annotations

import math

from acoustics.studies.tolerance.draws import NORMAL_95


def share_met(met: int, known: int) -> tuple[float, float, float]:
    """The share of builds that meet an aim, and its 95 % interval.

    Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927, 209; from memory): it holds
    where all builds or none meet the aim, where the interval from the share's own standard error
    has no width.

    Args:
        met: how many builds meet it.
        known: of how many that is known.

    Returns:
        Share, lower and upper end, from 0 to 1; NaN where nothing is known.
    """
    if known == 0:
        return math.nan, math.nan, math.nan
    z, share = NORMAL_95, met / known
    middle = (share + z**2 / (2 * known)) / (1 + z**2 / known)
    spread = math.sqrt(share * (1 - share) / known + z**2 / (4 * known**2))
    half = z * spread / (1 + z**2 / known)
    # The ends are exactly 0 and 1 where the share is; rounding would leave a little.
    low = 0.0 if met == 0 else middle - half
    high = 1.0 if met == known else middle + half
    return share, low, high
