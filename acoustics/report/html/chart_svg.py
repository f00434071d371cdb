"""A chart as SVG that stands by itself, with its numbers inside for whoever reads it off."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

import numpy as np

from acoustics.figures.style import GRID, INK, PAPER, QUIET, short_hertz
from acoustics.report.html.chart_axes import (
    BOTTOM,
    HEIGHT,
    LEFT,
    RIGHT,
    TOP,
    WIDTH,
    across,
    colour,
    dash,
    down,
    ends,
    frequency_lines,
    name_places,
    stroke,
    value_lines,
)
from acoustics.report.html.content import Chart
from acoustics.report.plain_text import clipped

NAME_LETTERS = 19
"""of a curve's name beside it"""

BEYOND = 3.0
"""heights of the plot: farther out curves are cut, and no one sees it"""


def chart_svg(chart: Chart) -> str:
    """Draw a chart.

    Its root holds frequencies (`data-frequency`), the ends of both axes (`data-range`), the sides
    of the plot (`data-plot`) and the unit; every curve its values (`data-value`). Names are
    escaped; there is neither style nor script in it.
    """
    low, high = ends(chart)
    box = f"{LEFT:g} {TOP:g} {WIDTH - RIGHT:g} {HEIGHT - BOTTOM:g}"
    name = chart.name
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" class="chart" data-plot="{box}" '
        f'data-range="{low:.6g} {high:.6g} {chart.low:.6g} {chart.high:.6g}" '
        f'data-unit="{escape(chart.unit)}" data-frequency="{_numbers(chart.frequency, 6)}" '
        f'font-family="system-ui, sans-serif" font-size="13">'
    )
    parts = [
        opening,
        f'<title id="{name}-title">{escape(chart.title)}</title>',
        f'<desc id="{name}-desc">{escape(_described(chart))}</desc>',
        f'<clipPath id="{name}-clip"><rect x="{LEFT:g}" y="{TOP:g}" '
        f'width="{WIDTH - RIGHT - LEFT:g}" height="{HEIGHT - BOTTOM - TOP:g}"/></clipPath>',
        f'<rect width="{WIDTH:g}" height="{HEIGHT:g}" fill="{PAPER}"/>',
        f'<g clip-path="url(#{name}-clip)" class="shaded">{"".join(_shaded(chart))}</g>',
        f'<g class="grid">{"".join(_grid(chart))}</g>',
        f'<g class="marks">{"".join(_marks(chart))}</g>',
        f'<g clip-path="url(#{name}-clip)" class="curves" fill="none" stroke-linejoin="round">'
        f"{''.join(_curves(chart))}</g>",
        f'<g class="names">{"".join(_names(chart))}</g>',
        "".join(_axes(chart)),
        "</svg>",
    ]
    return "\n".join(part for part in parts if part)


def sample_svg(chart: Chart, number: int) -> str:
    """A short piece of a curve, for a key."""
    return (
        '<svg viewBox="0 0 40 12" width="40" height="12" aria-hidden="true" focusable="false">'
        f'<path d="M1 6H39" {_look(chart, number)}/></svg>'
    )


def _described(chart: Chart) -> str:
    """Which curves, over which frequencies, in which unit."""
    low, high = ends(chart)
    names = "; ".join(curve.name for curve in chart.curves)
    return f"{chart.axis} from {low:.4g} to {high:.4g} Hz: {names}. {chart.sentence}"


def _look(chart: Chart, number: int) -> str:
    dashes = dash(chart, number)
    dashed = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dashes)}"' if dashes else ""
    return f'stroke="{colour(chart, number)}" stroke-width="{stroke(chart, number):g}"{dashed}'


def _curves(chart: Chart) -> Iterator[str]:
    x = across(chart, chart.frequency)
    # What lies far outside would only make the file longer.
    reach = BEYOND * HEIGHT
    for number, curve in enumerate(chart.curves):
        y = np.clip(down(chart, curve.values), -reach, reach)
        yield (
            f'<path class="curve" {_look(chart, number)} data-name="{escape(curve.name)}" '
            f'data-value="{_numbers(curve.values, 5)}" d="{_path(x, y)}"/>'
        )


