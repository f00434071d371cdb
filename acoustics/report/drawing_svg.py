"""A drawing as SVG 1.1 at its true size: one unit of the view box is one millimetre."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Mapping

from acoustics.figures.drawing_marks import LAYERS, Circle, Layer, Mark, Marks, Words, marks_of
from acoustics.studies.drawings import Drawing, plain

EDGE = 5.0
"""mm: free round everything"""

LOOKS = {
    "outline": {"fill": "none", "stroke": "#000000", "stroke-width": "0.5"},
    "holes": {"fill": "none", "stroke": "#c00000", "stroke-width": "0.35"},
    "reference": {"fill": "none", "stroke": "#3060a0", "stroke-width": "0.18"},
    "text": {"fill": "#000000", "stroke": "none", "font-family": "sans-serif"},
}

CAPITALS = 0.72
"""height of capital letters, in the size of a type without serifs, about"""

WIDEST = 0.62
"""width of a letter in its size, about: how much room words are given"""


def drawing_svg(drawing: Drawing) -> str:
    """A drawing as the text of an SVG file; lines of a kind are a group called as their layer."""
    marks = marks_of(drawing)
    left, top = marks.left - EDGE, marks.top + EDGE
    right = max([marks.right, *map(_reach, _words(marks))]) + EDGE
    width, height = right - left, top - marks.bottom + EDGE
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "version": "1.1",
            "width": f"{_number(width)}mm",
            "height": f"{_number(height)}mm",
            "viewBox": f"{_number(left)} {_number(-top)} {_number(width)} {_number(height)}",
        },
    )
    ET.SubElement(root, "title").text = plain(f"{drawing.subject}: {drawing.title}")
    groups = {layer: ET.SubElement(root, "g", {"id": layer, **LOOKS[layer]}) for layer in LAYERS}
    for mark in (*marks.on, *marks.around):
        _put(groups, mark)
    ET.indent(root)
    return ET.tostring(root, encoding="unicode", xml_declaration=False) + "\n"


def _words(marks: Marks) -> list[Words]:
    return [mark for mark in marks.around if isinstance(mark, Words)]


def _reach(words: Words) -> float:
    """How far right some words may reach, mm."""
    return words.at[0] + len(words.text) * WIDEST * words.height / CAPITALS


def _put(groups: Mapping[Layer, ET.Element], mark: Mark) -> None:
    """A mark as an element; y runs down in SVG."""
    if isinstance(mark, Words):
        look = {"x": _number(mark.at[0]), "y": _number(-mark.at[1])}
        look |= {"font-size": _number(mark.height / CAPITALS), "text-anchor": mark.anchor}
        ET.SubElement(groups["text"], "text", look).text = plain(mark.text)
        return
    dashes = {"stroke-dasharray": "3 2"} if mark.dashed else {}
    if isinstance(mark, Circle):
        x, y = mark.centre
        shape = {"cx": _number(x), "cy": _number(-y), "r": _number(mark.radius)}
        ET.SubElement(groups[mark.layer], "circle", shape | dashes)
        return
    points = " ".join(f"{_number(x)},{_number(-y)}" for x, y in mark.points)
    kind = "polygon" if mark.closed else "polyline"
    ET.SubElement(groups[mark.layer], kind, {"points": points} | dashes)


def _number(value: float) -> str:
    """Millimetres to a thousandth."""
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
