"""SVG drawings, read back by a reader of XML that knows nothing of how they were written."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest

from acoustics.report.drawing_svg import drawing_svg
from acoustics.studies.drawings import face_drawings
from support.cases import make_driver
from support.drawn import NASTY, box

SVG = "{http://www.w3.org/2000/svg}"
WITHIN = 0.1  # mm: what a drawing must be exact to


def read(text):
    """Root, millimetres per unit, and the lower left corner of the outline, in units."""
    root = ET.fromstring(text)
    wide, high = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    _, _, units_wide, units_high = map(float, root.get("viewBox").split())
    assert wide / units_wide == pytest.approx(1, abs=1e-6)
    assert high / units_high == pytest.approx(1, abs=1e-6)
    (outline,) = root.findall(f"{SVG}g[@id='outline']/{SVG}polygon")
    points = [tuple(map(float, point.split(","))) for point in outline.get("points").split()]
    return root, points, (min(x for x, _ in points), max(y for _, y in points))


def circles(root, layer, corner):
    """(right, up, radius) in millimetres from the lower left corner, with their dashes."""
    return [
        (
            float(each.get("cx")) - corner[0],
            corner[1] - float(each.get("cy")),
            float(each.get("r")),
            each.get("stroke-dasharray"),
        )
        for each in root.findall(f"{SVG}g[@id='{layer}']/{SVG}circle")
    ]


def test_holes_are_where_the_case_has_them():
    root, points, corner = read(drawing_svg(face_drawings(box())[0]))
    across, up = zip(*points, strict=True)
    assert max(across) - min(across) == pytest.approx(220, abs=WITHIN)
    assert max(up) - min(up) == pytest.approx(380, abs=WITHIN)
    tweeter, woofer = circles(root, "holes", corner)
    assert tweeter[:3] == pytest.approx((140, 315, 37), abs=WITHIN)
    assert tweeter[3] is None
    assert woofer[:3] == pytest.approx((110, 140, 65), abs=WITHIN)
    assert woofer[3] is not None  # nobody states it: dashed
    (slot,) = root.findall(f"{SVG}g[@id='holes']/{SVG}polygon")
    places = [tuple(map(float, point.split(","))) for point in slot.get("points").split()]
    seen = np.array(sorted((x - corner[0], corner[1] - y) for x, y in places))
    np.testing.assert_allclose(seen, [(30, 20), (30, 40), (190, 20), (190, 40)], atol=WITHIN)
    frames = [each[:3] for each in circles(root, "reference", corner)]
    assert any(each == pytest.approx((110, 140, 82.5), abs=WITHIN) for each in frames)


def test_all_lies_on_the_sheet():
    root, *_ = read(drawing_svg(face_drawings(box())[0]))
    left, top, wide, high = map(float, root.get("viewBox").split())
    for text in root.iter(f"{SVG}text"):
        assert left < float(text.get("x")) < left + wide
        assert top < float(text.get("y")) < top + high


def test_names_do_no_harm_and_come_back_as_they_are():
    case = box(title=NASTY, drivers=(make_driver(f"{NASTY}\x00\n"),), enclosures=())
    root, *_ = read(drawing_svg(face_drawings(case)[0]))
    assert {each.tag for each in root.iter()} <= {
        f"{SVG}{tag}" for tag in ("svg", "title", "g", "polygon", "polyline", "circle", "text")
    }
    words = [each.text for each in root.iter(f"{SVG}text")]
    assert f"{NASTY}  " in words  # letters that steer are blanks
    assert "cut-out not stated" in words


def test_equal_drawings_give_equal_text():
    assert drawing_svg(face_drawings(box())[0]) == drawing_svg(face_drawings(box())[0])
