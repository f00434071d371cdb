"""How the level changes over a line of ears, up and down or sideways, at every frequency."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.off_axis_map import colour_key, fill_levels, map_axes
from acoustics.figures.style import INK, PAPER, labels, note
from acoustics.listening.ripple import BAND
from acoustics.studies.wording import hertz

FINE_STEPS = np.arange(-12.0, 6.1, 1.5)
"""dB relative to the ears, where one colour ends and the next begins"""


def draw_span_map(
    axes: Axes, relative: xr.DataArray, span: xr.Dataset, place: float, y: str
) -> Axes:
    """Draw the level relative to that at the ears, and the range in which it stays within 3 dB.

    Args:
        axes: where to draw; the key to the colours is put beside it.
        relative: dB relative to the level at the ears, dims (line, frequency), in that order.
        span: span_low and span_high (frequency), narrowest_span and narrowest_frequency, of
            `listening.height_span` or `listening.aside_span`.
        place: where on the line the ears are, m.
        y: label of the line, with its unit.

    Returns:
        The axes.
    """
    frequency, line = relative.frequency.values, relative[relative.dims[0]].values
    filled = fill_levels(axes, frequency, line, relative.values, FINE_STEPS)
    for end in ("span_low", "span_high"):
        axes.plot(frequency, span[end].values, color=PAPER, linewidth=3.2)
        axes.plot(frequency, span[end].values, color=INK, linewidth=1.6)
    axes.axhline(place, color=INK, linewidth=1.0, linestyle=(0, (1, 2)))
    labels(axes, "Frequency in Hz", y)
    axes.set_ylim(line[0], line[-1])
    map_axes(axes, frequency)
    _mark_narrowest(axes, span, line)
    colour_key(axes, filled, "Level relative to the ears in dB\n(black lines: ±3 dB)")
    return axes


JUDGED = f"{hertz(BAND[0])} to {hertz(BAND[1])}"

EVERYWHERE = f"within ±3 dB from {JUDGED}"
"""said where the span is never narrower than the line"""


def _mark_narrowest(axes: Axes, span: xr.Dataset, line: np.ndarray) -> None:
    """A line across the narrowest span with its length, or words where none is narrower."""
    narrowest = float(span.narrowest_span)
    if np.isclose(narrowest, line[-1] - line[0]):
        low, high = axes.get_xlim()
        place = line[0] + 0.75 * (line[-1] - line[0])
        note(axes, float(np.sqrt(low * high)), place, EVERYWHERE, ha="center", va="center")
    elif np.isfinite(narrowest):
        at = float(span.narrowest_frequency)
        ends = [
            float(span[e].sel(frequency=at, method="nearest")) for e in ("span_low", "span_high")
        ]
        axes.plot([at, at], ends, color=INK, linewidth=2.4)
        least = "at least " if bool(span.narrowest_open) else ""
        narrower = bool((span.span_high - span.span_low).min() < narrowest - 1e-9)
        inside = f"\n({JUDGED})" if narrower else ""  # where the span is narrower than in it
        low, high = np.log(axes.get_xlim())
        left = np.log(at) > (low + high) / 2  # of the line, or it would leave the axes
        note(
            axes,
            at * 0.94 if left else at / 0.94,
            float(np.mean(ends)),
            f"{least}{narrowest:.2f} m{inside}",
            ha="right" if left else "left",
            va="center",
        )
