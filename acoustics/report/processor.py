"""The digital processor in words: what it rounds, and how near its taps come to what is needed."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import Case
from acoustics.case.section_words import rounded_delays
from acoustics.crossover.impulse_response import COUNTS, counted, deviation
from acoustics.report.phrases import hertz_span
from acoustics.studies.wording import amount, hertz, listed

NEAR = 0.5
"""dB: taps that come nearer than that to what is needed are enough"""


def processor_points(case: Case, prediction: xr.Dataset) -> list[str]:
    """Rate, rounded delays, and taps, one point each.

    Args:
        case: the design, with a processor.
        prediction: of that same design.
    """
    assert case.processor is not None
    rounded = rounded_delays(case)
    so = f"; rounded: {rounded}" if rounded else ""
    rate = case.processor.sampling_rate
    step = f"{1e6 / rate:.1f} us"
    points = [f"It works at {hertz(rate)}, and delays are whole samples of {step}{so}."]
    if "taps" in prediction:
        points.append(_taps(case, prediction))
    return points


def _taps(case: Case, prediction: xr.Dataset) -> str:
    frequency = prediction.frequency.values
    words, most = [], 0.0
    for name in map(str, prediction.driver.values):
        needed = prediction.needed_filter.sel(driver=name).values
        if np.isnan(needed).any():
            continue
        off = deviation(prediction["filter"].sel(driver=name).values, needed)
        band = frequency[counted(needed)][[0, -1]]
        words.append(f"{amount(off, 'dB', finer=1)} of the {name}'s ({hertz_span(band)})")
        most = max(most, off)
    count, rate = prediction.tap.size, prediction.attrs["sampling_rate"]
    more = " Low frequencies take more taps." if most > NEAR else ""
    return (
        f"{count} taps resolve {hertz(rate / count)} and come within {listed(words)} filter as it "
        f"is needed, phase included, where that is within {COUNTS:g} dB of its maximum.{more} All drivers wait "
        f"{1e3 * prediction.attrs['latency']:.1f} ms for them, so they stay in step."
    )
