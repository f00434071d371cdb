"""What a sweep found, in plain words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.text.units import in_unit
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.sweeps.ranking import (
    Standing,
    key_names,
    keys_at,
    standings,
    swept_dims,
)
from acoustics.studies.sweeps.space import SAMPLE
from acoustics.studies.wording import WRITTEN, amount, beam, hertz, listed

MOST_REASONS = 5
"""Reasons of missing points that are told; of more, the most frequent."""


def sweep_summary(case: Case, found: xr.Dataset) -> str:
    """Say which points of a sweep are best in what, and which aims are met where.

    Args:
        case: the design with its sweep.
        found: what `studies.sweep` found.

    Returns:
        Text ending in a newline; paragraphs have 88 columns, tables as many as they need.
    """
    missing = int((found.reason != "").sum())
    points = found.reason.size
    parts = [f"{case.title}\n{'=' * len(case.title)}", paragraph(_what(found, points, missing))]
    if missing < points:
        ranked = standings(found)
        parts += [
            f"{heading('Which point is best in what')}\n{_table(found, ranked)}",
            *_aims(found),
            "\n".join(
                [heading("How sure this is"), *(bullet(line) for line in how_sure(case, found))]
            ),
        ]
    if missing:
        parts.append("\n".join([heading("Points that are missing"), *map(bullet, _reasons(found))]))
    parts += [bullet(f"The design's own note: {case.note}")] if case.note else []
    return "\n\n".join(parts) + "\n"


def value_words(value: float, units: str) -> str:
    """A swept key's value as people write it."""
    if units == "Hz":
        return hertz(value)
    if units in WRITTEN:
        return in_unit(value, WRITTEN[units], digits=4)
    return f"{value:.4g}" if units == "1" else f"{value:.4g} {units}"


def point_words(found: xr.Dataset, point: int) -> str:
    """Where a point lies: "offset 20 mm, corner 2 kHz"."""
    words = [f"{key.name} {value_words(value, key.units)}" for key, value in keys_at(found, point)]
    if SAMPLE in swept_dims(found):
        words.insert(0, f"sample {point % found.sizes[SAMPLE]}")
    return ", ".join(words)


def _what(found: xr.Dataset, points: int, missing: int) -> str:
    keys = []
    for name in key_names(found):
        key = found[name]
        low, high = (value_words(float(end), key.units) for end in (key.min(), key.max()))
        count = "drawn" if key.dims == (SAMPLE,) else f"{key.size} values"
        keys.append(f"{name} ({count}, {low} to {high}: {key.long_name})")
    lost = f"; {missing} could not be predicted" if missing else ""
    return f"{points} points{lost}. Swept: {'; '.join(keys)}."


def _table(found: xr.Dataset, ranked: Sequence[Standing]) -> str:
    """One line for every quality: the best, where, how many are as good, and the worst."""
    rows = [["", "best", "worst", "as good", "best at"]]
    for one in ranked:
        good = "all" if one.draw else str(int(one.alike.sum()))
        where = "" if one.draw else point_words(found, one.best)
        figures = (_figure(one, point) for point in (one.best, one.worst))
        rows.append([one.quality.name, *figures, good, where])
    known = (
        '"as good": points that cannot be told from the best, the calculation\'s error being what '
        "it is"
    )
    return f"{_flush(rows)}\n\n{paragraph(known)}"


def _flush(rows: list[list[str]]) -> str:
    """The table with its last column flush left."""
    head = columns([row[:-1] for row in rows], left=1).split("\n")
    width = max(map(len, head))
    return "\n".join(
        f"{line.ljust(width)}  {row[-1]}".rstrip() for line, row in zip(head, rows, strict=True)
    )


def _figure(one: Standing, point: int) -> str:
    value, quality = float(one.values[point]), one.quality
    if quality.unit == "degree":
        return beam(value)
    return amount(value, quality.unit, finer=quality.finer)


def _aims(found: xr.Dataset) -> list[str]:
    """How many points meet which aim, and where all are met."""
    if "aim_met" not in found:
        return []
    met = found.aim_met.transpose(..., "aim").values.reshape(-1, found.sizes["aim"])
    there = (found.reason == "").values.ravel()
    lines = []
    for i, name in enumerate(found.aim.values):
        yes, no = int((met[:, i] == 1).sum()), int((met[:, i] == 0).sum())
        unknown = int(there.sum()) - yes - no
        more = f", {unknown} too close to call or not known" if unknown else ""
        lines.append(f"{name}: met by {yes}, missed by {no}{more}.")
    every = np.flatnonzero((met == 1).all(axis=1))
    if every.size:
        lines.append(f"{_points(every.size)} all aims, such as {point_words(found, every[0])}.")
    else:
        most = int(np.argmax((met == 1).sum(axis=1)))
        count = int((met[most] == 1).sum())
        lines.append(
            "No point surely meets an aim."
            if count == 0
            else f"No point surely meets all aims; {count} of {met.shape[1]} are met at "
            f"{point_words(found, most)}."
        )
    return ["\n".join([heading("Aims"), *(bullet(line) for line in lines)])]


def _points(count: int) -> str:
    return "1 point meets" if count == 1 else f"{count} points meet"


def how_sure(case: Case, found: xr.Dataset) -> list[str]:
    """What the figures of a sweep rest on, and what they leave out, one point each."""
    lines = []
    if found.error_estimate.notnull().any():
        largest = float(found.error_estimate.max())
        lines.append(
            f"Calculation: levels ±{largest:.2f} dB at most, by the field solver's own estimate. "
            "Real drivers, parts and saw cuts differ by more."
        )
    short = int((found.targets_missed > 0).sum())
    if short:
        lines.append(
            f"At {short} points a driver does not reach its acoustic target (targets_missed)."
        )
    lines.append(
        "Figures at the seat are those of the main seat, the worst of its ear heights; `roundover "
        "predict` on a case with a point's values tells all of that point."
    )
    if heard := [driver.name for driver in case.drivers if driver.measured]:
        lines.append(
            f"What was measured of {listed(heard)} belongs to the case as it stands: its source "
            "goes along to points that move it, while `roundover predict` takes a table to be "
            "measured in the case that names it."
        )
    return lines


def _reasons(found: xr.Dataset) -> list[str]:
    """Why points are missing, the most frequent reason first."""
    counted = Counter(str(why) for why in found.reason.values.ravel() if why)
    lines = [f"{count}: {why}" for why, count in counted.most_common(MOST_REASONS)]
    more = len(counted) - len(lines)
    return [*lines, *([f"… and {more} more reasons; sweep.nc has them all"] if more > 0 else [])]
