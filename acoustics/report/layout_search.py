"""A search for a layout in words: where the drivers go, what it gains and costs, how exactly."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.cabinet.names import face_words
from acoustics.case.design.model import Case
from acoustics.case.text.places import place_words
from acoustics.case.text.units import in_unit
from acoustics.report.layout_basis import basis, cautions
from acoustics.report.layout_figures import Improved, change_lines, figure_table
from acoustics.report.layout_trade import room_lines, trade_lines, treatment_table
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.comparison.audible import audible
from acoustics.studies.comparison.verdicts import heard_apart
from acoustics.studies.layout_search.answer import Arranged, LayoutFound
from acoustics.studies.layout_search.dataset import AS_IT_IS
from acoustics.studies.layout_search.figures import IN_A_SENTENCE, SENSE
from acoustics.studies.layout_search.marked import marks_of
from acoustics.studies.wording import amount, hertz, listed

IN_PLACE = "Where they are, with what else changes below"
"""the answer where drivers stay and something else is better"""


def layout_text(
    case: Case, found: LayoutFound, before: xr.Dataset, improved: Improved | None
) -> str:
    """Say where the drivers should sit, what that gains and costs, and how exactly it must be.

    Args:
        case: the design that was searched.
        found: what was found.
        before: prediction of `case`.
        improved: the new design; None where nothing better was found.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    parts = [
        f"{case.title}\n{'=' * len(case.title)}",
        paragraph(f"Where should the drivers sit? {_answer(case, found)}"),
        "" if improved is None else paragraph(_heard(before, improved.prediction)),
        _points("Look at this first", cautions(case, found)),
        f"{heading('Where to mark the centres')}\n{_marks(case, found)}",
        _points("What else changes", _tuning(case, found)),
        f"{heading('Figures in dB')}\n{figure_table(found)}",
        _points("What the cases' own predictions say", change_lines(case, found, before, improved)),
        _points("How exactly", room_lines(found)),
        _points("What it costs in the other aim", trade_lines(found)),
        _treatments(found),
        _points("What the present layout breaks", list(found.broken)),
        _points("What this rests on", basis(case, found)),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _answer(case: Case, found: LayoutFound) -> str:
    aim = found.question.aim
    words = IN_A_SENTENCE[aim]
    now, then = (amount(each.figures[aim], "dB", finer=1) for each in (found.start, found.best))
    if found.stays:
        return (
            f"Where they are: of the layouts that keep to the rules none was found that betters "
            f"the {words} of {now}. No new case is written."
        )
    rise = "rises" if SENSE[aim] < 0 else "falls"
    if found.gain >= 0:
        gain = f"{words} {rise} from {now} to {then}, by {amount(found.gain, 'dB', finer=1)}."
    else:
        gain = (
            f"{words} is {then} there, worse than the {now} of the present layout, which breaks "
            "the rules: see below."
        )
    places = _places(case, found.best)
    more = ", with what else changes below" if _tuning(case, found) and places != IN_PLACE else ""
    return f"{places}. So{more}, heard from the reference axis as it is now, the {gain}"


def _places(case: Case, layout: Arranged) -> str:
    """Which driver goes where, of those that move."""
    moves = [mark for mark in marks_of(case, layout) if not _at_home(case, mark.driver, layout)]
    if not moves:
        return IN_PLACE
    several = len({mark.face for mark in moves}) > 1
    told = [
        f"the {mark.driver} {place_words(mark.right, mark.up)}"
        + (f" on the {face_words(mark.face)}" if several else "")
        for mark in moves
    ]
    middle = "its face" if several else f"the {face_words(moves[0].face)}"
    said = f"{'; '.join(told)}, counted from the middle of {middle}"
    return said[0].upper() + said[1:]


def _at_home(case: Case, name: str, layout: Arranged) -> bool:
    return tuple(layout.positions[name]) == tuple(case.driver(name).position)


def _heard(before: xr.Dataset, after: xr.Dataset) -> str:
    said = heard_apart(audible([before, after]))
    return f"Can it be heard? {said.replace('the designs differ', 'the two layouts differ')}"


def _marks(case: Case, found: LayoutFound) -> str:
    """By the rule: from the middle of the face, and from its left and top edge; now, and best."""
    rows = [["mm", "", "right", "up", "from left edge", "from top edge"]]
    layouts = [("now", found.start), *([] if found.stays else [("best", found.best)])]
    marked = [(when, marks_of(case, layout)) for when, layout in layouts]
    for n, name in enumerate(found.start.positions):
        for when, marks in marked:
            mark = marks[n]
            sizes = (mark.right, mark.up, mark.from_left, mark.from_top)
            first = name if when == "now" else ""
            rows.append([first, when, *("" if size is None else _mm(size) for size in sizes)])
    more = (
        "Right and up count from the middle of the face; edges are those of the cabinet before "
        "they are cut or rounded, as one sees that face."
    )
    return f"{columns(rows, left=2)}\n\n{paragraph(more)}"


def _mm(size: float) -> str:
    return f"{1e3 * size + 0.0:.1f}".replace("-", "−")


def _tuning(case: Case, found: LayoutFound) -> list[str]:
    """Corners, delays and edges that are other than before."""
    start, best = found.start, found.best
    points = []
    if best.corners and best.corners != start.corners:
        corners = zip(start.corners, best.corners, strict=True)
        told = [f"{hertz(then)} (now {hertz(now)})" for now, then in corners]
        points.append(
            f"Corners of the crossover: {listed(told)}; those of both sides move in one ratio."
        )
    delays = [
        f"{name} {in_unit(value, 'ms', digits=4)} (now {in_unit(start.delays[name], 'ms')})"
        for name, value in best.delays.items()
        if value != start.delays[name]
    ]
    if delays:
        points.append(f"Delays: {listed(delays)}.")
    if best.treatment != start.treatment:
        name = AS_IT_IS if best.treatment is None else f"'{best.treatment.name}'"
        points.append(f"Edges of the cabinet: {name}.")
    return points


def _treatments(found: LayoutFound) -> str:
    table = treatment_table(found)
    return f"{heading('Edges compared')}\n{table}" if table else ""


def _points(title: str, points: Sequence[str]) -> str:
    return "\n".join([heading(title), *map(bullet, points)]) if points else ""
