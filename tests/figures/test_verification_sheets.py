"""Figures of a verification show what was found, in every state, at names of any length."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from acoustics.figures import save_sheets
from acoustics.figures.style import new_figure
from acoustics.figures.verification_marks import draw_marks, impedance_marks
from acoustics.figures.verification_sheets import verification_sheets
from support.verifications import PART, TURNED, verification

LONG = replace(TURNED, words="$x_1$ " + "something with a long name went wrong, not this; " * 12)


def drawn(found):
    figures = {name: sheet(found) for name, sheet in verification_sheets(found).items()}
    return {name: figure for name, figure in figures.items() if figure is not None}


def texts(figure):
    return " ".join(
        " ".join(text.get_text().split())
        for text in figure.findobj(lambda artist: hasattr(artist, "get_text"))
    )


@pytest.fixture(scope="module")
def faulty():
    return verification(
        "fault",
        healthy=0.0,
        unknown=0.03,
        causes=[(0.9, [PART, TURNED]), (0.05, [replace(PART, words="C2 is about 20 µF")])],
        outside=["axis", "terminals"],
    )


def test_there_is_a_sheet_for_every_reading_and_a_question_on_each(faulty):
    figures = drawn(faulty)
    assert set(figures) == {
        "causes", "response-1", "response-2", "response-3", "impedance-1", "crossover",
    }  # fmt: skip
    assert all("?" in figure._suptitle.get_text() for figure in figures.values())
    assert "A two-way made by hand, axis" in texts(figures["response-1"])


def test_a_response_is_drawn_with_what_the_cause_explains(faulty, curve):
    figure = drawn(faulty)["response-1"]
    level, difference, phase = figure.axes
    frequency, measured = curve(level, "measured")
    middle = (frequency > 500) & (frequency < 5000)
    # 0.2 Pa is 80 dB; 3 dB above in the middle, of which the cause explains two.
    np.testing.assert_allclose(measured, np.where(middle, 83.0, 80.0))
    np.testing.assert_allclose(curve(level, "as designed")[1], 80.0)
    np.testing.assert_allclose(
        curve(level, "with the likeliest cause")[1], np.where(middle, 82.0, 80.0)
    )
    np.testing.assert_allclose(curve(difference, "measured")[1], np.where(middle, 3.0, 0.0))
    np.testing.assert_allclose(
        curve(difference, "with the likeliest cause")[1], np.where(middle, 2.0, 0.0), atol=1e-9
    )
    (band,) = difference.collections
    heights = band.get_paths()[0].vertices[:, 1]
    assert (heights.min(), heights.max()) == pytest.approx((-0.9, 0.9))
    assert phase.get_title(loc="left").startswith("phase")
    # Both members of the cause share its probability.
    said = texts(figure)
    assert "outside. Likeliest known cause (90 % with what would look the same): C1 of" in said


def test_an_impedance_is_in_ohm_and_per_cent_with_its_marks(faulty, curve):
    figure = drawn(faulty)["impedance-1"]
    size, difference = figure.axes[:2]
    frequency, measured = curve(size, "measured")
    middle = (frequency > 500) & (frequency < 5000)
    np.testing.assert_allclose(measured, np.where(middle, 32 / 3, 8.0))
    np.testing.assert_allclose(curve(size, "as designed")[1], 8.0)
    # (4/3)^(2/3) of 8 ohm.
    explained = curve(size, "with the likeliest cause")[1][middle]
    np.testing.assert_allclose(explained, 8 * (4 / 3) ** (2 / 3))
    np.testing.assert_allclose(curve(difference, "measured")[1].max(), 100 / 3)
    assert {text.get_text() for text in size.texts} == {
        "lower peak", "tuning", "upper peak", "wrinkle",
    }  # fmt: skip
    assert impedance_marks(faulty, "another") == []
    # As wide in ratio downward as upward: 1/1.05.
    (band,) = difference.collections
    heights = band.get_paths()[0].vertices[:, 1]
    assert (heights.min(), heights.max()) == pytest.approx((100 / 1.05 - 100, 5.0))


def test_a_match_has_no_cause_to_draw():
    figures = drawn(verification())
    for name in ("response-1", "impedance-1", "crossover"):
        assert "likeliest" not in texts(figures[name])


def test_without_phase_there_are_two_panels_and_no_crossover():
    figures = drawn(verification(has_phase=False))
    assert len(figures["response-1"].axes) == 2
    assert "crossover" not in figures


def test_two_clocks_tell_no_phase_to_draw():
    found = verification()
    found["crossover_phase_doubt"] = found.crossover_phase_doubt * np.nan
    assert "crossover" not in drawn(found)


def test_a_crossover_is_held_against_what_was_drawn_and_not_against_strays(curve):
    found = verification()
    # Strays fitted, the design comes 30° nearer to what was read; what was drawn stands as it is.
    upper = found.told_reading.values.tolist().index("tweeter alone")
    found.told_measured.values[upper] *= np.exp(1j * np.radians(40.0))
    found.told_designed.values[upper] *= np.exp(1j * np.radians(30.0))
    found.banded_phase_difference.values[upper] = 40.0
    panel = drawn(found)["crossover"].axes[0]
    np.testing.assert_allclose(curve(panel, "measured")[1], 40.0)
    np.testing.assert_allclose(curve(panel, "as designed")[1], 0.0, atol=1e-9)


def test_no_bar_claims_to_be_certain():
    found = verification("fault", healthy=0.0, unknown=0.001, causes=[(0.999, [PART])])
    said = texts(drawn(found)["causes"])
    assert "more than 99 %" in said
    assert "100 %" not in said


def test_bars_are_the_probabilities_the_likeliest_first(faulty):
    panel = drawn(faulty)["causes"].axes[0]
    assert [bar.get_width() for bar in panel.patches] == pytest.approx([90.0, 5.0, 3.0, 0.0])
    heights = [bar.get_y() for bar in panel.patches]
    assert heights == sorted(heights)
    said = texts(panel.figure)
    assert "as designed" in said
    assert "something that is on no list" in said
    assert f"{PART.words}; or {TURNED.words}" in said


def test_words_of_any_length_stay_inside_and_apart():
    found = verification(
        "fault", healthy=0.01, unknown=0.02, causes=[(0.5, [LONG] * 3), (0.4, [LONG])],
        outside=["axis"], title="A design with a name that does not end " * 3,
    )  # fmt: skip
    figures = drawn(found)
    for name in ("causes", "response-1", "impedance-1"):
        figure = figures[name]
        figure.canvas.draw()
        assert figure._suptitle.get_window_extent().x1 <= figure.bbox.width
        boxes = [axes.get_window_extent() for axes in figure.axes]
        assert all(box.height > 60 for box in boxes)
    panel = figures["causes"].axes[0]
    boxes = [text.get_window_extent() for text in panel.texts]
    assert max(box.x1 for box in boxes) <= panel.figure.bbox.width
    boxes.sort(key=lambda box: -box.y1)
    for above, below in itertools.pairwise(boxes):
        assert below.y1 <= above.y0 + 2
    assert "$x_1$" in texts(panel.figure)


def test_marks_that_lie_close_are_named_below_each_other():
    panel = new_figure(3.0)[1][0, 0]
    panel.set_xscale("log")
    panel.set_xlim(20, 20_000)
    draw_marks(panel, [(40.0, "lower peak"), (42.0, "tuning"), (3000.0, "wrinkle")], 360.0)
    first, second, third = (text.xy[1] for text in panel.texts)
    assert second < first == third


@pytest.mark.parametrize(("responses", "impedances"), [((), ("terminals",)), (("axis",), ())])
def test_what_was_not_measured_is_not_drawn(responses, impedances):
    figures = drawn(verification(responses=responses, impedances=impedances))
    assert len(figures) == 2


def test_pages_of_an_earlier_run_are_taken_away(tmp_path):
    (tmp_path / "response-2.png").write_bytes(b"")
    found = verification(responses=("axis",), impedances=())
    assert save_sheets(verification_sheets(found), found, tmp_path) == 2
    assert {path.name for path in tmp_path.iterdir()} == {
        "causes.png", "causes.svg", "response-1.png", "response-1.svg",
    }  # fmt: skip
