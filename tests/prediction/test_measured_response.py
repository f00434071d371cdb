"""Sources from what a microphone heard: the way there and back, and what is told of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.case.measured_model import MeasuredResponse
from acoustics.case.model import Amplifier, FrequencyGrid, ReferenceAxis
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.field import solve_field
from acoustics.prediction import predict
from acoustics.prediction.layout import layout_of
from acoustics.prediction.microphones import microphones_of
from acoustics.source import drive_of
from acoustics.storage import open_prediction, save
from support.boxes import boxed, parameters
from support.cases import make_case, make_driver
from support.free_field import solve_baffled_piston

GRID = FrequencyGrid(100.0, 10_000.0, 6)
QUICK = {"frequencies": GRID, "arc_step": 10.0, "accuracy": 0.3}
WOOFER = {"piston_diameter": 0.12, "frame_diameter": 0.16}
ROWS = np.geomspace(90.0, 11_000.0, 400)


def microphone(at="driver", distance=1.0, point=None, **changes):
    values = {
        "source": "made-up.txt",
        "frequency": (),
        "real": (),
        "imaginary": (),
        "distance": distance,
        "at": at,
        "point": point,
        "removed_delay": 0.0,
        "unknown_delay": False,
        "band": (90.0, 11_000.0),
        "uncertainty": 0.0,
        "noise": 0.0,
        "modelled": False,
    }
    return MeasuredResponse(**{**values, **changes})


def table(heard, pressure, rows=ROWS):
    """What was heard, Pa/V at the rows."""
    return replace(
        heard,
        frequency=tuple(rows.tolist()),
        real=tuple(pressure.real.tolist()),
        imaginary=tuple(pressure.imag.tolist()),
    )


def heard_by(case, number, heard, solve, rows=ROWS):
    """What a microphone hears of a driver of a modelled case: field times source, at the rows."""
    drivers = list(case.drivers)
    drivers[number] = replace(drivers[number], measured=heard)
    place = microphones_of(replace(case, drivers=tuple(drivers)))[number].place
    layout = layout_of(case)
    solved = solve(layout.body, layout.pistons, place[None], rows, air=case.air, accuracy=0.3)
    field = layout.per_radiator(solved.transpose("piston", "frequency", "receiver").values[..., 0])
    drive = drive_of(case, rows, solve)
    whole = (drive.shares[:, number] * field).sum(axis=0)
    return whole * drive.source[number]


def with_measurement(case, number, heard, **changes):
    drivers = list(case.drivers)
    drivers[number] = replace(drivers[number], measured=heard, **changes)
    return replace(case, drivers=tuple(drivers))


def two_way(**changes):
    drivers = [
        make_driver("woofer", -0.05, acoustic_depth=0.02, **WOOFER),
        make_driver("tweeter", 0.10, acoustic_depth=-0.004),
    ]
    return make_case(drivers, reference=ReferenceAxis((0.0, 0.1), 2.0), **QUICK, **changes)


def unlike(first, second):
    """Largest difference of complex pressures, dB, over that of the larger."""
    worst = 0.0
    for name in ("arc_pressure", "seat_pressure", "height_pressure", "aside_pressure"):
        one, other = first[name].values, second[name].values
        off = np.abs(one - other) / np.abs(one)
        worst = max(worst, float(20 * np.log10(1 + np.nanmax(off))))
    return worst


@pytest.fixture(scope="module")
def case():
    return two_way()


@pytest.fixture(scope="module")
def modelled(case):
    return predict(case, solve=solve_baffled_piston)


@pytest.mark.parametrize(
    ("at", "distance", "point"),
    [("driver", 0.5, None), ("reference axis", 1.0, None), ("point", 1.5, (0.03, -0.1))],
)
def test_there_and_back_in_every_direction(case, modelled, at, distance, point):
    """Of the table alone: the driver has another sensitivity and depth, which must not count."""
    heard = microphone(at, distance, point)
    pressure = heard_by(case, 0, heard, solve_baffled_piston)
    again = with_measurement(case, 0, table(heard, pressure), sensitivity=60.0, acoustic_depth=0.0)
    prediction = predict(again, solve=solve_baffled_piston)
    assert unlike(modelled, prediction) < 0.01
    assert prediction.source_measured.sel(driver="woofer").all()
    assert not prediction.source_measured.sel(driver="tweeter").any()
    assert prediction.source_uncertainty.sel(driver="tweeter").isnull().all()


def test_there_and_back_through_the_solver():
    case = two_way()
    heard = microphone(distance=0.4)
    rows = GRID.values()
    pressure = heard_by(case, 0, heard, solve_field, rows)
    heard = table(replace(heard, band=(rows[0], rows[-1])), pressure, rows)
    modelled = predict(case)
    prediction = predict(with_measurement(case, 0, heard, sensitivity=60.0))
    assert unlike(modelled, prediction) < 0.02
    uncertain = prediction.source_uncertainty.sel(driver="woofer")
    assert 0 < float(uncertain.max()) < 0.4
