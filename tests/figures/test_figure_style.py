"""The common look: what people can tell apart, and axes that mean what they say."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from acoustics.figures import style

# Nominal frequencies of thirds of an octave, ISO 266:1997 (from memory).
ISO_266 = {20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800}
ISO_266 |= {1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500}
ISO_266 |= {16_000, 20_000}

# Colour as seen without one kind of cone: Machado, Oliveira & Fernandes, IEEE Trans. Vis.
# Comput. Graph. 15 (2009), severity 1, for linear RGB (from memory).
BLINDNESS = {
    "none": np.eye(3),
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def linear(color):
    """Linear light of an sRGB colour (IEC 61966-2-1)."""
    c = np.array(to_rgb(color))
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def luminance(light):
    return light @ np.array([0.2126, 0.7152, 0.0722])


def contrast_with_white(color):
    """WCAG 2.1, contrast ratio."""
    return 1.05 / (luminance(linear(color)) + 0.05)


def lab(light):
    """CIE 1976 L*a*b* of linear sRGB light, white point D65."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = to_xyz @ np.clip(light, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_labelled_frequencies_are_preferred_numbers():
    assert set(style.FREQUENCIES) <= ISO_266


@pytest.mark.parametrize("color", [*style.SERIES, *style.ORDERED(np.linspace(0, 1, 7))])
def test_curves_stand_out_from_paper(color):
    assert contrast_with_white(color[:3] if not isinstance(color, str) else color) >= 3.0


@pytest.mark.parametrize("text", [style.INK, style.QUIET])
def test_text_can_be_read(text):
    assert contrast_with_white(text) >= 4.5  # WCAG 2.1, 1.4.3


@pytest.mark.parametrize("kind", BLINDNESS)
def test_series_stay_apart_for_colour_blind_people(kind):
    seen = [lab(BLINDNESS[kind] @ linear(color)) for color in style.SERIES]
    # A difference of 2.3 is just seen (Mahy et al. 1994); this asks for ten times as much.
    assert min(np.linalg.norm(a - b) for a, b in itertools.combinations(seen, 2)) > 23


@pytest.mark.parametrize("scale", [style.ORDERED, style.LOUDNESS])
@pytest.mark.parametrize("kind", BLINDNESS)
def test_scales_run_one_way_in_lightness(scale, kind):
    steps = [luminance(BLINDNESS[kind] @ linear(c[:3])) for c in scale(np.linspace(0, 1, 9))]
    change = np.diff(steps)
    assert (change > 0).all() or (change < 0).all()


def test_frequency_axis(axes):
    style.frequency_axis(axes)
    assert axes.get_xlim() == (20, 20_000)
    axes.figure.draw_without_rendering()
    names = [label.get_text() for label in axes.get_xticklabels()]
    assert names == ["20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k"]


@pytest.mark.parametrize(
    ("highest", "top"), [(79.0, 80.0), (79.1, 85.0), (-0.5, 5.0), (float("-inf"), 0.0)]
)
def test_level_axis_ends_just_above_the_curves(axes, highest, top):
    style.level_axis(axes, highest)
    assert axes.get_ylim() == (top - 50, top)


@pytest.mark.parametrize(
    ("first", "last", "ends"),
    [
        (20.26, 19_581.0, (20, 20_000)),
        (300, 4_000, (200, 5_000)),
        (10, 40_000, (10, 40_000)),
        (4_900, 5_000, (4_900 / 1.05, 5_250)),
    ],
)
def test_frequency_axis_fits_what_was_predicted(first, last, ends):
    assert style.shown_frequencies(np.array([first, last])) == pytest.approx(ends)


@pytest.mark.parametrize(
    ("names", "columns"),
    [(["ab"] * 3, 3), (["a name of thirty letters ......"] * 3, 1), (["ten letters"] * 4, 2)],
)
def test_key_fits_the_width(names, columns):
    assert style.key_columns(names) == columns


def test_series_differ_in_dashes_too():
    looks = [tuple(map(str, style.series(i).values())) for i in range(25)]
    assert len(set(looks)) == 25


def test_no_name_is_lost_or_taken_for_a_formula(axes):
    """The plotting library drops names with a leading underscore and reads $…$ as mathematics."""
    for name in ("_draft", "a $x_$ b"):
        axes.plot([1, 2], [1, 2], label=name)
    axes.plot([1, 2], [2, 1])
    legend = style.key(axes)
    assert [text.get_text().strip() for text in legend.get_texts()] == ["_draft", "a $x_$ b"]
    style.head(axes.figure, "Is it $even$?", "cost: $x_$")
    style.panel_title(axes, "$")
    style.labels(axes, "$x_$", "$y^$")
    style.note(axes, 1, 1, "$^$")
    axes.figure.draw_without_rendering()
