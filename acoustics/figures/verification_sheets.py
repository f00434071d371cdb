"""The figures of a verification: which question each answers."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from functools import partial

import numpy as np
import xarray as xr
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from acoustics.figures.style import (
    head,
    head_height,
    key,
    level_axis,
    level_top,
    named_curves,
    new_figure,
)
from acoustics.figures.verification_causes import CauseRow, causes_height, draw_causes
from acoustics.figures.verification_crossover import draw_crossover
from acoustics.figures.verification_curves import ReadingCurves, reading_curves
from acoustics.figures.verification_marks import draw_marks, impedance_marks
from acoustics.figures.verification_reading import (
    draw_difference,
    draw_phase_difference,
    draw_reading,
)
from acoustics.studies.wording import per_cent

Sheet = Callable[[xr.Dataset], Figure | None]

PAGES = 20
"""readings of a kind of whose figures those of an earlier run are looked for"""

MOST_CAUSES = 6

LEAST_SHARE = 1e-3
"""probability from which an explanation has a bar"""

CAUSE_LETTERS = 150
"""of a cause that stand above a reading"""

PANEL = 360.0
"""points: about how wide a panel is"""

CROSSOVER_DRIVERS = "each driver alone"
"""what a crossover was told from where its phase can be drawn"""


def verification_sheets(found: xr.Dataset) -> dict[str, Sheet]:
    """The sheets of a verification by the names of their files: one a reading, numbered.

    Sheets of numbers that this one has no readings for draw nothing, so that `save_sheets` takes
    away what an earlier run with more readings drew.
    """
    sheets: dict[str, Sheet] = {"causes": causes_sheet}
    of_kind = {"response": (response_sheet, "Pa"), "impedance": (impedance_sheet, "ohm")}
    for name, (sheet, unit) in of_kind.items():
        rows = np.flatnonzero(found.told_unit.values == unit).tolist()
        for page in range(max(PAGES, len(rows))):
            drawn = partial(sheet, row=rows[page]) if page < len(rows) else _nothing
            sheets[f"{name}-{page + 1}"] = drawn
    sheets["crossover"] = crossover_sheet
    return sheets


def causes_sheet(found: xr.Dataset) -> Figure:
    """How likely the design, every fault and nothing known are."""
    rows = _cause_rows(found)
    headed_by = ("What is it, and how likely?", str(found.attrs["title"]))
    figure, axes = new_figure(head_height(*headed_by) + 0.7 + causes_height(rows))
    draw_causes(axes[0, 0], rows)
    head(figure, *headed_by)
    return figure


def response_sheet(found: xr.Dataset, row: int) -> Figure:
    """A response over the design's, their difference, and what the likeliest cause explains."""
    curves = reading_curves(found, row)
    question = "Does it sound as designed?"
    return _reading_sheet(found, row, curves, question, _response_panels)


def impedance_sheet(found: xr.Dataset, row: int) -> Figure:
    """An impedance over the design's, with what was found in it, and their difference."""
    curves = reading_curves(found, row)
    question = "Does it draw the current that was designed?"
    marks = impedance_marks(found, str(found.told_reading.values[row]))

    def panels(axes: list[Axes], curves: ReadingCurves) -> None:
        draw_reading(axes[0], curves, title="size of the impedance", y="Impedance\nin ohm")
        _ohm_axis(axes[0], curves)
        draw_marks(axes[0], marks, PANEL)
        draw_difference(axes[1], curves, y="Per cent", least=LEAST_PER_CENT)

    return _reading_sheet(found, row, curves, question, panels)


LEAST_DB, LEAST_PER_CENT = 2.0, 10.0
"""how far axes of differences reach at least"""

MARKS, FINE_MARKS = (1.0, 2.0, 5.0), (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)
FEW_OHMS = 4.0
"""marks of an axis of impedances, in a decade; of one that spans a smaller ratio more"""

LEAST_SPAN, MOST_SPAN = 20.0, 50.0
"""dB of a level axis"""


def _response_panels(axes: list[Axes], curves: ReadingCurves) -> None:
    draw_reading(axes[0], curves, title="level, 2.83 V", y="Level in dB\nre 20 µPa")
    drawn = np.concatenate([curves.measured, curves.designed])
    lowest, highest = float(drawn.min()), float(drawn.max())
    span = 5 * np.ceil((level_top(highest) - lowest) / 5)
    level_axis(axes[0], highest, float(np.clip(span, LEAST_SPAN, MOST_SPAN)))
    draw_difference(axes[1], curves, y="dB", least=LEAST_DB)


