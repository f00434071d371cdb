"""A drawn figure as SVG that can stand inside a page with others."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from html import escape

import matplotlib as mpl
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure

from acoustics.figures.save import DOTS_PER_INCH, settle

LINKS = re.compile(r"url\(#([^)]+)\)")

DROPPED = ("metadata", "style")
"""elements that say nothing to a reader, or what the root says below"""


def sheet_svg(figure: Figure, name: str) -> str:
    """Draw a figure as an SVG element without a style or a link to outside.

    Its identifiers begin with `name`, so that those of several figures differ; looks are plain
    attributes, because a page with a strict policy takes no others; maps become pictures inside it.

    Args:
        figure: the drawing.
        name: of letters, digits and hyphens.

    Returns:
        The element, without the title and description that `told_svg` gives it.
    """
    for axes in figure.axes:
        for artist in axes.get_children():
            if isinstance(artist, ContourSet) and artist.filled:
                artist.set_rasterized(True)
    settle(figure)
    buffer = io.BytesIO()
    with mpl.rc_context({"svg.hashsalt": name}):
        figure.savefig(buffer, format="svg", dpi=DOTS_PER_INCH, metadata=_NOTHING)
    root = ET.fromstring(buffer.getvalue())
    width, height = (float(root.get("viewBox", "0 0 1 1").split()[i]) for i in (2, 3))
    _plain(root, name)
    root.attrib.clear()
    root.attrib |= {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {width:g} {height:g}",
        "role": "img",
        "aria-labelledby": f"{name}-title {name}-desc",
        "class": "sheet",
        "stroke-linejoin": "round",
        "stroke-linecap": "butt",
    }
    return ET.tostring(root, encoding="unicode")


def told_svg(svg: str, name: str, title: str, description: str) -> str:
    """A drawn figure with what it shows in words, for those who cannot see it."""
    opening, _, rest = svg.partition(">")
    told = "".join(
        f'<{tag} id="{name}-{tag}">{escape(text)}</{tag}>'
        for tag, text in (("title", title), ("desc", description))
    )
    return f"{opening}>{told}{rest}"


_NOTHING = {"Date": None, "Creator": None, "Format": None, "Type": None}


def _plain(element: ET.Element, name: str) -> None:
    """Make an element and all in it plain: see `sheet_svg`."""
    for child in list(element):
        tag = _local(child.tag)
        if tag in DROPPED or (tag == "defs" and not _kept(child)):
            element.remove(child)
        else:
            _plain(child, name)
    element.tag = _local(element.tag)
    attributes = dict(element.attrib)
    element.attrib.clear()
    for rule in attributes.pop("style", "").split(";"):
        key, _, value = rule.partition(":")
        if value:
            attributes.setdefault(key.strip(), value.strip())
    for key, value in attributes.items():
        plain = _local(key)
        if plain == "id":
            value = f"{name}-{value}"
        elif plain == "href" and value.startswith("#"):
            value = f"#{name}-{value[1:]}"
        element.set(plain, LINKS.sub(rf"url(#{name}-\1)", value))
    if element.text and not element.text.strip():
        element.text = None
    element.tail = None


def _kept(element: ET.Element) -> list[ET.Element]:
    """Children that are kept."""
    return [child for child in element if _local(child.tag) not in DROPPED]


def _local(tag: str) -> str:
    """A name without its namespace."""
    return tag.rpartition("}")[2]
