"""Figures of the page on paper: they lie where their own coordinates say."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.figures.paper.sheet import Sheet
from acoustics.report.html.svg_paper import put_svg, svg_size


def drawn(inside):
    """Ends of all lines (points) of a figure of 100 × 50 at (20, 700), two points a unit."""
    sheet = Sheet(595.0, 842.0)
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{inside}</svg>'
    assert svg_size(svg) == (100.0, 50.0)
    put_svg(sheet, svg, (20.0, 700.0), 2.0)
    return ends(sheet), sheet


def ends(sheet):
    """Where paths go, by the transforms round them (x' = a x + c y + e, y' = b x + d y + f)."""
    now, kept, found = np.eye(3), [], []
    for operator in sheet.operators:
        *numbers, name = operator.split()
        if name == "q":
            kept.append(now)
        elif name == "Q":
            now = kept.pop()
        elif name == "cm":
            one = np.eye(3)
            one[:2] = np.reshape([float(each) for each in numbers], (3, 2)).T
            now = now @ one
        elif name in ("m", "l", "c"):
            found.append((now @ [*map(float, numbers[-2:]), 1.0])[:2])
    assert not kept
    return np.array(found)


def test_upper_left_is_where_it_is_put_and_down_is_down():
    found, _ = drawn('<path d="M0 0L10 0V5" stroke="#112233" fill="none"/>')
    np.testing.assert_allclose(found, [(20, 700), (40, 700), (40, 690)])


def test_groups_move_turn_and_are_used_again():
    found, _ = drawn(
        '<defs><path id="p" d="M0 0L1 0"/></defs>'
        '<g transform="translate(10 20) rotate(-90)"><use href="#p" x="2" y="0"/></g>'
        '<g transform="translate(10 20) scale(3 -1)"><use href="#p"/></g>'
    )
    # A turn by −90° takes what points right to what points up (SVG 1.1, 7.6).
    expected = [(40, 664), (40, 666), (40, 660), (46, 660)]
    np.testing.assert_allclose(found, expected, atol=1e-4)


def test_quadratic_curves_are_the_same_as_cubic_ones():
    _, sheet = drawn('<path d="M0 0Q6 0 6 6" stroke="#000000" fill="none"/>')
    curve = next(each for each in sheet.operators if each.endswith(" c"))
    # Raising the degree: a third of the way from the middle point to each end.
    assert curve == "4 0 6 2 6 6 c"


def test_words_stand_upright_and_are_found():
    _, sheet = drawn('<text x="50" y="10" text-anchor="middle" font-size="13">a &lt; b</text>')
    assert sheet.words == ["a < b"]
    flips = [each for each in sheet.operators if each.endswith(" cm")]
    assert flips[-1].startswith("1 0 0 -1 50 10")


@pytest.mark.parametrize("colour", ["none", ""])
def test_what_has_no_colour_is_not_drawn(colour):
    found, _ = drawn(f'<path d="M0 0L1 1" fill="{colour}"/>')
    assert found.size == 0
