"""PDF drawings, read back from their content streams, in points of 1/72 inch."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.figures.drawing_marks import marks_of
from acoustics.figures.drawing_pdf import save_drawing_pdf
from acoustics.figures.drawing_tiles import OVERLAP, PAD, tiling_of
from acoustics.studies.drawings import face_drawings
from support.cases import make_driver
from support.drawn import NASTY, box
from support.pdf_read import pages, paths, size, words

POINT = 25.4 / 72  # mm
A4, A3 = (210, 297), (297, 420)  # mm, ISO 216


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return save_drawing_pdf(face_drawings(box())[0], tmp_path_factory.mktemp("pdf") / "one.pdf")


def sizes(data):
    return [tuple(side * POINT for side in size(page)) for page in pages(data)]


def drawn(data):
    """Paths of every page: kind ("line" or "curve") and points (point, 2), mm."""
    return [
        [("curve" if path.curves else "line", path.ends * POINT) for path in paths(page)]
        for page in pages(data)
    ]


def squares(page):
    """Lower left corners of the squares of 100 mm on a page."""
    return [
        points.min(axis=0)
        for kind, points in page
        if kind == "line" and np.ptp(points, axis=0) == pytest.approx((100, 100), abs=0.1)
    ]


def test_pages_are_a4_and_as_many_as_it_takes(file):
    # 220 × 380 with 3 round it: upright sheets show 190 × 268, so 2 × 2; turned ones 277 × 181, of
    # which 12 twice, so 3 in one column. Before them a page shows all, and one has further notes.
    found = sizes(file.read_bytes())
    np.testing.assert_allclose(found, [A4, A4, *3 * [A4[::-1]]], atol=0.1)


def test_every_page_has_its_square(file):
    found = drawn(file.read_bytes())
    assert len(found) == 5
    for page in found:
        assert len(squares(page)) == 1


def test_circles_are_true_on_every_sheet(file):
    _, _, *sheets = drawn(file.read_bytes())
    steps = []
    for sheet in sheets:
        round_ones = [
            (points.min(axis=0) + np.ptp(points, axis=0) / 2, np.ptp(points, axis=0))
            for kind, points in sheet
            if kind == "curve"
        ]
        hole, frame = (
            [middle for middle, reach in round_ones if reach == pytest.approx(2 * (size,), abs=0.1)]
            for size in (74, 165)
        )
        if hole and frame:  # from the woofer to the tweeter, by the case
            assert hole[0] - frame[0] == pytest.approx((30, 175), abs=0.1)
            steps.append(hole[0])
    assert len(steps) >= 2
    # The same hole on the next sheet: moved by what a sheet shows less what both show.
    assert any(abs(steps[0] - other).max() > 100 for other in steps[1:])


def test_sheets_together_cover_the_face():
    for whole in ((220, 380), (60, 40), (420, 1100), (184, 262)):
        tiling = tiling_of(whole, "A4")
        tiles = list(tiling.tiles())
        assert len(tiles) == tiling.count
        left, bottom = (min(getattr(tile, side) for tile in tiles) for side in ("left", "bottom"))
        right = max(tile.left for tile in tiles) + tiling.window[0]
        top = max(tile.bottom for tile in tiles) + tiling.window[1]
        assert left <= -PAD
        assert bottom <= -PAD
        assert right >= whole[0] + PAD
        assert top >= whole[1] + PAD
        first = tiles[0]
        for tile in tiles[1:]:
            if tile.row == 0 and tile.column == 1:
                assert tile.left == pytest.approx(first.left + tiling.window[0] - OVERLAP)
            if tile.row == 1 and tile.column == 0:
                assert tile.bottom + tiling.window[1] == pytest.approx(first.bottom + OVERLAP)
        assert all(np.array(tiling.paper) - tiling.window >= 20)  # 10 mm of margin each way


def test_a3_and_unknown_paper(tmp_path):
    drawing = face_drawings(box())[0]
    found = sizes(save_drawing_pdf(drawing, tmp_path / "a3.pdf", "A3").read_bytes())
    assert len(found) == 2  # all of it on one sheet
    assert found[1] == pytest.approx(A3, abs=0.1)
    with pytest.raises(RoundoverError, match=r"expected A4 or A3"):
        save_drawing_pdf(drawing, tmp_path / "b.pdf", "letter")


def test_equal_drawings_give_equal_bytes(file, tmp_path):
    again = save_drawing_pdf(face_drawings(box())[0], tmp_path / "again.pdf")
    assert again.read_bytes() == file.read_bytes()


def test_words_say_how_to_print_and_names_do_no_harm(tmp_path):
    case = box(title=f"$5 {NASTY}\x07", drivers=(make_driver("$x_1$"),), enclosures=())
    file = save_drawing_pdf(face_drawings(case)[0], tmp_path / "named.pdf")
    first, *sheets = (" ".join(words(page).split()) for page in pages(file.read_bytes()))
    assert "Print at 100 %" in first
    assert "measure this, 100.0 mm" in first
    assert "drivers.$x_1$.cutout_diameter" in first
    assert "row 2 of 3, column 1 of 1" in sheets[1]


def test_numbers_beside_a_drawing_keep_clear_of_each_other():
    marks = marks_of(face_drawings(box())[0])
    right = [mark for mark in marks.around if getattr(mark, "at", (0, 0))[0] > 220]
    right.sort(key=lambda mark: mark.at[1])
    assert [mark.text for mark in right] == ["30", "140", "315"]
    assert np.diff([mark.at[1] for mark in right]).min() > 3.5
