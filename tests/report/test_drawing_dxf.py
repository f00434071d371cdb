"""DXF drawings, read back by ezdxf and by a reader of group codes of our own.

Group codes: 0 the kind, 8 the layer, 10 and 20 a point, 40 a radius, 70 flags (AutoCAD's published
DXF reference; from memory).
"""

from __future__ import annotations

import io
from itertools import pairwise

import ezdxf
import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.report import drawing_dxf as module
from acoustics.report.drawing_dxf import drawing_dxf
from acoustics.studies.drawings import face_drawings
from support.cases import make_driver
from support.drawn import NASTY, box

WITHIN = 0.1  # mm


@pytest.fixture(scope="module")
def text():
    return drawing_dxf(face_drawings(box())[0])


def entities(text):
    """Every entity of the drawing as a list of (group code, value)."""
    lines = text.splitlines()
    tags = [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    start = tags.index((2, "ENTITIES"))
    end = tags.index((0, "ENDSEC"), start)
    heads = [i for i in range(start, end) if tags[i][0] == 0] + [end]
    return [tags[one:other] for one, other in pairwise(heads)]


def circles(text, layer):
    found = []
    for entity in entities(text):
        values = dict(entity)
        if values[0] == "CIRCLE" and values[8] == layer:
            found.append(tuple(float(values[code]) for code in (10, 20, 40)))
    return found


def test_group_codes_tell_the_numbers_of_the_case(text):
    assert circles(text, "holes") == [
        pytest.approx((140, 315, 37), abs=WITHIN),
        pytest.approx((110, 140, 65), abs=WITHIN),
    ]
    assert any(
        each == pytest.approx((110, 140, 82.5), abs=WITHIN) for each in circles(text, "reference")
    )
    (outline,) = [each for each in entities(text) if (8, "outline") in each]
    assert (0, "LWPOLYLINE") in outline
    assert int(dict(outline)[70]) & 1  # closed
    across = [float(value) for code, value in outline if code == 10]
    up = [float(value) for code, value in outline if code == 20]
    corners = sorted(zip(across, up, strict=True))
    np.testing.assert_allclose(corners, [(0, 0), (0, 380), (220, 0), (220, 380)], atol=WITHIN)


def test_the_library_reads_it_without_a_fault(text):
    document = ezdxf.read(io.StringIO(text))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.header["$INSUNITS"] == 4  # millimetres
    assert {"outline", "holes", "reference", "text"} <= {each.dxf.name for each in document.layers}
    holes = document.modelspace().query('CIRCLE[layer=="holes"]')
    assert [each.dxf.linetype for each in holes] == ["BYLAYER", "DASHED"]
    assert {each.dxf.layer for each in document.modelspace().query("TEXT")} == {"text"}


def test_equal_drawings_give_equal_text(text):
    assert drawing_dxf(face_drawings(box())[0]) == text
    assert not ezdxf.options.write_fixed_meta_data_for_testing  # as it was found


def test_names_do_no_harm():
    case = box(title=NASTY, drivers=(make_driver(f"{NASTY}\n0\nEOF"),), enclosures=())
    document = ezdxf.read(io.StringIO(drawing_dxf(face_drawings(case)[0])))
    assert not document.audit().errors
    words = [each.plain_text() for each in document.modelspace().query("TEXT")]
    assert any(each.startswith(NASTY) for each in words)


def test_without_the_library_it_says_how_to_get_it(monkeypatch):
    monkeypatch.setattr(module, "find_spec", lambda name: None)
    with pytest.raises(RoundoverError, match=r"pip install '\.\[cad\]'"):
        drawing_dxf(face_drawings(box())[0])
