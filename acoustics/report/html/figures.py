"""Figures of a page, with what reads them off and zooms them."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.report.html.chart_svg import chart_svg, sample_svg
from acoustics.report.html.content import Chart, Picture
from acoustics.report.html.page_words import said, text
from acoustics.report.html.reading.packed import as_json
from acoustics.report.html.reading.panel import Panel, Reading, Scale

HINT = "Point at the figure to read it off."
HINT_OF_PARTS = "Point at a part, or choose one, to read what it is."
"""said until something is read off"""


def figure(block: Chart | Picture) -> str:
    """A chart or a picture with its controls and what to see in it."""
    return _chart(block) if isinstance(block, Chart) else _picture(block)


def _chart(chart: Chart) -> str:
    names = "".join(
        f"<li>{sample_svg(chart, number)} {text(curve.name)} "
        f'<output data-curve="{number}"></output></li>'
        for number, curve in enumerate(chart.curves)
    )
    last = chart.frequency.size - 1
    slider = (
        '<label>Read off at <output class="at"></output> '
        f'<input type="range" min="0" max="{last}" step="1" value="{last // 2}" '
        f'aria-label="Frequency to read off: {text(chart.title)}"></label>'
    )
    return (
        f'<figure class="chart-figure" id="{chart.name}-figure">'
        f"<h3>{text(chart.title)}</h3>"
        f'<div class="frame">{chart_svg(chart)}</div>'
        f'<div class="controls" hidden>{slider}{_buttons(chart.title)}</div>'
        f'<ul class="key">{names}</ul>'
        f"<figcaption>{said(chart.sentence)}</figcaption></figure>"
    )


def _picture(picture: Picture) -> str:
    reading = picture.reading
    told = ""
    if reading:
        numbered = any(panel.x or panel.y for panel in reading)
        hint = HINT if numbered else HINT_OF_PARTS
        told = (
            f'<p class="told"><output class="at"></output> '
            f'<output class="thing">{hint}</output></p>'
        )
    inside = (
        f'<div class="readout">{told}{_buttons(picture.title)}</div>{_chooser(picture)}'
        f"{''.join(_sliders(picture))}"
    )
    return (
        f'<figure class="sheet-figure" id="{picture.name}-figure" '
        f'data-read="{text(as_json(reading))}">'
        f'<div class="frame">{picture.svg}</div>'
        f'<div class="controls" hidden>{inside}</div>'
        f"<figcaption>{said(picture.sentence)}</figcaption></figure>"
    )


def _buttons(title: str) -> str:
    """What zooms a figure; only a script can, so only a script shows controls."""
    name = text(title)
    buttons = "".join(
        f'<button type="button" data-do="{what}" aria-label="{words}: {name}">{sign}</button>'
        for what, sign, words in (
            ("in", "+", "Zoom in"),
            ("out", "−", "Zoom out"),
            ("reset", "Whole", "Whole figure"),
        )
    )
    return f'<span class="zoom">{buttons}</span>'


def _chooser(picture: Picture) -> str:
    """A list of all things in a figure, by panels if there are several; values are their numbers.

    None where there is nothing to choose.
    """
    reading = picture.reading
    if len(reading) < 2 and not any(panel.things for panel in reading):
        return ""
    groups = "".join(
        f'<optgroup label="{text(panel.name)}">{"".join(_options(number, panel))}</optgroup>'
        if len(reading) > 1 and panel.things
        else "".join(_options(number, panel))
        for number, panel in enumerate(reading)
    )
    return (
        f'<label class="choose">Look at <select aria-label="Look at: {text(picture.title)}">'
        f'<option value="">–</option>{groups}</select></label>'
    )


def _options(number: int, panel: Panel) -> Iterator[str]:
    """Of a panel as a whole, where its name tells it, and of its things."""
    if panel.name:
        yield f'<option value="{number}:">{text(panel.name)}</option>'
    for row, thing in enumerate(panel.things):
        yield f'<option value="{number}:{row}">{text(thing.name)}</option>'


def _sliders(picture: Picture) -> Iterator[str]:
    """One for each direction that some panel has numbers along."""
    for way, scale in (("x", _first(picture.reading, "x")), ("y", _first(picture.reading, "y"))):
        if scale is not None:
            yield (
                f'<label><span>{scale.name}</span> <input type="range" data-along="{way}" min="0" '
                f'step="1" data-of="{text(picture.title)}" '
                f'aria-label="{scale.name} to read off: {text(picture.title)}"></label>'
            )


def _first(reading: Reading, way: str) -> Scale | None:
    found = (panel.x if way == "x" else panel.y for panel in reading)
    return next((scale for scale in found if scale is not None), None)
