"""Sheets drawn on directly, and their PDF, read back from the file.

Sizes of letters are those of the type's own tables, read by a general library of fonts.
"""

from __future__ import annotations

import re
import zlib
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from fontTools.ttLib import TTFont

from acoustics.figures.paper.letters import FILES, outline, width
from acoustics.figures.paper.pdf import sheets_pdf
from acoustics.figures.paper.sheet import Image, Ink, Sheet, circle


def streams(data):
    return [
        zlib.decompress(packed)
        for packed in re.findall(rb"stream\n(.*?)\nendstream", data, re.DOTALL)
    ]


def written(words):
    sheet = Sheet(595.0, 842.0)
    sheet.text(words, (100.0, 200.0), 10.0, "#102030")
    return sheets_pdf([sheet])


@pytest.mark.parametrize("face", FILES)
def test_lines_are_as_wide_as_their_letters(face):
    font = TTFont(Path(mpl.get_data_path(), "fonts", "ttf", FILES[face]))
    advances, names = font["hmtx"], font.getBestCmap()
    words = "Ø 74.5 mm, größer – Ω"
    units = sum(advances[names[ord(letter)]][0] for letter in words)
    expected = 12.0 * units / font["head"].unitsPerEm
    assert width(words, 12.0, face) == pytest.approx(expected, abs=0.02)


def test_outlines_stay_in_their_rectangle():
    operators, (left, bottom, right, top) = outline("regular", ord("g"))
    numbers = [
        [float(each) for each in line.split()[:-1][-2:]]
        for line in operators.split("\n")
        if line[-1] in "mlc"
    ]
    low, high = np.min(numbers, axis=0), np.max(numbers, axis=0)
    assert low == pytest.approx((left, bottom), abs=1.0)
    assert high == pytest.approx((right, top), abs=1.0)
    assert low[1] < -100  # below the base line


def test_circles_are_round_to_a_hundredth_of_a_millimetre():
    """Points of the cubic curves (Bernstein) lie a radius from the centre."""
    at, farthest, radius = np.zeros(2), 0.0, 2000.0  # 0.7 m
    for line in circle((10.0, 20.0), radius):
        *numbers, operator = line.split()
        points = np.reshape([float(each) for each in numbers], (-1, 2))
        if operator == "c":
            t = np.linspace(0, 1, 21)[:, None]
            a, b, c = points
            curve = (1 - t) ** 3 * at + 3 * (1 - t) ** 2 * t * a + 3 * (1 - t) * t**2 * b + t**3 * c
            off = np.hypot(*(curve - (10.0, 20.0)).T) - radius
            farthest = max(farthest, np.abs(off).max())
        if len(points):
            at = points[-1]
    assert farthest < 0.01 / 25.4 * 72


def test_every_letter_says_which_it_is():
    told = b"".join(streams(written("aΩ高")))
    for letter in "aΩ高":
        code = f"<{ord(letter) % 256:02X}> <{ord(letter):04x}>"
        assert code.encode() in told


def test_places_of_parts_are_where_the_table_says():
    data = written("words")
    start = int(re.search(rb"startxref\n(\d+)", data)[1])
    assert data[start:].startswith(b"xref")
    places = [int(each) for each in re.findall(rb"(\d{10}) 00000 n", data)]
    assert len(places) > 5
    for number, place in enumerate(places, start=1):
        assert data[place:].startswith(b"%d 0 obj" % number)


def test_equal_sheets_are_equal_bytes_and_bear_no_date():
    assert written("same") == written("same")
    assert b"Date" not in written("same")


def test_pictures_of_dots_keep_their_colours_and_opacity():
    colours = np.arange(12, dtype=np.uint8).reshape(2, 2, 3)
    opacity = np.array([[255, 128], [0, 255]], dtype=np.uint8)
    sheet = Sheet(100.0, 100.0)
    sheet.image(Image(colours, opacity))
    found = streams(sheets_pdf([sheet]))
    assert colours.tobytes() in found
    assert opacity.tobytes() in found


def test_nothing_is_drawn_without_ink():
    sheet = Sheet(100.0, 100.0)
    sheet.line([(0.0, 0.0), (1.0, 1.0)], Ink())
    sheet.text("  ", (0.0, 0.0), 9.0, "#000000")
    assert not sheet.operators
