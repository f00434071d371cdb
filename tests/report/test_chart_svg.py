"""Charts that can be read off: what is drawn is where the numbers are."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from acoustics.report.html.chart_axes import NAME_GAP, dash, spread, value_lines
from acoustics.report.html.chart_svg import chart_svg
from acoustics.report.html.content import Chart, Curve

SVG = "{http://www.w3.org/2000/svg}"


def chart(*curves, **changes):
    frequency = np.geomspace(20.0, 20_000.0, 31)
    drawn = tuple(
        Curve(name, np.broadcast_to(np.asarray(values, dtype=float), frequency.shape), i == 0)
        for i, (name, values) in enumerate(curves)
    )
    given = {
        "name": "c", "title": "t", "sentence": "s", "axis": "Level in dB", "unit": "dB",
        "frequency": frequency, "curves": drawn, "low": 50.0, "high": 90.0,
    }  # fmt: skip
    return Chart(**{**given, **changes})


def points_of(svg):
    path = ET.fromstring(svg).find(f".//{SVG}path[@class='curve']")
    return np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get("d")), dtype=float)


def test_points_lie_on_a_logarithmic_and_a_straight_axis():
    values = np.linspace(50.0, 90.0, 31)
    svg = chart_svg(chart(("rise", values)))
    left, top, right, bottom = map(float, ET.fromstring(svg).get("data-plot").split())
    points = points_of(svg)
    # 20 Hz to 20 kHz in even steps of log frequency, 50 to 90 dB in even steps: a straight line.
    assert points[:, 0] == pytest.approx(np.linspace(left, right, 31), abs=0.06)
    assert points[:, 1] == pytest.approx(np.linspace(bottom, top, 31), abs=0.06)


def test_numbers_inside_are_those_drawn():
    values = np.linspace(61.234, 77.777, 31)
    root = ET.fromstring(chart_svg(chart(("one", values))))
    curve = root.find(f".//{SVG}path[@class='curve']")
    assert np.array(curve.get("data-value").split(","), float) == pytest.approx(values, abs=1e-3)
    at = np.array(root.get("data-frequency").split(","), float)
    assert at == pytest.approx(np.geomspace(20.0, 20_000.0, 31), rel=1e-5)


def test_what_is_not_known_is_a_gap():
    values = np.full(31, 70.0)
    values[[10, 11]] = np.nan, -np.inf
    svg = chart_svg(chart(("gap", values)))
    path = ET.fromstring(svg).find(f".//{SVG}path[@class='curve']")
    assert path.get("d").count("M") == 2
    assert path.get("data-value").split(",")[10:12] == ["", ""]


def test_names_are_escaped_everywhere():
    evil = "\"><script>alert(1)</script>&'"
    svg = chart_svg(chart((evil, 70.0), title=evil, sentence=evil, marks=((100.0, evil),)))
    root = ET.fromstring(svg)  # well formed
    assert not root.findall(f".//{SVG}script")
    assert root.find(f"{SVG}title").text == evil


def test_it_is_told_to_those_who_cannot_see_it():
    root = ET.fromstring(chart_svg(chart(("a", 70.0), ("b", 60.0))))
    assert root.get("role") == "img"
    ids = {e.get("id"): e for e in root.iter() if e.get("id")}
    told = [ids[one].text for one in root.get("aria-labelledby").split()]
    assert told[0] == "t"
    assert "a; b" in told[1]


def test_few_curves_never_share_dashes():
    one = chart(*((str(i), 60.0 + i) for i in range(6)))
    assert len({dash(one, i) for i in range(6)}) == 6


def test_names_of_curves_stand_apart_and_in_order():
    places = spread([100.0, 101.0, 102.0, 300.0], 10.0, 320.0)
    assert (np.diff(places) >= NAME_GAP - 1e-9).all()
    assert places[3] == 300.0
    low = spread([318.0, 319.0, 320.0], 10.0, 320.0)
    assert (np.diff(low) >= NAME_GAP - 1e-9).all()
    assert low[-1] <= 320.0
    crowd = spread([200.0] * 40, 10.0, 320.0)
    assert crowd[0] >= 10.0 - 1e-9
    assert crowd[-1] <= 320.0 + 1e-9


@pytest.mark.parametrize(
    ("low", "high", "step"), [(50, 90, 5), (0, 44, 10), (-6, 15, 5), (0, 7, 1)]
)
def test_grid_has_round_steps(low, high, step):
    lines = value_lines(chart(("a", 1.0), low=float(low), high=float(high)))
    assert np.diff(lines) == pytest.approx(step)
    assert min(lines) >= low
    assert max(lines) <= high
