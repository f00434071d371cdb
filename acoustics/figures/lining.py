"""What a porous lining takes from a wave, and what lining and fill make of standing waves."""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from acoustics.figures.style import (
    INK,
    LOUDNESS,
    PAPER,
    QUIET,
    WORDS,
    frequency_axis,
    labels,
    note,
    series,
)
from acoustics.structure.lining_damping import BARE_LOSS
from acoustics.structure.lining_table import LiningTable
from acoustics.studies.wording import hertz

SHOWN = 8
"""standing waves in the table"""

NAME_LETTERS = 24
"""of a treatment's name in a line"""

NAMES_WIDTH = 4.4
"""columns of the table that the names take"""

DARK = 0.55
"""of the shading: from here on letters are white"""

SMALL = 9.0
"""points"""

FOOT, STEP = 0.04, 0.09
"""where the word beside the first quarter wave stands, and how far apart they are"""

LEAST, MOST = 2.0, 150.0
"""Q at the ends of the shading"""


def draw_absorption(
    axes: Axes, frequency: np.ndarray, layers: dict[float, np.ndarray], speed: float
) -> Axes:
    """Draw the share of sound that layers take, and where each is a quarter wave thick.

    Args:
        axes: where to draw.
        frequency: Hz, shape (frequency,).
        layers: absorption (frequency,) by thickness, m.
        speed: of sound, m/s.

    Returns:
        The axes.
    """
    for number, (thickness, absorbed) in enumerate(layers.items()):
        how = series(number)
        axes.plot(
            frequency, absorbed, linewidth=2.0, label=f"{1e3 * thickness:.3g} mm layer", **how
        )
        quarter = speed / (4 * thickness)
        if quarter < frequency[-1]:
            axes.axvline(quarter, color=how["color"], linewidth=1.0, linestyle=":")
            words = f"quarter wave {hertz(quarter)} "
            place = quarter, FOOT + STEP * number
            note(axes, *place, words, ha="right", fontsize=SMALL, color=how["color"])
    labels(axes, "Frequency in Hz", "Share taken")
    frequency_axis(axes, float(frequency[0]), float(frequency[-1]))
    axes.set_ylim(0.0, 1.0)
    return axes


def draw_qualities(axes: Axes, table: LiningTable) -> Axes:
    """Draw the Q of the first standing waves for everything that could be done about them.

    Args:
        axes: where to draw: a column for each wave, a row for each treatment.
        table: what was compared.

    Returns:
        The axes. Dark: rings long. Where a wave cannot be followed there is a dash.
    """
    count = min(SHOWN, len(table.frequency))
    rows = [("bare walls", np.full(count, 1 / BARE_LOSS), np.zeros(count, dtype=bool))]
    rows += [
        (name, quality[:count], strong[:count])
        for name, quality, strong in zip(table.treatments, table.quality, table.strong, strict=True)
    ]
    for column in range(count):
        words = f"{table.names[column]}\n{hertz(float(table.frequency[column]))}"
        axes.text(
            column + 0.5,
            0.1,
            words.replace(" Hz", "").replace(" kHz", "k"),
            ha="center",
            va="bottom",
            fontsize=SMALL,
            color=INK,
            **WORDS,
        )
    for row, (name, qualities, strong) in enumerate(rows):
        bottom = -row - 1
        axes.text(
            -0.15,
            bottom + 0.5,
            textwrap.fill(name, NAME_LETTERS),
            ha="right",
            va="center",
            fontsize=SMALL,
            color=INK,
            **WORDS,
        )
        for column, (quality, gone) in enumerate(zip(qualities, strong, strict=True)):
            part = np.log(max(quality, LEAST) / LEAST) / np.log(MOST / LEAST)
            shade = LOUDNESS(0.8 * float(np.clip(part, 0.0, 1.0)))
            axes.add_patch(Rectangle((column, bottom), 1, 1, facecolor=shade, edgecolor=PAPER))
            axes.text(
                column + 0.5,
                bottom + 0.5,
                "–" if gone else f"{quality:.1f}" if quality < 10 else f"{quality:.0f}",
                ha="center",
                va="center",
                fontsize=SMALL,
                color=PAPER if part > DARK else INK,
                **WORDS,
            )
    axes.text(
        -0.15, 0.15, "half waves across,\nup, deep; Hz" if " " in table.names[0] else "wave\nHz",
        ha="right", va="bottom", fontsize=SMALL, color=QUIET, **WORDS,
    )  # fmt: skip
    axes.set_xlim(-NAMES_WIDTH, SHOWN)
    axes.set_ylim(-len(rows), 1.1)
    axes.set_axis_off()
    return axes
