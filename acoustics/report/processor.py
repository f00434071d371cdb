"""The digital processor in words: what it rounds, and how near its taps come to what is needed."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.section_words import rounded_delays
from acoustics.crossover.impulse_response import COUNTS, counted, deviation
from acoustics.report.phrases import hertz_span
from acoustics.studies.wording import amount, hertz, listed


def processor_points(case: Case, prediction: xr.Dataset) -> list[str]:
    """Rate, rounded delays, and taps, one point each.

    Args:
        case: the design, with a processor.
        prediction: of that same design.
    """
    assert case.processor is not None
    rounded = rounded_delays(case, "µs")
    so = f"; rounded: {rounded}" if rounded else ""
    rate = case.processor.sampling_rate
    step = f"{1e6 / rate:.1f} µs"
    points = [f"It works at {hertz(rate)}, and delays are whole samples of {step}{so}."]
    if "taps" in prediction:
        points.append(_taps(case, prediction))
    return points


def _taps(case: Case, prediction: xr.Dataset) -> str:
    frequency = prediction.frequency.values
    words = []
    for name in map(str, prediction.driver.values):
        needed = prediction.needed_filter.sel(driver=name).values
        if np.isnan(needed).any():
            continue
        off = deviation(prediction["filter"].sel(driver=name).values, needed)
        low, high = frequency[counted(needed)][[0, -1]]
        band = hertz_span((float(low), float(high)))
        words.append(f"{amount(off, 'dB', finer=1)} for the {name} ({band})")
    count, rate = prediction.tap.size, prediction.attrs["sampling_rate"]
    return (
        f"Computed filters are impulse responses of {count} taps. From what is needed they differ "
        f"by at most {listed(words)}, phase included, where that is within {COUNTS:g} dB of its "
        f"maximum. They resolve {hertz(rate / count)}: low frequencies take more taps. All drivers "
        f"wait {1e3 * prediction.attrs['latency']:.2f} ms for them, and so stay in step."
    )
