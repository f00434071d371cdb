"""The text on builds says whether it matters, what matters most, and what it rests on."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from acoustics.report import tolerance_csv, tolerance_text
from acoustics.studies.tolerance.answers import half_width, parts_of, strayings, within_words
from support.tolerances import AIM, WIDE, answer

LONG = "Tweeter-of-forty-letters-without-a-blank"


@pytest.fixture(scope="module")
def told(solve_free_field):
    """`told(**changes)`: the text of an answer made by hand, as one line, and the answer."""

    def tell(**changes):
        case, found = answer(solve_free_field, **changes)
        text = tolerance_text(case, found)
        assert max(map(len, text.splitlines())) <= 88
        return " ".join(text.split()), found

    return tell


def test_nothing_lost_hardly_matters(told):
    text, found = told(slopes=((0.03, 0.04, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    # 95 % interval of 100 of 100: 1/(1 + 1.96²/100) = 0.963 (Wilson 1927, closed form).
    assert "Does it matter? Hardly: 100 of 100 builds (96 to 100) meet all 2 aims" in text
    assert "smooth at most 1.5 dB 1.00, met 100 (96 to 100)" in text
    assert found.sizes["build"] == 100


def test_what_builds_lose_comes_first_with_what_it_hangs_on(told):
    # 0.5 above the design is one standard deviation: 84 % of a normal figure stay below.
    text, found = told(builds=400)
    share = float(found.share_met[0])
    # Three standard errors of a share of 400: 3·sqrt(0.84·0.16/400) = 0.055.
    assert share == pytest.approx(0.841, abs=0.055)
    assert text.startswith("made by hand ============ Does it matter? Somewhat: ")
    assert f'What builds lose: "smooth", met by {100 * share:.0f} (' in text
    # 0.3² and 0.4² of 0.5²: 36 % and 64 %, whatever is drawn but for the estimate from 4096 points.
    assert "hangs most on upper L1: 64 % of its variance" in text


def test_most_builds_lost_is_a_yes(told):
    text, _ = told(slopes=((3.0, 4.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    assert "Does it matter? Yes: " in text


def test_what_the_design_misses_is_no_matter_of_builds(told):
    text, _ = told(design=(2.5, 80.0), slopes=((0.03, 0.04, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    assert "It is not the builds that decide: the design itself misses" in text
    assert '"smooth" and "wide", and so does every build' in text
    some, _ = told(design=(1.6, 100.0))
    assert "The design itself misses what some builds meet by luck" in some


def test_weights_are_shares_of_variance(told):
    text, found = told()
    assert "upper L1 (±5 %) 64 %, upper C1 (±5 %) 36 % of the variance." in text.replace(
        "\xa0", " "
    )
    # Without 64 % of the variance, sqrt(0.36) = 0.6 of the standard deviation is left.
    assert "With upper L1 exact it would stray 40 % less." in text.replace("\xa0", " ")
    first = parts_of(found, found.sizes["figure"] - 2)[0]
    assert first.first == pytest.approx(0.64, abs=0.01)
    assert "wide (" in text
    assert "upper up (place) (±1 mm) 100 %" in text.replace("\xa0", " ")
    assert "is not worth paying for: temperature (±5 K)" in text
    # A difference of temperatures is none in degrees Celsius.
    assert within_words(found, 3) == "±5 K"


def test_bands_are_as_wide_as_the_draws_make_them(told):
    text, found = told(builds=400)
    expected = 0.25 * np.ptp(np.percentile(found.draw[:, 0] / 0.05 * 1.959964, [5, 95]))
    for one in strayings(found):
        assert one.largest == pytest.approx(expected, abs=1e-4)
        assert one.median == pytest.approx(expected, abs=1e-4)
    assert float(half_width(found.on_axis)[0]) == pytest.approx(expected, abs=1e-4)
    assert f"on the reference axis ±{expected:.2f} dB" in text


def test_a_design_at_the_best_of_its_builds_is_told(told, solve_free_field):
    case, found = answer(solve_free_field, slopes=((0.3, 0.4, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    found["design_figure"][-2] = 0.0  # below all of its builds but few
    text = " ".join(tolerance_text(case, found).split())
    assert "The design sits at the best of its builds; most of them are worse" in text
    assert "the design's own: smooth (" in text


def test_no_aims_and_figures_that_are_not_known(told):
    text, _ = told(aims=())
    assert "The case file names no aims, so nothing decides" in text
    assert "Not known of any build: ripple on the axis, tilt on the axis" in text
    assert "Add [[aims]]" in text


def test_too_few_builds_say_why_nothing_is_weighed(told):
    text, _ = told(builds=8)
    # 3 for each of 1 + 2·4 terms, as `indices` asks.
    assert "smooth and wide: not told: known of 8 builds, and 4 spreads need 27" in text
    assert "hangs most on" not in text
    assert "not worth paying" not in text


def test_what_does_not_stray_does_not(told):
    text, _ = told(slopes=((0.0,) * 4, (0.0,) * 4))
    assert "smooth and wide: do not stray." in text
    assert "Few builds are worse" not in text


def test_builds_that_cannot_be_are_counted_with_their_reason(told):
    text, _ = told(failed=7)
    assert "7 of 100 builds cannot be; see below." in text
    assert "- 7: it cannot be - Figures, bands and shares are those of the other builds." in text


def test_what_it_rests_on(told):
    text, _ = told(usual=True)
    assert "100 builds, drawn with seed 5" in text
    assert "levels of 2 builds that were solved exactly too differ by up to 0.03 dB" in text
    assert "usual spreads, as the case states none: common practice, no source" in text
    assert "the case states these" not in text.casefold()


def test_builds_that_are_far_off_are_told_first(told, solve_free_field):
    case, found = answer(solve_free_field)
    assert "Mind:" not in tolerance_text(case, found)
    found.attrs["deviation"] = 2.34
    verdict, _, _ = tolerance_text(case, found).partition("\nAims\n")
    assert "levels of builds are off by up to 2.3 dB here" in " ".join(verdict.split())


def test_long_and_strange_names_stay_in_their_columns(told):
    strange = replace(AIM, name="=SUM(A1) $x_1$ " + "an aim with a long name " * 3)
    text, found = told(names=("lower", LONG), aims=(strange, WIDE))
    assert f"{LONG} L1 (±5 %)" in text.replace("\xa0", " ")
    rows = list(csv.reader(io.StringIO(tolerance_csv(found))))
    assert rows[-2][0].startswith("'=SUM")
    assert f"first order: {LONG} C1" in rows[0]


def test_the_table_has_every_figure_and_leaves_out_what_is_not_known(told):
    _, found = told()
    rows = list(csv.reader(io.StringIO(tolerance_csv(found))))
    assert len(rows) == 1 + found.sizes["figure"]
    assert {len(row) for row in rows} == {15 + 2 * 4}
    table = [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
    smooth = table[-2]
    assert (smooth["figure"], smooth["unit"], smooth["at most"], smooth["at least"]) == (
        "smooth", "dB", "1.5", "",
    )  # fmt: skip
    assert float(smooth["total: upper L1"]) == pytest.approx(0.64, abs=0.01)
    assert float(smooth["share met"]) == pytest.approx(float(found.share_met[0]), rel=1e-5)
    assert table[0]["design"] == ""
