"""What builds of a design do, in plain words and as a table."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.report.spreadsheet import csv_text
from acoustics.report.tolerance_basis import reasons, rests_on, stated_spreads
from acoustics.report.tolerance_verdict import aim_state, verdict
from acoustics.report.tolerance_weights import weights
from acoustics.report.tolerance_words import asked, value_words, wrapped
from acoustics.studies.tolerance.answers import (
    aim_figures,
    figure_name,
    hundred,
    per_hundred,
    strayings,
    told_figures,
    unknown_figures,
    worse_share,
)
from acoustics.studies.wording import amount, hertz, listed

BEST, WORST = 0.8, 0.2
"""share of the builds that are worse than the design: beyond these, it is none of the usual ones"""


def tolerance_text(case: Case, found: xr.Dataset) -> str:
    """Say whether it matters that builds stray; how far they do; what matters most, what not.

    Args:
        case: the design.
        found: what `studies.tolerance` found of it.

    Returns:
        Text ending in a newline, of 88 columns.
    """
    title = paragraph(case.title)
    parts = [
        f"{title}\n{'=' * max(map(len, title.splitlines()))}",
        paragraph(verdict(found)),
        *_aims(found),
        _section("How far curves stray", _curves(found)),
        _section("How far figures stray", _figures(found)),
        _list("Where the design stands among its builds", _standing(found)),
        _list("What matters most", weights(found)),
        _list("What strays", stated_spreads(found)),
        *([_list("Builds that cannot be", reasons(found))] if found.attrs["builds_failed"] else []),
        _list("How sure this is", rests_on(case, found)),
    ]
    return "\n\n".join(parts) + "\n"


def tolerance_csv(found: xr.Dataset) -> str:
    """Every figure, one row each, as comma-separated values (RFC 4180).

    Columns: figure, meaning, unit, the design, percentiles, for aims what is asked, the share of
    builds that meet it with its interval and the share of which that is known; then how much of the
    variance the indices explain, why there are none, and of every spread the first-order and the
    total index. Empty cells are not known.
    """
    percentiles = [f"{each:g} %" for each in found.percentile.values]
    spreads = [str(name) for name in found.spread.values]
    head = ["figure", "meaning", "unit", "design", *percentiles, "at least", "at most"]
    head += ["share met", "share met, low", "share met, high", "share known", "explained"]
    head += ["no indices because"]
    head += [f"{kind} {name}" for name in spreads for kind in ("first order:", "total:")]
    rows: list[list[object]] = [[*head]]
    aims = aim_figures(found)
    for n in range(found.sizes["figure"]):
        one = found.isel(figure=n)
        row: list[object] = [figure_name(found, n), one.figure_long_name.values]
        row += [one.figure_units.values, _cell(one.design_figure)]
        row += [_cell(each) for each in one.figure_percentile.values]
        row += _aim_cells(found, n - aims.start) if n in aims else [""] * 6
        row += [_cell(one.explained), one.index_note.values]
        pairs = zip(one.first_order.values, one.total_order.values, strict=True)
        rows.append(row + [_cell(value) for pair in pairs for value in pair])
    return csv_text(rows)


def _aim_cells(found: xr.Dataset, aim: int) -> list[object]:
    names = ("aim_at_least", "aim_at_most", "share_met", "share_met_low", "share_met_high")
    return [_cell(found[name].values[aim]) for name in (*names, "share_known")]


def _cell(value: float | xr.DataArray) -> str:
    known = float(value)
    return f"{known:.6g}" if np.isfinite(known) else ""


def _section(title: str, text: str) -> str:
    return f"{heading(title)}\n{text}"


def _list(title: str, lines: Sequence[str]) -> str:
    # A number and its sign of per cent stay on one line.
    return "\n".join([heading(title), *(bullet(line.replace(" %", "\u00a0%")) for line in lines)])


def _aims(found: xr.Dataset) -> list[str]:
    """Of every aim what is asked, what the design does, and how many builds meet it."""
    if not found.sizes["aim"]:
        return []
    rows = [["", "asked", "the design", "met, of 100 builds"]]
    for n, figure in enumerate(aim_figures(found)):
        own = value_words(found, figure, float(found.design_figure[figure]))
        state = f"{own}, {aim_state(found, n)}"
        rows += wrapped([str(found.aim.values[n]), asked(found, n), state, hundred(found, n)])
    note = "In brackets the 95 % interval that so many builds leave."
    return [_section("Aims", f"{columns(rows)}\n\n{paragraph(note)}")]


def _curves(found: xr.Dataset) -> str:
    told = strayings(found)
    if not told:
        return paragraph(
            "Not known: the case's frequencies do not reach into 300 Hz to 10 kHz; predict more of "
            "them to be told."
        )
    rows = [["", "largest", "at", "median"]]
    for one in told:
        most, usual = (f"±{amount(each, 'dB', finer=1)}" for each in (one.largest, one.median))
        rows.append([one.where, most, hertz(one.frequency), usual])
    note = (
        f"Half the width of the band that holds {_band(found)} of 100 builds at each frequency by "
        "itself, between 300 Hz and 10 kHz; at the seat at the ear height where it is widest. Part "
        "of it is that a build is louder or softer as a whole. Reflections make combs of narrow "
        "dips, which move as ears do: a wide band there is a dip that comes and goes."
    )
    return f"{columns(rows)}\n\n{paragraph(note)}"


def _band(found: xr.Dataset) -> str:
    return f"{100 * found.attrs['band']:g}"


def _figures(found: xr.Dataset) -> str:
    told = told_figures(found)
    percentiles = [f"{each:g} %" for each in found.percentile.values]
    lines = []
    if told:
        rows = [["", "the design", *percentiles, "in"]]
        for n in told:
            values = [found.design_figure.values[n], *found.figure_percentile.values[:, n]]
            cells = [value_words(found, n, float(value)) for value in values]
            rows += wrapped([figure_name(found, n), *cells, _unit(found, n)])
        note = "Below each value lie so many of the builds."
        if any(cell.startswith("≥") for row in rows for cell in row):
            note += " ≥: as far as heights are predicted; it may be larger."
        lines = [columns(rows), "", paragraph(note)]
    unknown = unknown_figures(found)
    if unknown:
        names = listed([figure_name(found, n) for n in unknown])
        lines += [
            *([""] if lines else []),
            paragraph(
                f"Not known of any build: {names}. The case's frequencies or heights do not cover "
                "what they are taken over."
            ),
        ]
    return "\n".join(lines)


def _unit(found: xr.Dataset, figure: int) -> str:
    unit = str(found.figure_units.values[figure])
    return {"degree": "°", "dB/octave": "dB per octave"}.get(unit, unit)


def _standing(found: xr.Dataset) -> list[str]:
    """Whether most builds are worse, or better, than what was drawn."""
    best, worst, between = [], [], []
    for n in told_figures(found):
        share = worse_share(found, n)
        if np.isnan(share):
            continue
        name = figure_name(found, n)
        if share > BEST:
            best.append(f"{name} ({per_hundred(share)} of 100 are worse)")
        elif share < WORST:
            worst.append(f"{name} ({per_hundred(share)} of 100 are worse)")
        else:
            between.append(name)
    lines = []
    if best:
        lines.append(
            "The design sits at the best of its builds; most of them are worse, so expect what "
            f"50 % says above rather than the design's own: {listed(best)}."
        )
    if worst:
        lines.append(f"Few builds are worse than the design: {listed(worst)}.")
    if between:
        lines.append(f"Among its builds, neither the best nor the worst: {listed(between)}.")
    return lines or ["Of no figure that strays is less or more known to be better."]
