"""Curves as comma-separated values, read back by the csv module and numpy."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
import xarray as xr

from acoustics.conventions import RoundoverError
from acoustics.listening import standard_curves
from acoustics.report.open_data import curves_csv, table_csv, write_csv
from support.written_data import HARMFUL, predicted_two_way


@pytest.fixture(scope="module")
def prediction():
    return predicted_two_way(HARMFUL)[1]


@pytest.fixture(scope="module")
def tables(prediction):
    return curves_csv(prediction)


def read(text):
    """Headings, and a row of numbers for each frequency."""
    headings, *rows = csv.reader(io.StringIO(text, newline=""))
    return headings, np.array([[float(cell or "nan") for cell in row] for row in rows])


def test_the_first_three_columns_are_frequency_level_and_phase(prediction, tables):
    headings, rows = read(tables["reference-axis"])
    assert headings[:3] == [
        "frequency [Hz]",
        "level of all drivers [dB]",
        "phase of all drivers [degrees]",
    ]
    assert headings[4] == "level, driver tweeter [dB]"
    # By hand: dB re 20 µPa (IEC 60027-3), and the flight over 2 m at 343 m/s taken out.
    total = prediction.arc_total.sel(plane="horizontal", angle=0).values
    np.testing.assert_allclose(rows[:, 0], prediction.frequency, rtol=1e-8)
    np.testing.assert_allclose(rows[:, 1], 20 * np.log10(np.abs(total) / 20e-6), atol=1e-6)
    still = np.exp(1j * np.deg2rad(rows[:, 2]))
    flight = np.exp(-2j * np.pi * prediction.frequency.values * 2 / 343)
    np.testing.assert_allclose(still * flight, total / np.abs(total), atol=1e-6)


def test_every_table_can_be_read_without_care(prediction, tables, tmp_path):
    assert list(tables) == [
        "reference-axis",
        "standard-curves",
        "seat",
        "off-axis-horizontal",
        "off-axis-vertical",
        "crossover-filters",
    ]
    for name, text in tables.items():
        (tmp_path / name).write_text(text, encoding="utf-8", newline="")
        rows = np.loadtxt(tmp_path / name, delimiter=",", skiprows=1)  # no heading has two lines
        assert rows.shape[0] == prediction.frequency.size
        assert np.all(np.isfinite(rows))


def test_values_are_those_of_their_headings(prediction, tables):
    headings, rows = read(tables["off-axis-vertical"])
    column = rows[:, headings.index("level, angle -30 degrees [dB]")]
    there = np.abs(prediction.arc_total.sel(plane="vertical", angle=-30).values)
    np.testing.assert_allclose(column, 20 * np.log10(there / 20e-6), atol=1e-6)
    headings, rows = read(tables["standard-curves"])
    column = headings.index("listening window, mean of 9 directions [dB]")
    np.testing.assert_allclose(
        rows[:, column], standard_curves(prediction).listening_window, atol=1e-6
    )
    headings, rows = read(tables["seat"])
    column = headings.index(
        "level, surroundings with reflections, speaker single, seat main, ear height 1.1 m [dB]"
    )
    heard = prediction.seat_total.sel(surroundings="with reflections", ear_height=1.1).squeeze()
    np.testing.assert_allclose(
        rows[:, column], 20 * np.log10(np.abs(heard.values) / 20e-6), atol=1e-6
    )


def test_impedances_where_they_are_known(prediction):
    # 3 + 4j ohm is 5 ohm at 53.13 degrees.
    of_drivers = 0 * prediction["filter"].drop_vars("driver_x") + (3 + 4j)
    known = prediction.assign(impedance=of_drivers, input_impedance=of_drivers[0] * 2)
    headings, rows = read(curves_csv(known)["impedance"])
    assert headings[1:3] == [
        "impedance at the amplifier [ohm]",
        "phase of the impedance at the amplifier [degrees]",
    ]
    assert headings[4] == "impedance, driver tweeter [ohm]"
    np.testing.assert_allclose(rows[0, 1:], [10, 53.1301, 5, 5, 53.1301, 53.1301], atol=1e-4)


def test_arcs_too_coarse_have_no_standard_curves():
    _, coarse = predicted_two_way(arc_step=45.0)
    assert "standard-curves" not in curves_csv(coarse)


def test_what_a_spreadsheet_would_run_is_quoted():
    # A cell that begins with = + - or @ may be run (common practice, no source).
    table = xr.Dataset({"a": ("place", [1.0, -2.5])}, {"place": ["=1+1", "-x"]})
    table["a"].attrs = {"long_name": "@SUM(A1)", "units": "1"}
    headings, *rows = csv.reader(io.StringIO(table_csv(table), newline=""))
    assert headings == ["place", "'@SUM(A1) [1]"]
    assert rows == [["'=1+1", "1"], ["'-x", "-2.5"]]


def test_complex_numbers_take_two_columns_and_missing_ones_none(prediction, tmp_path):
    file = write_csv(prediction["filter"].isel(driver=1, drop=True), tmp_path / "filter.csv")
    headings, rows = read(file.read_text(encoding="utf-8"))
    assert headings[1:] == [
        "crossover transfer function of a driver, real [1]",
        "crossover transfer function of a driver, imaginary [1]",
    ]
    found = rows[:, 1:] @ [1, 1j]
    np.testing.assert_allclose(found, prediction["filter"].values[1], rtol=1e-8, atol=1e-12)
    holes = xr.DataArray([1.0, np.nan], dims="frequency", coords={"frequency": [1.0, 2.0]})
    assert write_csv(holes, tmp_path / "holes.csv").read_text().split()[-1] == "2,"


def test_what_has_no_rows_is_told():
    with pytest.raises(RoundoverError, match="a single number is no curve"):
        table_csv(xr.Dataset({"a": 1.0}))
    with pytest.raises(RoundoverError, match="b has no frequency to run along"):
        table_csv(xr.Dataset({"a": ("frequency", [1.0]), "b": ("x", [1.0])}))
