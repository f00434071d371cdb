"""A drawing as DXF (AutoCAD 2010's exchange format) in millimetres, for saws and routers.

Lines to cut are in the layers `outline` and `holes`; what is only to look at is in `reference` and
`text`. Writing needs the library ezdxf, the extra `cad`.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from acoustics.conventions import RoundoverError
from acoustics.figures.drawing_marks import Circle, Mark, Words, marks_of
from acoustics.studies.drawings import Drawing, plain

MILLIMETRES = 4
"""of $INSUNITS"""

METRIC = 1
"""of $MEASUREMENT"""

DASHES = 4.0
"""how much longer than the library's own, which look drawn through"""

LAYERS = {"outline": 7, "holes": 1, "reference": 5, "text": 3}
"""names of layers and their colours (AutoCAD colour index): black, red, blue, green"""

DASHED = "DASHED"

HOW_TO_INSTALL = (
    "DXF drawings are written by the library ezdxf, which is not installed; "
    "pip install '.[cad]' in the folder of the source installs it"
)


def can_write_dxf() -> bool:
    """Whether the library that writes DXF is installed."""
    return find_spec("ezdxf") is not None


def drawing_dxf(drawing: Drawing) -> str:
    """A drawing as the text of a DXF file; equal drawings give equal text.

    Raises:
        RoundoverError: the extra `cad` is not installed.
    """
    if not can_write_dxf():
        raise RoundoverError(HOW_TO_INSTALL)
    ezdxf: Any = import_module("ezdxf")
    with _no_dates(ezdxf.options):
        document = ezdxf.new("R2010", setup=["linetypes"], units=MILLIMETRES)
        document.header["$MEASUREMENT"] = METRIC
        document.header["$LTSCALE"] = DASHES
        for name, colour in LAYERS.items():
            document.layers.add(name, color=colour)
        marks = marks_of(drawing)
        space = document.modelspace()
        for mark in (*marks.on, *marks.around):
            _put(space, mark)
        text = io.StringIO()
        document.write(text)
    return text.getvalue()


@contextmanager
def _no_dates(options: Any) -> Iterator[None]:
    """Times and identifiers of a file stay the same as long as this lasts."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _put(space: Any, mark: Mark) -> None:
    if isinstance(mark, Words):
        _put_words(space, mark)
        return
    look = {"layer": mark.layer} | ({"linetype": DASHED} if mark.dashed else {})
    if isinstance(mark, Circle):
        space.add_circle(mark.centre, mark.radius, dxfattribs=look)
    else:
        space.add_lwpolyline(mark.points, close=mark.closed, dxfattribs=look)


def _put_words(space: Any, words: Words) -> None:
    from ezdxf.enums import TextEntityAlignment

    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    entity = space.add_text(literal(words.text), height=words.height, dxfattribs={"layer": "text"})
    entity.set_placement(words.at, align=anchors[words.anchor])


def literal(text: str) -> str:
    """Text that a DXF reader shows as it is: %% and ^ would begin control codes."""
    return plain(text).replace("%%", "%%%%%%").replace("^", "^ ")
