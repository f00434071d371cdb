"""A figure's SVG on a sheet of paper, so that what the page shows is drawn once for both.

Only what our own figures consist of is read: groups, paths, lines, rectangles, circles, words,
pictures of dots, things used again, clips to one shape; looks are plain attributes.
"""

from __future__ import annotations

import base64
import io
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache

from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from acoustics.figures.paper import Ink, Point, circle, clip, draw, moved, write
from acoustics.figures.style import INK

NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?")
COMMAND = re.compile(r"([MLHVQCZz])([^MLHVQCZz]*)")
TRANSFORM = re.compile(r"(\w+)\(([^)]*)\)")
REFERENCE = re.compile(r"url\(#([^)]+)\)")

LOOKS = frozenset(
    (
        "fill",
        "fill-opacity",
        "font-size",
        "font-weight",
        "opacity",
        "stroke",
        "stroke-dasharray",
        "stroke-linejoin",
        "stroke-opacity",
        "stroke-width",
        "text-anchor",
    )
)
"""attributes that change how something looks"""

SILENT = ("title", "desc", "defs", "clipPath")
"""what shows nothing where it stands"""

Matrix = tuple[float, float, float, float, float, float]
"""x' = a x + c y + e, y' = b x + d y + f"""

NAMED = {"black": "#000000", "white": "#ffffff", "none": ""}


def put_svg(canvas: Canvas, svg: str, at: Point, scale: float) -> None:
    """Put a figure on a sheet.

    Args:
        canvas: to draw on.
        svg: as `chart_svg`, `layout_svg` and `sheet_svg` write it.
        at: upper left corner, points.
        scale: points for one unit of the figure.
    """
    root = ET.fromstring(svg)
    known = {each.get("id", ""): each for each in root.iter()}
    # Down there is up here.
    with moved(canvas, (scale, 0.0, 0.0, -scale, *at)):
        _put(canvas, root, Look(), known)


def svg_size(svg: str) -> tuple[float, float]:
    """Width and height of a figure in its own units."""
    found = re.search(r'viewBox="([^"]+)"', svg)
    assert found is not None
    _, _, width, height = map(float, found[1].split())
    return width, height


@dataclass(frozen=True)
class Look:
    """What an element hands on to those in it."""

    fill: str = "#000000"
    stroke: str = ""
    width: float = 1.0
    dashes: tuple[float, ...] = ()
    fill_opacity: float = 1.0
    stroke_opacity: float = 1.0
    round_joins: bool = False
    size: float = 13.0
    anchor: str = "start"
    bold: bool = False

    def of(self, given: Mapping[str, str]) -> Look:
        """The look of an element with these attributes."""
        if not LOOKS & given.keys():
            return self
        dashes = given.get("stroke-dasharray")
        opacity = float(given.get("opacity", 1.0))
        return replace(
            self,
            fill=_colour(given.get("fill", self.fill)),
            stroke=_colour(given.get("stroke", self.stroke)),
            width=float(given.get("stroke-width", self.width)),
            dashes=self.dashes if dashes is None else tuple(_numbers(dashes)),
            fill_opacity=float(given.get("fill-opacity", self.fill_opacity)) * opacity,
            stroke_opacity=float(given.get("stroke-opacity", self.stroke_opacity)) * opacity,
            round_joins=given.get("stroke-linejoin", "round" if self.round_joins else "")
            == "round",
            size=float(given.get("font-size", self.size)),
            anchor=given.get("text-anchor", self.anchor),
            bold=given.get("font-weight", "bold" if self.bold else "") == "bold",
        )

    def ink(self) -> Ink:
        """Lines and filling."""
        return Ink(
            stroke=self.stroke,
            fill=self.fill,
            width=self.width,
            dashes=self.dashes,
            opacity=min(
                self.fill_opacity if self.fill else 1.0, self.stroke_opacity if self.stroke else 1.0
            ),
            round_joins=self.round_joins,
        )


def _put(canvas: Canvas, element: ET.Element, look: Look, known: Mapping[str, ET.Element]) -> None:
    tag = _local(element.tag)
    if tag in SILENT:
        return
    look = look.of(element.attrib)
    with _placed(canvas, element, known):
        if tag == "use":
            used = known[(_attribute(element, "href") or "#").removeprefix("#")]
            _put(canvas, used, look, known)
        elif tag == "text":
            _text(canvas, element, look)
        elif tag == "image":
            _image(canvas, element)
        else:
            path = _outline(tag, element)
            if path is not None:
                draw(canvas, path, look.ink())
            for child in element:
                _put(canvas, child, look, known)


@contextmanager
def _placed(canvas: Canvas, element: ET.Element, known: Mapping[str, ET.Element]) -> Iterator[None]:
    """Where an element's coordinates are, and what is seen of it."""
    matrix = _matrix(element)
    clipped = REFERENCE.match(element.get("clip-path", ""))
    if matrix is None and clipped is None:
        yield
        return
    with moved(canvas, matrix or ()):
        if clipped is not None:
            (shape,) = known[clipped[1]]
            clip(canvas, _outline(_local(shape.tag), shape))
        yield


