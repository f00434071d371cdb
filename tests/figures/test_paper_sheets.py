"""Words, lines and circles on paper, read back from the file by a general library.

Sizes of letters are those of the type's own tables, read by a general library of fonts.
"""

from __future__ import annotations

import io
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from acoustics.figures.paper import FILES, Ink, blank, circle, draw, line, pdf_of, width, write
from support.pdf_read import lines, pages, paths, size, words

INK = Ink("#102030")


def written(*texts, **how):
    canvas = blank("Grüße – Ω", (595.0, 842.0))
    for number, text in enumerate(texts):
        write(canvas, text, (100.0, 200.0 + 20 * number), 10.0, "#102030", **how)
    return pdf_of(canvas)


@pytest.mark.parametrize("face", FILES)
def test_lines_are_as_wide_as_their_letters(face):
    font = TTFont(Path(mpl.get_data_path(), "fonts", "ttf", FILES[face]))
    advances, names = font["hmtx"], font.getBestCmap()
    words = "Ø 74.5 mm, größer – Ω"
    units = sum(advances[names[ord(letter)]][0] for letter in words)
    expected = 12.0 * units / font["head"].unitsPerEm
    assert width(words, 12.0, face) == pytest.approx(expected, abs=0.02)


def test_circles_are_round_to_a_hundredth_of_a_millimetre():
    """Points of the cubic curves (Bernstein) lie a radius from the centre."""
    radius = 2000.0  # 0.7 m
    canvas = blank("", (595.0, 842.0))
    draw(canvas, circle((10.0, 20.0), radius), INK)
    (found,) = paths(pages(pdf_of(canvas))[0])
    t = np.linspace(0, 1, 21)[:, None]
    for a, b, c, d in found.curves:
        curve = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
        off = np.hypot(*(curve - (10.0, 20.0)).T) - radius
        assert np.abs(off).max() < 0.01 / 25.4 * 72
    # All the way round: by their directions from the centre the ends are an eighth apart.
    turns = np.unwrap(np.arctan2(*(found.ends - (10.0, 20.0)).T[::-1]))
    assert np.diff(turns) == pytest.approx(np.pi / 4)
    assert turns[-1] - turns[0] == pytest.approx(2 * np.pi)


def test_lines_go_where_they_should():
    canvas = blank("", (595.0, 842.0))
    points = [(0.1234567, 700.7654321), (595.0, 0.0), (3.5, -2.0)]
    draw(canvas, line(points), INK)
    (found,) = paths(pages(pdf_of(canvas))[0])
    assert found.ends == pytest.approx(np.array(points), abs=1e-3)  # less than a micrometre


def test_every_letter_says_which_it_is():
    data = written("aΩ – Ø größer", "Живой", face="bold")
    assert "aΩ – Ø größer" in words(pages(data)[0])
    assert "Живой" in words(pages(data)[0])


@pytest.mark.parametrize(("anchor", "before"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
@pytest.mark.parametrize("turned", [False, True])
def test_words_stand_where_their_anchor_says(anchor, before, turned):
    ((text, x, y),) = lines(pages(written("anchored", anchor=anchor, turned=turned))[0])
    assert text == "anchored"
    back = before * width("anchored", 10.0)
    expected = (100.0, 200.0 - back) if turned else (100.0 - back, 200.0)
    assert (x, y) == pytest.approx(expected, abs=1e-3)


def test_letters_are_in_the_file_but_only_those_that_are_used():
    reader = PdfReader(io.BytesIO(written("few")))
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    assert len(fonts) == 1
    inside = fonts[0]["/FontDescriptor"]["/FontFile2"].get_data()
    assert 1000 < len(inside) < 25_000  # with all of ASCII 35 kB; the whole type has 760 kB
    assert "DejaVu" in fonts[0]["/BaseFont"]


def test_equal_sheets_are_equal_bytes_also_from_several_threads():
    with ThreadPoolExecutor(4) as pool:
        files = set(pool.map(lambda _: written("same", "größer"), range(12)))
    assert len(files) == 1


def test_document_says_its_title_and_language_and_that_it_is_not_to_be_scaled():
    reader = PdfReader(io.BytesIO(written("words")))
    assert reader.metadata.title == "Grüße – Ω"
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert size(reader.pages[0]) == (595.0, 842.0)


def test_opacity_is_that_of_the_ink_and_of_nothing_after_it():
    canvas = blank("", (100.0, 100.0))
    path = line([(0.0, 0.0), (1.0, 1.0)])
    draw(canvas, path, Ink("#102030", "#102030", opacity=0.25))
    draw(canvas, path, Ink("#102030", "#102030"))
    page = pages(pdf_of(canvas))[0]
    states = page["/Resources"]["/ExtGState"]
    now, seen = {"/ca": 1.0, "/CA": 1.0}, []
    for operands, operator in page.get_contents().operations:
        if operator == b"gs":
            given = states[operands[0]].get_object()
            now |= {key: float(given[key]) for key in now if key in given}
        elif operator in (b"B", b"B*"):
            seen.append(tuple(now.values()))
    assert seen == [(0.25, 0.25), (1.0, 1.0)]


def test_nothing_is_drawn_without_ink():
    canvas = blank("", (100.0, 100.0))
    draw(canvas, line([(0.0, 0.0), (1.0, 1.0)]), Ink())
    write(canvas, "  ", (0.0, 0.0), 9.0, "#000000")
    canvas.showPage()
    (page,) = pages(pdf_of(canvas))
    assert not list(paths(page))
    assert not lines(page)
