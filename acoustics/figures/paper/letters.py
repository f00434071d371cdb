"""Letters of the type in which papers are set: widths, and outlines for a file."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import Literal

import matplotlib as mpl
import numpy as np
from matplotlib.ft2font import FT2Font, LoadFlags

Face = Literal["regular", "bold", "mono"]

FILES: dict[Face, str] = {
    "regular": "DejaVuSans.ttf",
    "bold": "DejaVuSans-Bold.ttf",
    "mono": "DejaVuSansMono.ttf",
}
"""which come with the plotting library"""

EM = 1000.0
"""units of a letter's outline in its size (ISO 32000-1, 9.2.4; from memory)"""

MOVE, LINE, QUADRATIC, CUBIC, CLOSE = 1, 2, 3, 4, 79
"""codes of outlines: how many points each takes is 1, 1, 2, 3, 1"""


def width(text: str, size: float, face: Face = "regular") -> float:
    """Width of a line of text set in so many points, in points; letters are not kerned."""
    return sum(advance(face, ord(letter)) for letter in text) * size / EM


@lru_cache(maxsize=4096)
def advance(face: Face, code: int) -> float:
    """From a letter to the next, in 1/1000 of its size; of a letter not known, that of a box."""
    font = _font(face)
    glyph = font.load_glyph(font.get_char_index(code), LoadFlags.NO_SCALE)
    return round(float(glyph.horiAdvance) * EM / font.units_per_EM, 1)


@lru_cache(maxsize=4096)
def outline(face: Face, code: int) -> tuple[str, tuple[int, int, int, int]]:
    """What fills a letter in operators of PDF, and the rectangle round it, in 1/1000 of its size.

    A letter that the type does not have is an empty box.
    """
    font = _font(face)
    scale = EM / font.units_per_EM
    glyph = font.load_glyph(font.get_char_index(code), LoadFlags.NO_SCALE)
    points, codes = font.get_path()
    # The library hands out 1/64 of what the type itself counts in.
    operators = _operators(np.round(np.asarray(points) * 64 * scale, 1), np.asarray(codes))
    low = [int(np.floor(side * scale)) for side in glyph.bbox[:2]]
    high = [int(np.ceil(side * scale)) for side in glyph.bbox[2:]]
    return operators, (low[0], low[1], high[0], high[1])


def _operators(points: np.ndarray, codes: np.ndarray) -> str:
    found, at, i = list[str](), np.zeros(2), 0
    while i < codes.size:
        code = int(codes[i])
        if code == CLOSE:
            found.append("h")
            i += 1
            continue
        count = {MOVE: 1, LINE: 1, QUADRATIC: 2, CUBIC: 3}[code]
        ends = points[i : i + count]
        if code == QUADRATIC:  # PDF has cubic curves alone; this one is the same
            middle, end = ends
            ends = np.stack([at + 2 / 3 * (middle - at), end + 2 / 3 * (middle - end), end])
        numbers = " ".join(f"{value:g}" for value in np.round(ends, 1).ravel().tolist())
        found.append(f"{numbers} {'m' if code == MOVE else 'l' if code == LINE else 'c'}")
        at, i = points[i + count - 1], i + count
    return "\n".join([*found, "f"])


@cache
def _font(face: Face) -> FT2Font:
    return FT2Font(str(Path(mpl.get_data_path(), "fonts", "ttf", FILES[face])))
