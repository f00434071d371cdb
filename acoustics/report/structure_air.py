"""The air inside a cabinet in words: standing waves, who drives them, what lining does."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.report.box_words import litres
from acoustics.report.plain_text import COLUMNS, bullet, columns, heading, paragraph
from acoustics.structure.air_bands import WavesInBand
from acoustics.structure.air_places import QuietHeights
from acoustics.structure.lining_damping import BARE_LOSS, STRONG_Q
from acoustics.structure.lining_table import BOTH, FILL, PLANNED, LiningTable
from acoustics.studies.structure.found import StructureFound
from acoustics.studies.wording import amount, hertz, listed, number, tenths

WAVES = 10
"""standing waves told"""

WAVES_OF_LINING = 4
"""of them in the table of linings"""

BESIDE = 28
"""letters of the other columns of the table"""

GONE = "–"
"""a wave that is all but gone"""


def air_parts(found: StructureFound) -> Iterator[str]:
    """Standing waves against drivers and crossovers, then lining."""
    if found.air is None:
        reason = found.air_left_out or "nothing is known of the air inside"
        yield f"{heading('The air inside')}\n{bullet(f'Not told: {reason}.')}"
        return
    if not found.air.count:
        none = f"No standing wave up to {hertz(found.structure.reach)}."
        yield f"{heading('The air inside')}\n{bullet(none)}"
        return
    yield f"{heading('Standing waves of the air inside')}\n{_waves(found)}"
    lines = [line for each in found.quiet_heights if (line := _heights(each, found))]
    lines += [_in_band(each, found) for each in found.bands]
    if not found.bands:
        lines.append(
            "Where drivers on passive parts hand over is not told here: `roundover predict` says "
            "at which frequencies they cross."
        )
    if lines:
        yield "\n".join(map(bullet, lines))
    if found.linings is not None:
        yield f"{heading('What lining does')}\n{_lining(found.linings)}"


def _waves(found: StructureFound) -> str:
    air, seen, table = found.air, found.air_response, found.linings
    assert air is not None
    openings = () if seen is None else _fitting(seen.names)
    planned = None if table is None else _as_planned(table)
    square = air.indices is not None
    rows = [
        [
            "half waves" if square else "wave",
            "at",
            *openings,
            *(["Q"] if planned is not None else []),
        ]
    ]
    for wave in range(min(air.count, WAVES)):
        row = [air.names[wave], hertz(float(air.frequency[wave]))]
        if seen is not None:
            row += [f"{abs(seen.strength[at, wave]):.2f}" for at in range(len(openings))]
        if planned is not None:
            row.append(quality_words(float(planned[wave])))
        rows.append(row)
    more = "Half waves along width, height and depth. " if square else ""
    if openings:
        more += (
            "Below a driver, port or passive radiator: how strongly it drives and feels the wave; "
            "0 leaves it alone, 1 is the mean over the volume. "
        )
    if planned is not None:
        more += (
            f"Q: with lining and fill as planned; a bare box is taken to have {1 / BARE_LOSS:g} "
            f"(common practice, no source); {GONE} below {STRONG_Q:g}, all but gone."
        )
    rest = air.count - WAVES
    if rest > 0:
        more += f" {rest} more stand up to {hertz(float(air.frequency[-1]))}."
    return f"{columns(rows)}\n\n{paragraph(more)}"


def _fitting(names: tuple[str, ...]) -> tuple[str, ...]:
    """The first openings, as many as a table has room for."""
    widths = np.cumsum([max(len(name), 4) + 2 for name in names])
    return names[: int((widths <= COLUMNS - BESIDE).sum())]


def _as_planned(table: LiningTable) -> np.ndarray | None:
    """Q of each wave with all that is planned; None: nothing is."""
    for name in (BOTH, PLANNED, FILL):
        if name in table.treatments:
            answer: np.ndarray = table.quality[table.treatments.index(name)]
            return answer
    return None


def quality_words(quality: float) -> str:
    """A Q: "5.3", "60", or a dash of a wave that is all but gone."""
    if quality < STRONG_Q:
        return GONE
    return f"{quality:.1f}" if quality < 10 else f"{quality:.0f}"


def _in_band(each: WavesInBand, found: StructureFound) -> str:
    assert found.air is not None
    low, high = each.band
    ends = [
        *([f"from {hertz(low)}"] if low > 0 else []),
        *([f"to {hertz(high)}"] if math.isfinite(high) else []),
    ]
    plays = f"plays {' '.join(ends)}" if ends else "plays without corners"
    own = found.air.frequency[each.inside]
    if not own.size:
        away = int(np.argmin(each.octaves))
        return (
            f"{each.driver} {plays}: no standing wave is in its band, the nearest "
            f"{each.octaves[away]:.1f} octaves outside."
        )
    first = [hertz(float(wave)) for wave in own[:3]]
    more = f" and {own.size - 3} more" if own.size > 3 else ""
    waves = f"{', '.join(first)}{more}" if more else listed(first)
    return f"{each.driver} {plays}: in its band {'are' if own.size > 1 else 'is'} {waves}."


def _heights(each: QuietHeights, found: StructureFound) -> str:
    assert found.air is not None
    if not each.modes:
        return ""
    first = hertz(float(found.air.frequency[each.modes[0]]))
    text = f"{each.driver}: "
    if each.heights[0]:
        places = [_up(height) for height in each.heights[0]]
        text += f"leaves the wave at {first} alone {listed(places, 'or')}; "
    text += f"excites the first ones least {_up(each.best)}"
    change = 10 * math.log10(max(each.loudness, 1e-6))
    if change < -1:
        text += f", by {amount(-change, 'dB')} less than where it is"
    else:
        text += ", hardly less than where it is"
    return f"{text}. Other reasons for its place come first."


def _up(height: float) -> str:
    """A height from the middle of the face, in words."""
    if abs(height) < 5e-4:
        return "in the middle of its face"
    return f"{tenths(round(abs(height), 3))} mm {'above' if height > 0 else 'below'} the middle"


def _lining(table: LiningTable) -> str:
    count = min(WAVES_OF_LINING, len(table.frequency))
    waves = [hertz(float(wave)) for wave in table.frequency[:count]]
    rows = [["", "material", *waves]]
    for row, name in enumerate(table.treatments):
        cells = [
            GONE if gone else number(-float(drop), "dB")
            for drop, gone in zip(table.drop[row, :count], table.strong[row, :count], strict=True)
        ]
        rows.append([name, litres(float(table.volumes[row])), *cells])
    more = (
        f"Peaks of standing waves against those in a bare box, in dB; {GONE}: all but gone. "
        "Lining works where the air moves, a quarter wave before a wall and beyond the reach "
        "of thin layers in the bass: fibre in the middle does more for the first waves than the "
        "same at the walls, and takes more from a vented box. Practice, no source: line the "
        "walls of a vented box, fill a closed one."
    )
    text = f"{columns(rows)}\n\n{paragraph(more)}"
    if table.left_out:
        text += "\n" + "\n".join(bullet(f"Not compared: {why}.") for why in table.left_out)
    return text