def crossover_sheet(found: xr.Dataset) -> Figure | None:
    """Phases between drivers measured alone; None where none were.

    Readings of two clocks, or without phase, tell none.
    """
    names = found.told_reading.values.tolist()
    shown = []
    for n in range(found.sizes["crossover_reading"]):
        readings = str(found.crossover_readings.values[n]).split("; ")
        told_from = str(found.crossover_told_from.values[n])
        in_time = np.isfinite(float(found.crossover_phase_doubt[n]))
        if told_from == CROSSOVER_DRIVERS and in_time and len(readings) == 2:
            shown.append((n, names.index(readings[0]), names.index(readings[1])))
    if not shown:
        return None
    headed_by = (
        "Do the drivers hand over in step?",
        str(found.attrs["title"]),
        "Phase of the upper driver against the lower. Green: in step. Dotted: equally loud there.",
    )
    figure, axes = new_figure(head_height(*headed_by) + 0.8 + 2.8 * len(shown), rows=len(shown))
    for panel, (n, lower, upper) in zip(axes[:, 0], shown, strict=True):
        draw_crossover(panel, found, n, lower, upper)
    key(axes[0, 0])
    head(figure, *headed_by)
    return figure


def _reading_sheet(
    found: xr.Dataset,
    row: int,
    curves: ReadingCurves,
    question: str,
    draw: Callable[[list[Axes], ReadingCurves], None],
) -> Figure:
    rows = 2 + (curves.phase is not None)
    name = str(found.told_reading.values[row])
    subject = f"{found.attrs['title']}, {name}"
    more = f"Against healthy builds: {found.banded_verdict.sel(banded_reading=name).values}."
    if curves.found is not None and found.sizes["cause"]:
        told = per_cent(float(found.cause_probability[0]))
        cause, *others = found.cause_words.values[0].tolist()
        if any(others):
            told += " with what would look the same"
        words = textwrap.shorten(cause, CAUSE_LETTERS, placeholder="…")
        more += f" Likeliest known cause ({told}): {words}."
    headed_by = (question, subject, more)
    ratios = {"height_ratios": [1.5, 1.0, 1.0][:rows]}
    figure, axes = new_figure(
        head_height(*headed_by) + 1.1 + 1.55 * (rows + 0.5),
        rows=rows,
        sharex=True,
        gridspec_kw=ratios,
    )
    panels = list(axes[:, 0])
    draw(panels, curves)
    if curves.phase is not None:
        draw_phase_difference(panels[2], curves)
    for panel in panels[:-1]:
        panel.set_xlabel("")
    bands: list[Artist] = [
        each for each in panels[0].collections if not str(each.get_label()).startswith("_")
    ]
    key(panels[0], curves=[*named_curves(panels[0]), *bands])
    head(figure, *headed_by)
    return figure


def _ohm_axis(axes: Axes, curves: ReadingCurves) -> None:
    """A logarithmic axis with room above for the names of marks."""
    drawn = [each for each in (curves.measured, curves.designed, curves.found) if each is not None]
    low, high = min(float(np.min(each)) for each in drawn), max(float(np.max(e)) for e in drawn)
    axes.set_yscale("log")
    axes.set_ylim(low / 1.15, high * (high / low) ** 0.35 * 1.1)
    fine = high < FEW_OHMS * low
    axes.yaxis.set_major_locator(LogLocator(10, subs=FINE_MARKS if fine else MARKS))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda ohm, _: f"{ohm:g}"))
    axes.yaxis.set_minor_formatter(NullFormatter())


def _cause_rows(found: xr.Dataset) -> list[CauseRow]:
    rows = [
        CauseRow("as designed", float(found.attrs["healthy"]), False),
        CauseRow("something that is on no list", float(found.attrs["unknown"]), False),
    ]
    for n in range(found.sizes["cause"]):
        words = [str(each) for each in found.cause_words.values[n] if each]
        rows.append(CauseRow("; or ".join(words), float(found.cause_probability[n]), True))
    rows.sort(key=lambda one: -one.probability)
    likely = [row for row in rows if row.probability >= LEAST_SHARE][:MOST_CAUSES]
    # The design and the unknown are what a reader looks for, however unlikely they are.
    return likely + [row for row in rows if not row.is_fault and row not in likely]


def _nothing(_: xr.Dataset) -> None:
    return None
