"""How freely a layout may be built, what one aim costs of the other, and edges compared."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.place_model import Quality
from acoustics.case.text.places import place_words
from acoustics.case.text.units import in_unit
from acoustics.report.layout_figures import NAMES
from acoustics.report.plain_text import columns
from acoustics.studies.layout_search.answer import Arranged, Freedom, LayoutFound
from acoustics.studies.layout_search.dataset import AS_IT_IS
from acoustics.studies.layout_search.figures import IN_A_SENTENCE, SENSE
from acoustics.studies.wording import amount, hertz, listed, number

ENDS = {"rule": "a rule ends it", "span": "its span ends"}
"""why a value may go no farther where the aim is not worse yet"""

HARDLY = 0.05
"""dB: less of an aim is hardly worth a word"""


def room_lines(found: LayoutFound) -> list[str]:
    """How far each value of the best may go, all others kept."""
    aim = IN_A_SENTENCE[found.question.aim]
    within = amount(found.within, "dB", finer=1)
    lines = [
        f"Each value alone may go so far before the {aim} is worse by more than {within}, or a "
        "rule forbids it:"
    ]
    for each in found.freedom:
        if each.low == each.high:
            lines.append(f"{each.name}: {_value(each, each.value)}, held there.")
            continue
        why = f" ({words})" if (words := _why(each)) else ""
        span = f"{_value(each, each.low)} to {_value(each, each.high)}"
        lines.append(f"{each.name}: {_value(each, each.value)}, from {span}{why}.")
    return lines


def _why(each: Freedom) -> str:
    """What ends a value's room where that is not the aim."""
    if each.low_end == each.high_end == "rule":
        return "rules end it both ways"
    if each.low_end == each.high_end == "span":
        return "its span ends both ways"
    ways = ("to the left", "to the right") if each.name.endswith(" right") else ("below", "above")
    ends = zip(ways, (each.low_end, each.high_end), strict=True)
    return listed([f"{ENDS[end]} {way}" for way, end in ends if end in ENDS])


def _value(each: Freedom, value: float) -> str:
    if each.unit == "m":
        return f"{1e3 * value + 0.0:.1f} mm".replace("-", "−")
    return hertz(value) if each.unit == "Hz" else in_unit(value, "ms", digits=3)


def trade_lines(found: LayoutFound) -> list[str]:
    """What a little of the other aim costs of the first, from the best along the front."""
    asked = found.question
    if asked.against is None or found.knee is None:
        return []
    front, knee = found.front, found.knee
    if len(front) == 1:
        return [
            f"The best by the {IN_A_SENTENCE[asked.aim]} is the best by the "
            f"{IN_A_SENTENCE[asked.against]} too, of all that were judged: nothing is given up."
        ]
    parts = []
    if knee:
        parts.append(("From the best to the knee", front[0], front[knee]))
    if knee < len(front) - 1:
        start = "From the knee" if knee else "From the best, which is the knee,"
        parts.append((f"{start} to the other end", front[knee], front[-1]))
    lines = [f"{len(front)} layouts are told of which none beats another in both."]
    for words, one, other in parts:
        lost, won = _step(found, one, other)
        lines.append(
            f"{words}: {amount(won, 'dB', finer=1)} {_better(asked.against)} cost "
            f"{amount(lost, 'dB', finer=1)} {_worse(asked.aim)}. There: {_where(other)}."
            if won >= HARDLY
            else f"{words} hardly anything is won."
        )
    lines.append("layout.nc has all of them; to have one, write its places into the case.")
    return lines


def _step(found: LayoutFound, one: Arranged, other: Arranged) -> tuple[float, float]:
    """What is lost of the first aim and won of the second along the front, dB."""
    aim, against = found.question.aim, found.question.against
    assert against is not None
    lost = SENSE[aim] * (other.figures[aim] - one.figures[aim])
    won = SENSE[against] * (one.figures[against] - other.figures[against])
    return lost, won


def _better(quality: Quality) -> str:
    return f"{'less' if SENSE[quality] > 0 else 'more'} {IN_A_SENTENCE[quality]}"


def _worse(quality: Quality) -> str:
    return f"{'more' if SENSE[quality] > 0 else 'less'} {IN_A_SENTENCE[quality]}"


def _where(layout: Arranged) -> str:
    places = [f"{name} {place_words(*at)}" for name, at in layout.positions.items()]
    tuned = [f"corner {hertz(each)}" for each in layout.corners]
    tuned += [f"{name} {in_unit(each, 'ms', digits=3)}" for name, each in layout.delays.items()]
    edges = [] if layout.treatment is None else [f"edges '{layout.treatment.name}'"]
    return "; ".join([*places, *tuned, *edges])


def treatment_table(found: LayoutFound) -> str:
    """The best of the aims that was judged with each treatment of the edges; empty for one."""
    if len(found.treatments) == 1:
        return ""
    asked = found.question
    aims = [asked.aim] if asked.against is None else [asked.aim, asked.against]
    rows = [["edges", *(f"{NAMES[aim]} (dB)" for aim in aims)]]
    for n, treatment in enumerate(found.treatments):
        judged = found.archive_aims[found.archive_treatment == n]
        best = judged[int(np.argmin(SENSE[asked.aim] * judged[:, 0]))]
        name = AS_IT_IS if treatment is None else treatment.name
        rows.append([name, *(number(float(value), "dB", finer=1) for value in best)])
    return columns(rows)
