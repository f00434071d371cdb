"""Figures of layouts in words and a table, and what predictions make of the change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Quality
from acoustics.listening import hold, judge_aims
from acoustics.listening.body_shape import reference_point
from acoustics.listening.window_ripple import window_ripple
from acoustics.report.plain_text import columns, paragraph
from acoustics.studies.layout_search.answer import Arranged, LayoutFound
from acoustics.studies.layout_search.figures import IN_A_SENTENCE
from acoustics.studies.wording import listed, number, tally

NAMES: dict[Quality, str] = {
    "ripple off axis": "ripple off axis against the axis",
    "common ripple": "ripple common to all directions",
    "ripple on axis": "ripple on the axis",
    "sides": "left against right",
    "seat level": "level at the main seat",
    "floor dip": "floor dip at the main seat",
}

WINDOW = 30.0
"""degrees: how far the listening window of CTA-2034-A reaches to either side"""


@dataclass(frozen=True)
class Improved:
    """The design with the layout that was found, and its prediction."""

    case: Case
    prediction: xr.Dataset


def figure_table(found: LayoutFound) -> str:
    """Every quality of the start, the best, the knee and the other end of the front."""
    layouts: list[tuple[str, Arranged]] = [("start", found.start)]
    if not found.stays:
        layouts.append(("best", found.best))
    front = found.front
    if found.knee is not None and front[found.knee] not in (found.best, front[-1]):
        layouts.append(("knee", front[found.knee]))
    if front and front[-1] not in (found.best, found.start):
        layouts.append(("other end", front[-1]))
    rows = [["", *(name for name, _ in layouts)]]
    for quality in found.start.figures:
        mark = {found.question.aim: " (aim)", found.question.against: " (other aim)"}
        values = [number(layout.figures[quality], "dB", finer=1) for _, layout in layouts]
        rows.append([f"{NAMES[quality]}{mark.get(quality, '')}", *values])
    more = []
    if any(name == "knee" for name, _ in layouts):
        more.append("Knee: gives up least of either aim.")
    if any(name == "other end" for name, _ in layouts):
        more.append("Other end: the best by the other aim.")
    words = f"\n\n{paragraph(' '.join(more))}" if more else ""
    return f"{columns(rows)}{words}"


def change_lines(
    case: Case, found: LayoutFound, before: xr.Dataset, improved: Improved | None
) -> list[str]:
    """The case's own brief and aims, and ripple on its own axis, before and after."""
    states = [_states(case, before)]
    if improved is None:
        return [f"The design {_tallied(states[0])}."] if states[0] else []
    after = improved.prediction
    states.append(_states(improved.case, after))
    points = []
    if states[0]:
        points.append(f"Now: {_tallied(states[0])}. With the best layout: {_tallied(states[1])}.")
        points += _turned(*states)
    points += _on_its_own_axis(found, before, after)
    return points


def _states(case: Case, prediction: xr.Dataset) -> dict[str, str]:
    """Points of the brief and aims by name → how they stand."""
    held = {f"{one.name} (brief)": str(one.verdict) for one in hold(case, prediction)}
    return held | {one.aim.name: one.state for one in judge_aims(case, prediction)}


def _tallied(states: dict[str, str]) -> str:
    count = f"the {len(states)} points of brief and aims" if len(states) > 1 else "its one point"
    return tally(count, list(zip(states.values(), states, strict=True)))


def _turned(before: dict[str, str], after: dict[str, str]) -> list[str]:
    """Which become met, which are missed now, and which are no longer sure to be met."""
    turns: dict[tuple[str, str], list[str]] = {
        ("becomes met", "become met"): [],
        ("is missed now", "are missed now"): [],
        ("is no longer sure to be met", "are no longer sure to be met"): [],
    }
    better, worse, doubtful = turns.values()
    for name, was in before.items():
        now = after.get(name, was)
        if now == was:
            continue
        if now == "met":
            better.append(f"'{name}'")
        elif now == "missed":
            worse.append(f"'{name}'")
        elif was == "met":
            doubtful.append(f"'{name}'")
    points = [
        f"{listed(names)} {several if len(names) > 1 else one}."
        for (one, several), names in turns.items()
        if names
    ]
    return points or ["No point changes between met and missed."]


def _on_its_own_axis(found: LayoutFound, before: xr.Dataset, after: xr.Dataset) -> list[str]:
    """The ripple that `predict` finds; its axis goes with the driver that it starts from."""
    asked = found.question
    ways: Sequence[tuple[Quality, str]] = (
        ("ripple off axis", "worst_ripple"),
        ("common ripple", "common_ripple"),
    )
    if asked.window != WINDOW:
        return []
    ripples = [window_ripple(each, asked.band, asked.smoothing) for each in (before, after)]
    if ripples[0].note or ripples[1].note:
        return []
    told = [
        f"{IN_A_SENTENCE[quality]} {number(float(ripples[0][key]), 'dB', finer=1)} dB now and "
        f"{number(float(ripples[1][key]), 'dB', finer=1)} dB then"
        for quality, key in ways
    ]
    moved = not np.allclose(reference_point(before), reference_point(after), atol=1e-6)
    where = (
        "From the reference axis that each case has, which moves with its driver"
        if moved
        else "From the reference axis, which stays"
    )
    return [f"{where}: {'; '.join(told)}."]
