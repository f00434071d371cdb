"""PDF files read back by pypdf: where paths go and where words stand, points of the sheet.

Operators: m, l, c, re, h build a path, q, Q, cm move what follows (ISO 32000-1, 8.4.4 and 8.5.2;
from memory).
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from pypdf import PdfReader

PAINTED = {"S", "f", "f*", "B", "B*", "n"}


@dataclass
class Path:
    """Ends of the lines and curves of a path (point, 2), and every curve's four points."""

    ends: np.ndarray
    curves: list[np.ndarray] = field(default_factory=list)
    painted: str = "n"


def pages(data: bytes) -> list[Any]:
    """The pages of a file."""
    return list(PdfReader(io.BytesIO(data)).pages)


def size(page: Any) -> tuple[float, float]:
    """Width and height of a page, points."""
    return float(page.mediabox.width), float(page.mediabox.height)


def words(page: Any) -> str:
    """All words of a page."""
    return str(page.extract_text())


def lines(page: Any) -> list[tuple[str, float, float]]:
    """Each line of text and where it begins."""
    found = []

    def seen(text: str, around: list[float], own: list[float], *_: Any) -> None:
        if text.strip():
            x, y, _one = np.array([*own[4:], 1.0]) @ _matrix(around)
            found.append((text.strip("\n"), float(x), float(y)))

    page.extract_text(visitor_text=seen)
    return found


def paths(page: Any) -> Iterator[Path]:
    """Every path of a page that is painted."""
    now, kept = np.eye(3), []
    ends, curves = list[np.ndarray](), list[np.ndarray]()
    for operands, operator in page.get_contents().operations:
        name = operator.decode()
        if name == "q":
            kept.append(now)
        elif name == "Q":
            now = kept.pop()
        elif name == "cm":
            now = _matrix([float(each) for each in operands]) @ now
        elif name in ("m", "l", "c"):
            points = np.reshape([float(each) for each in operands], (-1, 2))
            placed = (np.column_stack([points, np.ones(len(points))]) @ now)[:, :2]
            if name == "c":
                curves.append(np.vstack([ends[-1], placed]))
            ends.append(placed[-1])
        elif name in PAINTED:
            if ends and name != "n":
                yield Path(np.array(ends), curves, name)
            ends, curves = [], []
    assert not kept


def _matrix(six: list[float]) -> np.ndarray:
    """(a, b, c, d, e, f) for points in rows."""
    a, b, c, d, e, f = six
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])