def _matrix(element: ET.Element) -> Matrix | None:
    """An element's own transforms as one; None where there are none."""
    total: Matrix | None = None
    for kind, told in TRANSFORM.findall(element.get("transform", "")):
        given = _numbers(told)
        if kind == "translate":
            one = 1.0, 0.0, 0.0, 1.0, given[0], [*given, 0.0][1]
        elif kind == "scale":
            one = given[0], 0.0, 0.0, given[-1], 0.0, 0.0
        elif kind == "rotate":
            turn = math.radians(given[0])
            one = math.cos(turn), math.sin(turn), -math.sin(turn), math.cos(turn), 0.0, 0.0
        else:
            a, b, c, d, e, f = given
            one = a, b, c, d, e, f
        total = one if total is None else _after(total, one)
    if element.tag.endswith("use") and ("x" in element.attrib or "y" in element.attrib):
        one = 1.0, 0.0, 0.0, 1.0, float(element.get("x", 0)), float(element.get("y", 0))
        total = one if total is None else _after(total, one)
    return total


def _after(outer: Matrix, inner: Matrix) -> Matrix:
    """What comes of a transform inside another."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (
        a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s,
        a * t + c * u + e, b * t + d * u + f,
    )  # fmt: skip


def _outline(tag: str, element: ET.Element) -> PDFPathObject | None:
    """The path of an element that is drawn; None of any other."""
    at = {name: float(_attribute(element, name) or 0.0) for name in ("x", "y", "cx", "cy", "r")}
    if tag == "path":
        return _path(element.get("d", ""))
    if tag == "rect":
        path = PDFPathObject()
        path.rect(at["x"], at["y"], float(element.get("width", 0)), float(element.get("height", 0)))
        return path
    if tag == "circle":
        return circle((at["cx"], at["cy"]), at["r"])
    return None


@lru_cache(maxsize=1024)
def _path(told: str) -> PDFPathObject | None:
    """A path's commands; all of ours have absolute coordinates. None where there are none."""
    path = PDFPathObject()
    x = y = 0.0
    commands = COMMAND.findall(told)
    for command, rest in commands:
        values = _numbers(rest)
        if command in "Zz":
            path.close()
        elif command in "HV":
            for value in values:
                x, y = (value, y) if command == "H" else (x, value)
                path.lineTo(x, y)
        elif command in "ML":
            for i in range(0, len(values), 2):
                x, y = values[i : i + 2]
                (path.moveTo if command == "M" and i == 0 else path.lineTo)(x, y)
        else:
            count = 4 if command == "Q" else 6
            for i in range(0, len(values), count):
                ends = values[i : i + count]
                if command == "Q":  # PDF has cubic curves alone; this one is the same
                    a, b, c, d = ends
                    ends = [
                        x + 2 / 3 * (a - x), y + 2 / 3 * (b - y),
                        c + 2 / 3 * (a - c), d + 2 / 3 * (b - d), c, d,
                    ]  # fmt: skip
                x, y = ends[-2:]
                path.curveTo(*ends)
    return path if commands else None


def _text(canvas: Canvas, element: ET.Element, look: Look) -> None:
    words = "".join(element.itertext())
    x, y = (float(element.get(name, 0)) for name in "xy")
    # Letters would stand on their heads where y runs down.
    with moved(canvas, (1.0, 0.0, 0.0, -1.0, x, y)):
        write(
            canvas,
            words,
            (0.0, 0.0),
            look.size,
            look.fill or INK,
            face="bold" if look.bold else "regular",
            anchor=look.anchor,
        )


def _image(canvas: Canvas, element: ET.Element) -> None:
    packed = (_attribute(element, "href") or "").partition("base64,")[2]
    picture = ImageReader(io.BytesIO(base64.b64decode(packed)))
    x, y, wide, high = (float(element.get(key, 0)) for key in ("x", "y", "width", "height"))
    # It would stand on its head where y runs down.
    with moved(canvas, (1.0, 0.0, 0.0, -1.0, x, y + high)):
        canvas.drawImage(picture, 0.0, 0.0, wide, high, mask="auto")


def _attribute(element: ET.Element, name: str) -> str | None:
    """An attribute, whatever namespace it is in."""
    found = (value for key, value in element.attrib.items() if key.rpartition("}")[2] == name)
    return next(found, None)


def _local(tag: str) -> str:
    """A name without its namespace."""
    return tag.rpartition("}")[2]


def _numbers(text: str) -> list[float]:
    return [float(value) for value in NUMBER.findall(text)]


def _colour(told: str) -> str:
    if told in NAMED:
        return NAMED[told]
    if re.fullmatch(r"#[0-9a-fA-F]{3}", told):
        return "#" + "".join(2 * letter for letter in told[1:])
    return told
