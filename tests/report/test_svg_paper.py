"""Figures of the page on paper: they lie where their own coordinates say."""

from __future__ import annotations

import base64
import io

import numpy as np
import pytest
from PIL import Image

from acoustics.figures.paper import blank, pdf_of
from acoustics.report.html.svg_paper import put_svg, svg_size
from support.pdf_read import lines, pages, paths


def page_with(inside):
    """A figure of 100 × 50 at (20, 700), two points a unit, on a sheet read back from its file."""
    canvas = blank("", (595.0, 842.0))
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 100 50">{inside}</svg>'
    )
    assert svg_size(svg) == (100.0, 50.0)
    put_svg(canvas, svg, (20.0, 700.0), 2.0)
    canvas.showPage()
    return pages(pdf_of(canvas))[0]


def drawn(inside):
    """Ends of all lines (points)."""
    return np.array([end for path in paths(page_with(inside)) for end in path.ends])


def test_upper_left_is_where_it_is_put_and_down_is_down():
    found = drawn('<path d="M0 0L10 0V5" stroke="#112233" fill="none"/>')
    np.testing.assert_allclose(found, [(20, 700), (40, 700), (40, 690)])


def test_groups_move_turn_and_are_used_again():
    found = drawn(
        '<defs><path id="p" d="M0 0L1 0"/></defs>'
        '<g transform="translate(10 20) rotate(-90)"><use href="#p" x="2" y="0"/></g>'
        '<g transform="translate(10 20) scale(3 -1)"><use href="#p"/></g>'
    )
    # A turn by −90° takes what points right to what points up (SVG 1.1, 7.6).
    expected = [(40, 664), (40, 666), (40, 660), (46, 660)]
    np.testing.assert_allclose(found, expected, atol=1e-4)


def test_quadratic_curves_are_the_same_as_cubic_ones():
    page = page_with('<path d="M0 0Q6 0 6 6" stroke="#000000" fill="none"/>')
    ((curve,),) = (path.curves for path in paths(page))
    # Raising the degree: a third of the way from the middle point to each end.
    expected = [(20 + 2 * x, 700 - 2 * y) for x, y in ((0, 0), (4, 0), (6, 2), (6, 6))]
    np.testing.assert_allclose(curve, expected, atol=1e-4)


def test_words_stand_upright_and_are_found():
    page = page_with('<text x="50" y="10" text-anchor="start" font-size="13">a &lt; b</text>')
    ((text, x, y),) = lines(page)
    assert text == "a < b"
    assert (x, y) == pytest.approx((120, 680), abs=1e-3)
    turned = 1.0
    for operands, operator in page.get_contents().operations:
        if operator == b"cm":
            turned *= float(operands[3])
    assert turned > 0  # down and down again is up


def test_pictures_of_dots_keep_their_colours_opacity_and_place():
    dots = np.array(
        [[[255, 0, 0, 255], [0, 255, 0, 128]], [[0, 0, 255, 255], [9, 9, 9, 0]]], dtype=np.uint8
    )
    packed = io.BytesIO()
    Image.fromarray(dots).save(packed, "png")
    link = f"data:image/png;base64,{base64.b64encode(packed.getvalue()).decode()}"
    page = page_with(f'<image x="10" y="5" width="30" height="20" xlink:href="{link}"/>')
    (picture,) = (each.get_object() for each in page["/Resources"]["/XObject"].values())
    assert picture.get_data() == dots[..., :3].tobytes()
    assert picture["/SMask"].get_object().get_data() == dots[..., 3].tobytes()
    now, kept, placed = np.eye(3), [], None
    for operands, operator in page.get_contents().operations:
        if operator == b"q":
            kept.append(now)
        elif operator == b"Q":
            now = kept.pop()
        elif operator == b"cm":
            one = np.eye(3)
            one[:, :2] = np.reshape([float(each) for each in operands], (3, 2))
            now = one @ now
        elif operator == b"Do":
            placed = now
    # The unit square, whose upper row of dots is at 1, from its lower left corner (8.9.5).
    corners = np.array([[0, 0, 1], [1, 1, 1]]) @ placed
    np.testing.assert_allclose(corners[:, :2], [(40, 650), (100, 690)], atol=1e-4)


def test_clips_show_only_what_is_inside_their_rectangle():
    page = page_with(
        '<clipPath id="c"><rect x="1" y="2" width="3" height="4"/></clipPath>'
        '<g clip-path="url(#c)"><path d="M0 0L9 9" stroke="#000000" fill="none"/></g>'
    )
    names = [operator.decode() for _, operator in page.get_contents().operations]
    assert names.index("re") < names.index("W") < names.index("S")
    (window,) = (
        [float(each) for each in operands]
        for operands, operator in page.get_contents().operations
        if operator == b"re"
    )
    assert window == [1.0, 2.0, 3.0, 4.0]


@pytest.mark.parametrize("colour", ["none", ""])
def test_what_has_no_colour_is_not_drawn(colour):
    found = drawn(f'<path d="M0 0L1 1" fill="{colour}"/>')
    assert found.size == 0
