"""The sentence under the layout counts from where the drawing above it does."""

from __future__ import annotations

import re

from acoustics.figures.sheets import layout_sheet
from acoustics.prediction import predict
from acoustics.report.html.page_words import said
from acoustics.report.html.pictures import layout_sentence
from support.cases import make_case


def test_sentence_and_drawing_measure_from_one_origin(solve_free_field):
    """Heights beside the drawing and places below it are the numbers of the sentence."""
    prediction = predict(make_case(), solve=solve_free_field)
    told = layout_sentence(prediction)
    assert "left and lower end of the front face" in told
    places = re.findall(r"([\d.]+) across and ([\d.]+) up", told)
    assert len(places) == prediction.driver.size
    drawn = " ".join(text.get_text() for text in layout_sheet(prediction).axes[0].texts)
    numbers = set(re.findall(r"[\d.]+", drawn))
    assert {number for place in places for number in place} <= numbers


def test_what_is_typed_is_marked_and_stays_text():
    words = said("see `roundover predict`, <b> & `<i>`")
    assert words == ("see <code>roundover predict</code>, &lt;b&gt; &amp; <code>&lt;i&gt;</code>")
