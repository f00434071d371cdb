"""The figures of a study of tolerances: which question each answers."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable

import numpy as np
import xarray as xr
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from acoustics.figures.ear_height import mark_ear_heights
from acoustics.figures.style import (
    PAPER,
    head,
    head_height,
    key,
    level_axis,
    level_top,
    named_curves,
    new_figure,
)
from acoustics.figures.tolerance_aims import LIMIT, MEANINGS, OWN, draw_aim
from acoustics.figures.tolerance_bands import (
    DESIGN,
    band_name,
    draw_band,
    draw_half_widths,
    draw_height_band,
)
from acoustics.figures.tolerance_weights_sheet import weights_sheet
from acoustics.figures.tolerance_words import headed
from acoustics.studies.tolerance.answers import (
    CURVES,
    SEATS,
    aim_figures,
    half_width,
    hundred,
    main_seat,
)
from acoustics.studies.wording import hertz

ToleranceSheet = Callable[[xr.Dataset], Figure | None]

LEVEL = "Level in dB\nre 20 µPa"
SPAN, SEAT_SPAN, HEIGHT_SPAN = 20.0, 40.0, 20.0
"""dB of a level axis: over frequency, at the seat, over height"""

TITLE_COLUMNS = 27
"""letters of a title that fit a panel of half the width"""

MOST_AIMS = 10
"""aims in one figure; of more, those that fewest builds meet"""

UNITS = {"dB": "dB", "dB/octave": "dB per octave", "degree": "degrees", "m": "m"}


def bands_sheet(found: xr.Dataset) -> Figure:
    """Axis, listening window and in-room curve of design and builds, and how wide bands are."""
    panels = len(CURVES)
    headed_by = headed(found, "How far do builds stray from the design?")
    figure, axes = new_figure(
        head_height(*headed_by) + 0.9 + 1.75 * (panels + 1), rows=panels + 1, sharex=True
    )
    for panel, (name, words) in zip(axes[:, 0], CURVES.items(), strict=False):
        _band(panel, found, name, words)
    halves = {words: half_width(found[name]) for name, words in CURVES.items()}
    last = axes[-1, 0]
    draw_half_widths(last, halves, title="half the width of each band")
    _bare(axes[:-1, 0])
    key(last, curves=[*_named(axes[0, 0]), *named_curves(last)])
    head(figure, *headed_by)
    return figure


def seat_sheet(found: xr.Dataset) -> Figure:
    """What the ears hear with reflections, at every ear height, and how wide the bands are."""
    ears = found.ear_height.values
    headed_by = headed(found, "How far do builds stray at the seat?", who=_who(found))
    figure, axes = new_figure(
        head_height(*headed_by) + 0.9 + 1.6 * (ears.size + 1), rows=ears.size + 1, sharex=True
    )
    band, design = main_seat(found), main_seat(found, "design_seat_level")
    for i, panel in enumerate(axes[:-1, 0]):
        here = {"surroundings": "with reflections"}
        shown = band.sel(here).isel(ear_height=i), design.sel(here).isel(ear_height=i)
        title = f"ears at {ears[i]:.2f} m"
        draw_band(panel, *shown, title=title, y=LEVEL, name=band_name(found))
        level_axis(panel, float(shown[0].max()), SEAT_SPAN)
    halves = half_width(band).max("ear_height")
    last = axes[-1, 0]
    each = {
        words.removeprefix("at the seat, "): halves.sel(surroundings=name)
        for name, words in SEATS.items()
    }
    draw_half_widths(last, each, title="half the width of the band, at the widest ear height")
    _bare(axes[:-1, 0])
    key(last, curves=[*_named(axes[0, 0]), *named_curves(last)])
    head(figure, *headed_by)
    return figure


def heights_sheet(found: xr.Dataset) -> Figure | None:
    """Level over height at each crossover, no reflections; None where no two drivers cross."""
    count = found.sizes["crossover"]
    if not count or found.sizes["height"] < 2:
        return None
    columns = min(count, 2)
    rows = -(-count // columns)
    headed_by = headed(
        found,
        "Do builds still forgive sitting lower or standing up?",
        "No reflections.",
        who=_who(found),
    )
    figure, axes = new_figure(
        head_height(*headed_by) + 0.7 + 3.6 * rows, rows=rows, columns=columns, sharey=True
    )
    top = level_top(float(found.height_level.max()))
    for i, panel in enumerate(axes.flat):
        if i >= count:
            panel.set_axis_off()
            continue
        pair, at = str(found.crossover.values[i]), float(found.crossover_frequency[i])
        title = f"{textwrap.fill(pair, TITLE_COLUMNS * 2 // columns)}\n{hertz(at)}"
        curves = (found[name].isel(crossover=i) for name in ("height_level", "design_height_level"))
        draw_height_band(panel, *curves, title=title, name=band_name(found))
        panel.set_xlim(top - HEIGHT_SPAN, top)
        mark_ear_heights(panel, found.ear_height.values)
        if i % columns:
            panel.set_ylabel("")
    key(axes[0, 0], curves=_named(axes[0, 0]))
    head(figure, *headed_by)
    return figure


def aims_sheet(found: xr.Dataset) -> Figure | None:
    """How every aim's figure spreads over the builds; None without aims of which any is known."""
    values = found.figure_value.transpose("build", "figure").values
    numbers = aim_figures(found)
    known = [n for n in range(found.sizes["aim"]) if np.isfinite(values[:, numbers[n]]).any()]
    if not known:
        return None
    first = sorted(known, key=lambda n: float(found.share_met[n]))[:MOST_AIMS]
    shown = sorted(first)
    columns = min(2, len(shown))
    rows = -(-len(shown) // columns)
    more = f"Of {len(known)} aims those that fewest builds meet." if len(first) < len(known) else ""
    headed_by = headed(found, "How many builds meet the aims?", more)
    titles = [_aim_title(found, n, TITLE_COLUMNS * 2 // columns) for n in shown]
    lines = max(title.count("\n") + 1 for title in titles)
    figure, axes = new_figure(
        head_height(*headed_by) + 1.0 + rows * (1.55 + 0.2 * lines), rows=rows, columns=columns
    )
    for panel in axes.flat[len(shown) :]:
        panel.set_axis_off()
    for panel, n, title in zip(axes.flat, shown, titles, strict=False):
        column, met = values[:, numbers[n]], found.aim_met.transpose("build", "aim").values[:, n]
        there = np.isfinite(column) & np.isfinite(met)
        unit = str(found.figure_units.values[numbers[n]])
        draw_aim(
            panel,
            column[there],
            met[there] == 1,
            float(found.design_figure[numbers[n]]),
            (float(found.aim_at_least[n]), float(found.aim_at_most[n])),
            title=title,
            unit=unit,
            units=UNITS.get(unit, unit),
        )
    for row in axes:
        for panel in row[1:]:
            panel.set_ylabel("")
    key(axes[0, 0], curves=_aim_key())
    head(figure, *headed_by)
    return figure


def impedance_sheet(found: xr.Dataset) -> Figure | None:
    """What the amplifier sees of the builds; None where no branch is passive."""
    if "input_impedance" not in found:
        return None
    headed_by = headed(found, "What does the amplifier see of the builds?")
    figure, axes = new_figure(head_height(*headed_by) + 3.0)
    panel = axes[0, 0]
    band, design = found.input_impedance, found.design_input_impedance
    name = band_name(found)
    draw_band(panel, band, design, title="", y="Impedance in ohm", name=name)
    panel.set_ylim(0, 1.05 * float(band.max()))
    key(panel, curves=_named(panel))
    head(figure, *headed_by)
    return figure


TOLERANCE_SHEETS: dict[str, ToleranceSheet] = {
    "bands": bands_sheet,
    "seat": seat_sheet,
    "ear-height": heights_sheet,
    "what-matters": weights_sheet,
    "aims": aims_sheet,
    "impedance": impedance_sheet,
}
"""File name → what draws it; None from a sheet means there is nothing to show."""


def _band(panel: Axes, found: xr.Dataset, name: str, words: str) -> None:
    band, design = found[name], found[f"design_{name}"]
    draw_band(panel, band, design, title=words, y=LEVEL, name=band_name(found))
    level_axis(panel, float(band.max()), SPAN)


def _bare(panels: Iterable[Axes]) -> None:
    for panel in panels:
        panel.set_xlabel("")


def _named(panel: Axes) -> list[Artist]:
    """The design's line and the band, for the key."""
    filled = [each for each in panel.collections if each.get_label() and _is_name(each)]
    return [*named_curves(panel), *filled]


def _is_name(artist: Artist) -> bool:
    return not str(artist.get_label()).startswith("_child")


def _who(found: xr.Dataset) -> str:
    """Who listens, where it is not all there is."""
    alone = found.sizes["listener"] == 1
    return "" if alone else f"{found.listener.values[0]}"


def _aim_title(found: xr.Dataset, aim: int, columns: int) -> str:
    told = hundred(found, aim).replace(" (", " of 100 (", 1)
    return "\n".join([*textwrap.wrap(str(found.aim.values[aim]), columns), told])


def _aim_key() -> list[Artist]:
    """What colours and lines of a panel of an aim mean."""
    met, missed = MEANINGS
    return [
        Patch(facecolor=met.colour, hatch=met.hatch, edgecolor=PAPER, label="builds that meet it"),
        Patch(
            facecolor=missed.colour,
            hatch=missed.hatch,
            edgecolor=PAPER,
            label="builds that miss it",
        ),
        Line2D([], [], label="the limit", **LIMIT),
        Line2D([], [], label=DESIGN, **OWN),
    ]
