"""What a report consists of, before it is a page or a sheet of paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.report.html.reading.panel import Reading

SUMMARY = "summary"
"""name of the section that says all in one text"""


@dataclass(frozen=True)
class Curve:
    """One line of a chart.

    Args:
        name: what it is.
        values: at the chart's frequencies; what is not finite is not drawn.
        main: whether it is the one that the others go with: thick, in ink.
    """

    name: str
    values: np.ndarray
    main: bool = False


@dataclass(frozen=True)
class Chart:
    """Curves over frequency, which can be read off.

    Args:
        name: short, of letters and hyphens, one of its kind in a report.
        title: the question that it answers.
        sentence: what to see in it.
        axis: what the values are, with their unit.
        unit: of values that are read off.
        frequency: Hz, shape (frequency,).
        curves: with values of that shape.
        low, high: ends of the axis of values.
        marks: frequencies (Hz) that are marked, with their words.
        limits: values that are marked, with their words.
        shaded: ends (Hz) of bands that are less sure.
        ordered: whether the curves are steps of one quantity, not different things.
    """

    name: str
    title: str
    sentence: str
    axis: str
    unit: str
    frequency: np.ndarray
    curves: tuple[Curve, ...]
    low: float
    high: float
    marks: tuple[tuple[float, str], ...] = ()
    limits: tuple[tuple[float, str], ...] = ()
    shaded: tuple[tuple[float, float], ...] = ()
    ordered: bool = False


@dataclass(frozen=True)
class Picture:
    """A figure that is drawn elsewhere and shown as it is.

    Args:
        name: as of a `Chart`.
        title: what it shows.
        sentence: what to see in it.
        svg: the drawing, as an element that stands in a page.
        reading: what its places tell, if anything.
    """

    name: str
    title: str
    sentence: str
    svg: str
    reading: Reading = ()


@dataclass(frozen=True)
class Points:
    """Sentences that belong together, under a heading of their own if there is one."""

    lines: tuple[str, ...]
    title: str = ""


@dataclass(frozen=True)
class Table:
    """Rows of words, the first of them the heads of columns."""

    rows: tuple[tuple[str, ...], ...]
    caption: str
    title: str = ""


@dataclass(frozen=True)
class Verbatim:
    """Text whose line ends and blanks count."""

    text: str
    title: str = ""


Block = Points | Table | Verbatim | Chart | Picture


@dataclass(frozen=True)
class Section:
    """A part of a report with a heading; without blocks it is left out."""

    name: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Judged:
    """One thing that was asked for: its state, in the words that texts use, and all about it."""

    state: str
    text: str


@dataclass(frozen=True)
class Page:
    """A report.

    Args:
        title: the design's.
        answer: whether it is good, in a sentence or two.
        changes: what would be changed, the most useful first.
        judged: points of the brief and aims, those missed first.
        figures: names and values of what is asked first.
        sections: the rest.
        made_by: program and version.
    """

    title: str
    answer: str
    changes: tuple[str, ...]
    judged: tuple[Judged, ...]
    figures: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    made_by: str


def section(name: str, title: str, *blocks: Block | Sequence[Block] | None) -> Section:
    """A section of those blocks that there are."""
    found: list[Block] = []
    for block in blocks:
        if isinstance(block, Sequence):
            found += block
        elif block is not None:
            found.append(block)
    return Section(name, title, tuple(found))
