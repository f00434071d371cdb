"""Sheets of paper as PDF: what our drawings and reports need of the canvas of ReportLab.

Lengths are printer's points (1/72 inch); (0, 0) is the lower left corner of a sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Literal

import matplotlib as mpl
from reportlab.lib.colors import HexColor
from reportlab.pdfbase.pdfmetrics import getRegisteredFontNames, registerFont, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_NON_ZERO, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.pdfgen.pdfgeom import bezierArc

from acoustics.files import write_bytes

Point = tuple[float, float]

Face = Literal["regular", "bold", "mono"]

FILES: dict[Face, str] = {
    "regular": "DejaVuSans.ttf",
    "bold": "DejaVuSans-Bold.ttf",
    "mono": "DejaVuSansMono.ttf",
}
"""which come with the plotting library"""

ARCS = 8
"""in which a circle is drawn: each is off by 4e-6 of the radius; with the usual four, 3e-4"""

ONE_AT_A_TIME = Lock()
"""of all threads: the library has one list of fonts, and reads each font's file at one place"""


@dataclass(frozen=True)
class Ink:
    """How something is drawn; colours are "#rrggbb", lengths points.

    Args:
        stroke: of lines; "" for none.
        fill: of what they enclose; "" for none.
        width: of lines.
        dashes: drawn and left out, in turn.
        opacity: 0 to 1.
        round_joins: whether lines are round where they meet.
    """

    stroke: str = ""
    fill: str = ""
    width: float = 1.0
    dashes: tuple[float, ...] = ()
    opacity: float = 1.0
    round_joins: bool = False


def blank(title: str, size: Point) -> Canvas:
    """A document without sheets, each to be of this width and height; equal ones, equal bytes.

    `showPage` ends a sheet, and `save` the document.
    """
    canvas = Canvas("", size, invariant=1, initialFontName=font_name("regular"), lang="en")
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setCreator("roundover")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def save(canvas: Canvas, file: Path) -> Path:
    """Write a document, which is then complete; missing folders are made.

    Raises:
        RoundoverError: the file cannot be written.
    """
    return write_bytes(pdf_of(canvas), file)


def pdf_of(canvas: Canvas) -> bytes:
    """The bytes of a document, which is then complete."""
    with ONE_AT_A_TIME:
        data: bytes = canvas.getpdfdata()
    return data


def font_name(face: Face) -> str:
    """What the library knows a face by; it can set letters in it from then on."""
    name = f"roundover-{face}"
    with ONE_AT_A_TIME:
        if name not in getRegisteredFontNames():
            file = Path(mpl.get_data_path(), "fonts", "ttf", FILES[face])
            # Otherwise each document would carry all letters of ASCII, used or not.
            registerFont(TTFont(name, file, asciiReadable=False))
    return name


def width(text: str, size: float, face: Face = "regular") -> float:
    """Width of a line of text set in so many points, in points; letters are not kerned."""
    return float(stringWidth(text, font_name(face), size))


def draw(canvas: Canvas, path: PDFPathObject, ink: Ink) -> None:
    """Draw along a path."""
    if ink.stroke:
        canvas.setStrokeColor(HexColor(ink.stroke), ink.opacity)
        canvas.setLineWidth(ink.width)
        canvas.setDash(list(ink.dashes))
        canvas.setLineJoin(int(ink.round_joins))
    if ink.fill:
        canvas.setFillColor(HexColor(ink.fill), ink.opacity)
    if ink.stroke or ink.fill:
        canvas.drawPath(path, bool(ink.stroke), bool(ink.fill), FILL_NON_ZERO)


def line(points: Iterable[Point], *, closed: bool = False) -> PDFPathObject:
    """The path through points."""
    path = PDFPathObject()
    for i, (x, y) in enumerate(points):
        (path.lineTo if i else path.moveTo)(x, y)
    if closed:
        path.close()
    return path


def circle(centre: Point, radius: float) -> PDFPathObject:
    """The path round a circle."""
    (x, y), path = centre, PDFPathObject()
    path.moveTo(x + radius, y)
    for i in range(ARCS):
        start, extent = i * 360 / ARCS, 360 / ARCS
        (arc,) = bezierArc(x - radius, y - radius, x + radius, y + radius, start, extent)
        path.curveTo(*arc[2:])
    path.close()
    return path


def write(
    canvas: Canvas,
    words: str,
    at: Point,
    size: float,
    colour: str,
    *,
    face: Face = "regular",
    anchor: str = "start",
    turned: bool = False,
) -> None:
    """Write a line of text, its base line at `at`.

    Args:
        canvas: to write on.
        words: without line ends.
        at: where it begins, has its middle or ends, as `anchor` says.
        size: of the type.
        colour: of the letters.
        face: of the type; a letter that it does not have is an empty box.
        anchor: "start", "middle" or "end".
        turned: whether it runs upward.
    """
    if not words.strip():
        return
    put = {
        "start": canvas.drawString,
        "middle": canvas.drawCentredString,
        "end": canvas.drawRightString,
    }[anchor]
    with moved(canvas, (0.0, 1.0, -1.0, 0.0, *at) if turned else ()):
        canvas.setFont(font_name(face), size)
        canvas.setFillColor(HexColor(colour))
        put(*((0.0, 0.0) if turned else at), words)


@contextmanager
def moved(canvas: Canvas, matrix: Sequence[float] = ()) -> Iterator[None]:
    """Draw in other coordinates for a while: (a, b, c, d, e, f) as PDF and SVG have them."""
    canvas.saveState()
    if matrix:
        canvas.transform(*matrix)
    yield
    canvas.restoreState()


def clip(canvas: Canvas, path: PDFPathObject) -> None:
    """Show only what is inside a path, until the end of the `moved` round it."""
    canvas.clipPath(path, 0, 0, FILL_NON_ZERO)
