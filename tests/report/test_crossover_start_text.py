"""Where a passive crossover starts: its text, its table of values and its figure."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.case import read_case
from acoustics.case.design.model import FrequencyGrid
from acoustics.figures.crossover_start import start_sheet
from acoustics.figures.style import named_curves
from acoustics.report.start_papers import write_start
from acoustics.storage import open_prediction
from acoustics.studies.crossover_start.study import starting_points
from support.cases import CASES, make_case, make_driver
from support.free_field import solve_free_field

FILES = ["start.nc", "start.txt", "start.csv", "figures/start.png", "figures/start.svg"]


@pytest.fixture(scope="module")
def compact():
    case = read_case(CASES / "compact-centred" / "case.toml")
    return replace(case, arc_step=10.0, frequencies=FrequencyGrid(20.0, 20_000.0, 12))


@pytest.fixture(scope="module")
def starts(compact):
    return starting_points(compact, solve=solve_free_field)


@pytest.fixture(scope="module")
def written(compact, tmp_path_factory):
    folder = tmp_path_factory.mktemp("start")
    return folder, *write_start(compact, folder, solve=solve_free_field)


def test_everything_is_written(written, starts):
    folder, text, names = written
    assert names == FILES
    assert sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*.*")) == sorted(FILES)
    assert (folder / "start.txt").read_text(encoding="utf-8") == text
    xr.testing.assert_identical(open_prediction(folder / "start.nc"), starts.dataset)


def test_the_text_fits_and_tells_what_was_found(written, starts):
    _, text, _ = written
    assert max(map(len, text.splitlines())) <= 88
    assert "\u00a0" not in text
    words = " ".join(text.split())
    for start in starts.drivers:
        for ladder in start.ladders:
            figure = f"{ladder.deviation:+.1f} dB".replace("-", "−")
            assert figure in words
        assert f"{start.level:.1f} dB at 1 m" in words
    tweeter = starts.drivers[1]
    assert f"so {tweeter.attenuation:.1f} dB are to be taken off" in words
    assert f"{tweeter.peak.resonance:.0f} Hz" in words
    assert "because the impedance" in words


def test_a_resistance_in_words():
    """Rated impedance only: no compensation, and what is needed is had."""
    drivers = (
        make_driver(
            "woofer", -0.06, piston_diameter=0.12, frame_diameter=0.16, rated_impedance=6.0
        ),
        make_driver("tweeter", 0.11, frame_diameter=0.07, rated_impedance=4.0, sensitivity=80.0),
    )
    case = make_case(drivers, frequencies=FrequencyGrid(100.0, 16_000.0, 12), crossover=())
    from acoustics.report.crossover_start import start_text

    text = " ".join(start_text(case, starting_points(case, solve=solve_free_field)).split())
    assert "a resistor of 6 ohm, its rated impedance" in text
    assert "add [drivers.tweeter.small_signal]" in text
    assert "Linkwitz-Riley, order 4 gives what is needed" in text
    assert "Across the driver" not in text
    # The tweeter is the weaker one.
    assert "less than is to be had, and no passive filter makes up for that" in text


def test_the_values_are_those_of_the_ladders(written, starts):
    folder, _, _ = written
    rows = list(csv.DictReader(io.StringIO((folder / "start.csv").read_text(encoding="utf-8"))))
    units = {
        "inductor": ("inductance (mH)", 1e-3),
        "capacitor": ("capacitance (uF)", 1e-6),
        "resistor": ("resistance (ohm)", 1.0),
    }
    assert len(rows) == starts.dataset.sizes["part"]
    for row, value, driver in zip(
        rows, starts.dataset.part_value.values, starts.dataset.part_driver.values, strict=True
    ):
        column, unit = units[row["kind"]]
        assert float(row[column]) * unit == pytest.approx(value, rel=1e-5)
        assert row["driver"] == driver
    straight = [row for row in rows if row["treatment"] == "straight"]
    assert {row["role"] for row in straight} == {"slopes", "attenuator"}
    assert {row["role"] for row in rows} == {"slopes", "attenuator", "compensation"}


def test_the_figure_draws_what_was_found(starts):
    panels = start_sheet(starts.dataset).axes
    for panel, start in zip(panels, starts.drivers, strict=True):
        assert panel.get_title(loc="left").startswith(start.slopes.driver)
        curves = {str(line.get_label()): line for line in named_curves(panel)}
        needed = curves["what the driver needs"].get_ydata()
        np.testing.assert_allclose(needed, 20 * np.log10(np.abs(start.ideal)), atol=1e-9)
        of = next(
            each for each in start.ladders if (each.order, each.treatment) == (3, "compensated")
        )
        drawn = curves["Butterworth, order 3"].get_ydata()
        np.testing.assert_allclose(drawn, 20 * np.log10(np.abs(of.transfer)), atol=1e-9)