def _path(x: np.ndarray, y: np.ndarray) -> str:
    """Lines through all points that are known, begun anew after each gap."""
    commands, pen = [], False
    for across_, down_ in zip(x, y, strict=True):
        known = bool(np.isfinite(down_))
        if known:
            commands.append(f"{'L' if pen else 'M'}{across_:.1f} {down_:.1f}")
        pen = known
    return "".join(commands)


def _numbers(values: np.ndarray, digits: int) -> str:
    """Numbers with commas between them; nothing stands where one is not known."""
    return ",".join(f"{value:.{digits}g}" if np.isfinite(value) else "" for value in values)


def _grid(chart: Chart) -> Iterator[str]:
    bottom = HEIGHT - BOTTOM
    for frequency, labelled in frequency_lines(chart):
        x = float(across(chart, frequency))
        width = 0.9 if labelled else 0.4
        yield f'<path d="M{x:.1f} {TOP:g}V{bottom:g}" stroke="{GRID}" stroke-width="{width:g}"/>'
        if labelled:
            yield _text(x, bottom + 19, short_hertz(frequency), "middle")
    for value in value_lines(chart):
        y = float(down(chart, value))
        yield f'<path d="M{LEFT:g} {y:.1f}H{WIDTH - RIGHT:g}" stroke="{GRID}" stroke-width="0.9"/>'
        yield _text(LEFT - 8, y + 4.5, f"{value:g}".replace("-", "−"), "end")


def _marks(chart: Chart) -> Iterator[str]:
    """Frequencies and values of note."""
    dashed = f'stroke="{QUIET}" stroke-width="1" stroke-dasharray="3 3"'
    for frequency, words in chart.marks:
        x = float(across(chart, frequency))
        yield (
            f'<g class="mark" data-frequency="{frequency:.6g}" transform="translate({x:.1f} 0)">'
            f'<path d="M0 {TOP:g}V{HEIGHT - BOTTOM:g}" {dashed}/>'
            f"{_text(0, HEIGHT - BOTTOM - 6, words, 'middle', QUIET)}</g>"
        )
    for value, words in chart.limits:
        y = float(down(chart, value))
        yield (
            f'<g class="limit" data-limit="{value:.6g}" transform="translate(0 {y:.1f})">'
            f'<path d="M{LEFT:g} 0H{WIDTH - RIGHT:g}" {dashed}/>'
            f"{_text(LEFT + 6, -5, words, 'start', QUIET)}</g>"
        )


def _shaded(chart: Chart) -> Iterator[str]:
    for low, high in chart.shaded:
        left, right = (float(across(chart, end)) for end in (low, high))
        yield (
            f'<rect class="band" data-low="{low:.6g}" data-high="{high:.6g}" x="{left:.1f}" '
            f'y="{TOP:g}" width="{max(right - left, 1.0):.1f}" height="{HEIGHT - BOTTOM - TOP:g}" '
            'fill="#eef0f3"/>'
        )


def _names(chart: Chart) -> Iterator[str]:
    """The curves' names on their right, each with a thread to where its curve ends."""
    edge = WIDTH - RIGHT
    for number, (end, place) in enumerate(name_places(chart)):
        if np.isnan(end):
            continue
        ink = colour(chart, number)
        yield (
            f'<path d="M{edge:g} {end:.1f}L{edge + 12:g} {place:.1f}" stroke="{ink}" '
            'stroke-width="0.8" fill="none"/>'
        )
        yield _text(
            edge + 16,
            place + 4.5,
            clipped(chart.curves[number].name, NAME_LETTERS),
            "start",
        )


def _axes(chart: Chart) -> Iterator[str]:
    middle = (TOP + HEIGHT - BOTTOM) / 2
    yield _text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 10, "Frequency in Hz", "middle")
    yield (
        f'<g transform="translate(16 {middle:.1f}) rotate(-90)">'
        f"{_text(0, 0, chart.axis, 'middle')}</g>"
    )


def _text(x: float, y: float, words: str, anchor: str, ink: str = INK) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{ink}">{escape(words)}</text>'
    )
