"""Sources from what a microphone heard: the way there and back, and what is told of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy.signal as ss
import xarray as xr

from acoustics.case import read_case
from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.model import Cabinet, FrequencyGrid, ReferenceAxis
from acoustics.field import solve_field
from acoustics.prediction import predict
from acoustics.prediction.layout import layout_of
from acoustics.prediction.microphones import microphones_of
from acoustics.source import drive_of
from acoustics.storage import open_prediction, save
from support.boxes import boxed, parameters, vented
from support.cases import make_case, make_driver
from support.free_field import solve_baffled_piston

GRID = FrequencyGrid(100.0, 10_000.0, 6)
QUICK = {"frequencies": GRID, "arc_step": 10.0, "accuracy": 0.3}
WOOFER = {"piston_diameter": 0.12, "frame_diameter": 0.16}
LOW = {**QUICK, "frequencies": FrequencyGrid(20.0, 500.0, 6)}
DEEP = np.geomspace(15.0, 600.0, 400)
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


TEXT = """
title = "There and back"
[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"
[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
[reference]
distance = "1 m"
[seat]
distance = "2.5 m"
ear_heights = ["0.9 m"]
[frequencies]
lowest = "100 Hz"
highest = "10 kHz"
per_octave = 12
[arcs]
step = "10 deg"
"""
KNOWN = """piston_diameter = "120 mm"
sensitivity = 87.0
acoustic_depth = "18 mm"
polarity = "inverted"
"""
MEASURED = """
[drivers.woofer.measured]
response = "heard.txt"
at = "reference axis"
distance = "1 m"
"""


@pytest.mark.parametrize("removed", [0.0, 0.0029])
def test_there_and_back_through_a_text(tmp_path, removed):
    """What a prediction says of its reference axis, written down, and read by a bare case."""
    known = TEXT.replace('piston_diameter = "120 mm"\n', KNOWN)
    (tmp_path / "known.toml").write_text(known)
    modelled = predict(read_case(tmp_path / "known.toml"), solve=solve_baffled_piston)
    heard = modelled.arc_pressure.sel(driver="woofer", plane="horizontal", angle=0)
    frequency = heard.frequency.values
    values = heard.values * np.exp(2j * np.pi * frequency * removed)
    rows = zip(frequency, 20 * np.log10(np.abs(values) / 20e-6), np.angle(values), strict=True)
    text = "".join(f"{f:.6f} {level:.5f} {np.degrees(phase):.4f}\n" for f, level, phase in rows)
    (tmp_path / "heard.txt").write_text("Hz dB deg\n" + text)
    told = f'removed_delay = "{1000 * removed} ms"\n'
    (tmp_path / "bare.toml").write_text(TEXT + MEASURED + told)
    bare = read_case(tmp_path / "bare.toml")
    assert bare.warnings == ()
    assert unlike(modelled, predict(bare, solve=solve_baffled_piston)) < 1e-3


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


def measured_alone(case, number=0, rows=ROWS, spoilt=None, **changes):
    """The case with a driver as it is heard in front of it, and of which nothing else is known."""
    heard = microphone(distance=changes.pop("distance", 0.5), **changes)
    pressure = heard_by(case, number, heard, solve_baffled_piston, rows)
    pressure = pressure if spoilt is None else spoilt(rows, pressure)
    return with_measurement(case, number, table(heard, pressure, rows), sensitivity=60.0)


def source_of(prediction, driver="woofer"):
    return prediction.source.sel(driver=driver).values


def test_a_port_sounds_along(case):
    """Of a vented box the source is that of cone and port; how it divides is the model's."""
    box = replace(vented(parameters(40.0, 0.35), 1.5, 1.05), **LOW)
    heard = microphone(modelled=True, band=(15.0, 600.0))
    pressure = heard_by(box, 0, heard, solve_baffled_piston, DEEP)
    again = with_measurement(box, 0, table(heard, 2.0 * pressure, DEEP))
    first, second = (predict(each, solve=solve_baffled_piston) for each in (box, again))
    assert (np.abs(first.volume_velocity[1, 0]) > 0.5 * np.abs(first.source[0])).any()
    for name in ("arc_pressure", "seat_pressure"):
        np.testing.assert_allclose(second[name], 2 * first[name], rtol=2e-3)
    np.testing.assert_array_equal(first.impedance, second.impedance)
    np.testing.assert_array_equal(first.input_limit, second.input_limit)


def test_a_removed_delay_is_put_back(case, modelled):
    """Also more than the flight took, and rows far apart, between which the phase turns twice."""
    for removed in (0.5 / 343.0, 2.9e-3, -0.4e-3):

        def earlier(rows, pressure, removed=removed):
            return pressure * np.exp(2j * np.pi * rows * removed)

        again = measured_alone(case, spoilt=earlier, removed_delay=removed)
        assert unlike(modelled, predict(again, solve=solve_baffled_piston)) < 0.01
        wrong = measured_alone(case, spoilt=earlier)
        assert unlike(modelled, predict(wrong, solve=solve_baffled_piston)) > 1


def test_few_rows_are_enough_at_a_distance(case, modelled):
    """Twelve an octave: at 10 kHz the sound turns by five circles between rows at 3 m."""
    rows = np.geomspace(90.0, 11_000.0, 84)
    again = measured_alone(case, rows=rows, distance=3.0)
    assert unlike(modelled, predict(again, solve=solve_baffled_piston)) < 0.05


def test_an_unknown_delay_is_taken_from_the_geometry(case, modelled):
    """A constant sensitivity is of minimum phase, so with the depth that is there it comes right,
    whatever the phase of the table says."""

    def scrambled(rows, pressure):
        return np.abs(pressure) * np.exp(1j * rows)

    again = measured_alone(case, spoilt=scrambled, unknown_delay=True)
    assert unlike(modelled, predict(again, solve=solve_baffled_piston)) < 0.05


@pytest.mark.parametrize(("lowest", "most"), [(15.0, 7.0), (80.0, 4.5)])
def test_an_unknown_delay_of_a_vented_woofer_is_the_models(lowest, most):
    """Of a driver 10 % off its parameters, in a band that begins below the tuning or above it.

    The grid ends at 20 Hz, half the tuning, and a size alone does not say how it falls on from
    there.
    """
    fine = {**LOW, "frequencies": FrequencyGrid(20.0, 500.0, 24)}
    box = replace(vented(parameters(40.0, 0.35), 1.5, 1.05), **fine)
    other = replace(box.drivers[0], small_signal=parameters(44.0, 0.4))
    true = replace(box, drivers=(other,))
    heard = microphone(modelled=True, band=(lowest, 600.0), unknown_delay=True)
    pressure = np.abs(heard_by(true, 0, heard, solve_baffled_piston, DEEP)) + 0j
    again = with_measurement(box, 0, table(heard, pressure, DEEP))
    found, wanted = (predict(each, solve=solve_baffled_piston) for each in (again, true))
    ratio = (found.source / wanted.source).values[0]
    inside = found.source_measured.values[0] & (found.frequency.values > 1.3 * lowest)
    assert np.abs(np.degrees(np.angle(ratio[inside]))).max() < most


def test_an_unknown_delay_beside_a_model_has_the_minimum_phase_of_what_differs(case, modelled):
    """A tweeter's second-order high-pass over a constant sensitivity, by the general library."""
    b, a = ss.butter(2, 2 * np.pi * 900.0, "high", analog=True)

    def falling(rows, pressure):
        return np.abs(ss.freqs(b, a, 2 * np.pi * rows)[1] * pressure) + 0j

    again = measured_alone(case, spoilt=falling, unknown_delay=True, modelled=True)
    found = predict(with_measurement(case, 0, again.drivers[0].measured),
                    solve=solve_baffled_piston)  # fmt: skip
    wanted = ss.freqs(b, a, 2 * np.pi * GRID.values())[1]
    ratio = source_of(found) / source_of(modelled) / wanted
    assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.05
    assert np.abs(np.degrees(np.angle(ratio))).max() < 2


def test_polarity_as_measured_and_as_wired(case, modelled):
    swapped = measured_alone(case, spoilt=lambda rows, pressure: -pressure)
    measured = predict(swapped, solve=solve_baffled_piston)
    np.testing.assert_allclose(source_of(measured), -source_of(modelled), rtol=1e-3)
    wired = with_measurement(swapped, 0, swapped.drivers[0].measured, inverted=True)
    measured = predict(wired, solve=solve_baffled_piston)
    np.testing.assert_allclose(source_of(measured), source_of(modelled), rtol=1e-3)


def test_what_lies_before_the_terminals_counts(case):
    """Measured at the terminals, played through 0.5 ohm: as the model of the same driver has it."""
    box = replace(boxed(parameters(40.0, 0.35), 1.5), **LOW)
    behind = replace(box, amplifier=Amplifier(resistance=0.5))
    heard = microphone(modelled=True, band=(15.0, 600.0))
    pressure = heard_by(box, 0, heard, solve_baffled_piston, DEEP)
    expected = predict(behind, solve=solve_baffled_piston)
    again = with_measurement(behind, 0, table(heard, pressure, DEEP))
    found = predict(again, solve=solve_baffled_piston)
    np.testing.assert_allclose(found.source, expected.source, rtol=2e-3)
    direct = predict(box, solve=solve_baffled_piston)
    assert np.abs(found.source / direct.source - 1).max() > 0.02


def test_a_measured_impedance_lies_before_the_terminals_and_not_in_the_model():
    """Volts at the terminals are those of a divider with what was measured, also past the band.

    The model beyond the table is that of the driver at its terminals, which needs the impedance
    that its parameters have: here half as much as was measured.
    """
    box = replace(boxed(parameters(40.0, 0.35), 1.5), **LOW)
    heard = microphone(modelled=True, band=(100.0, 300.0))
    pressure = heard_by(box, 0, heard, solve_baffled_piston, DEEP)
    direct = predict(box, solve=solve_baffled_piston)
    ohms = 2 * direct.impedance.values[0]
    grid = tuple(direct.frequency.values.tolist())
    impedance = MeasuredImpedance("z.txt", grid, tuple(ohms.real), tuple(ohms.imag), False)
    behind = replace(box, amplifier=Amplifier(resistance=3.0))
    again = with_measurement(behind, 0, table(heard, pressure, DEEP), impedance=impedance)
    found = predict(again, solve=solve_baffled_piston)
    wanted = direct.source.values[0] * ohms / (ohms + 3.0)
    np.testing.assert_allclose(found.source.values[0], wanted, rtol=2e-3)


def test_noise_is_as_uncertain_as_is_told(case, modelled):
    """Over many tables the levels scatter by the standard deviation that each is told to have."""
    rng = np.random.default_rng(5)
    level = 0.02  # Pa/V
    rows = GRID.values()
    band = (rows[0], rows[-1])
    off, told = [], []

    def noisy(rows, pressure):
        parts = rng.normal(0, level / np.sqrt(2), (2, rows.size))
        return pressure + parts[0] + 1j * parts[1]

    for _ in range(60):
        again = measured_alone(case, rows=rows, spoilt=noisy, noise=level, band=band)
        prediction = predict(again, solve=solve_baffled_piston)
        off.append(20 * np.log10(np.abs(source_of(prediction) / source_of(modelled))))
        told.append(prediction.source_uncertainty.sel(driver="woofer").values)
    scatter = np.sqrt(np.mean(np.square(off)))
    stated = np.sqrt(np.mean(np.square(told)))
    assert 0.2 < stated < 1
    # 60 tables of 39 rows: the scatter is itself known to 1.5 %.
    assert scatter == pytest.approx(stated, rel=0.08)


def test_what_is_stated_adds_up_with_the_noise(case):
    again = measured_alone(case, uncertainty=0.5)
    prediction = predict(again, solve=solve_baffled_piston)
    uncertain = prediction.source_uncertainty.sel(driver="woofer")
    np.testing.assert_allclose(uncertain[0], 0.5, atol=0.02)


def test_beyond_the_table_the_model_goes_on_from_its_level(case, modelled):
    """3 dB above the model in the table, and 3 dB above it beyond; nothing jumps between."""
    band = (300.0, 3000.0)

    def louder(rows, pressure):
        return 10 ** (3 / 20) * np.exp(0.4j) * pressure

    heard = measured_alone(case, spoilt=louder, band=band, modelled=True)
    again = with_measurement(case, 0, heard.drivers[0].measured)
    prediction = predict(again, solve=solve_baffled_piston)
    ratio = source_of(prediction) / source_of(modelled)
    np.testing.assert_allclose(np.abs(ratio), 10 ** (3 / 20), rtol=1e-3)
    np.testing.assert_allclose(np.angle(ratio), 0.4, atol=2e-3)
    np.testing.assert_allclose(prediction.source_mismatch.sel(driver="woofer"), 3.0, atol=0.01)
    assert prediction.source_mismatch.sel(driver="tweeter").isnull().all()
    inside = (GRID.values() >= band[0]) & (GRID.values() <= band[1])
    np.testing.assert_array_equal(prediction.source_measured.sel(driver="woofer"), inside)
    uncertain = prediction.source_uncertainty.sel(driver="woofer")
    np.testing.assert_array_equal(uncertain.isnull(), ~inside)
    assert not prediction.source_extrapolated.any()


def test_the_fade_takes_a_third_of_an_octave(case, modelled):
    """A table that rises by 6 dB per octave over the model: as measured but within the fade."""
    band = (300.0, 3000.0)
    heard = measured_alone(case, spoilt=lambda rows, p: rows / 1000.0 * p, band=band, modelled=True)
    again = with_measurement(case, 0, heard.drivers[0].measured)
    prediction = predict(again, solve=solve_baffled_piston)
    rows = GRID.values()
    ratio = np.abs(source_of(prediction) / source_of(modelled))
    ends = rows[(rows >= band[0]) & (rows <= band[1])][[0, -1]]
    pure = (rows > ends[0] * 2 ** (1 / 3) - 1) & (rows < ends[1] / 2 ** (1 / 3) + 1)
    np.testing.assert_allclose(ratio[pure], rows[pure] / 1000.0, rtol=2e-3)
    assert np.ptp(ratio[rows < band[0]]) < 1e-9
    steps = np.abs(np.diff(20 * np.log10(ratio)))
    assert steps.max() < 2  # a sixth of an octave at 6 dB an octave is 1 dB


def test_without_a_model_it_is_carried_on_and_marked(case, modelled):
    band = (300.0, 3000.0)
    rows = np.geomspace(*band, 200)
    again = measured_alone(case, rows=rows, band=band)
    prediction = predict(again, solve=solve_baffled_piston)
    beyond = prediction.source_extrapolated.sel(driver="woofer").values
    np.testing.assert_array_equal(beyond, (GRID.values() < 300) | (GRID.values() > 3000))
    # A constant sensitivity goes on as it was.
    ratio = np.abs(source_of(prediction) / source_of(modelled))
    np.testing.assert_allclose(ratio, 1.0, rtol=0.02)


def test_a_null_at_the_microphone_is_doubtful(case):
    """Far off the axis of a baffled piston there are nulls, J1 = 0 at ka sin = 3.83 (Kinsler)."""
    drivers = [make_driver("woofer", 0.0, **{**WOOFER, "piston_diameter": 0.15})]
    one = make_case(drivers, **{**QUICK, "frequencies": FrequencyGrid(500.0, 8000.0, 24)})
    rows = one.frequencies.values()
    heard = microphone("point", 0.3, (0.0, 0.18), band=(rows[0], rows[-1]))
    pressure = heard_by(one, 0, heard, solve_baffled_piston, rows)
    prediction = predict(
        with_measurement(one, 0, table(heard, pressure, rows)), solve=solve_baffled_piston
    )
    uncertain = prediction.source_uncertainty.sel(driver="woofer")
    sine = 0.18 / np.hypot(0.18, 0.3)
    null = 3.8317 * 343.0 / (2 * np.pi * 0.075 * sine)
    assert float(uncertain.idxmax()) == pytest.approx(null, rel=0.03)
    assert float(uncertain.max()) > 1
    assert float(uncertain.sel(frequency=1000.0, method="nearest")) < 0.05


def test_an_open_baffle_is_measured_with_its_rear_side():
    baffle = Cabinet(width=0.4, height=0.9, depth=0.02, base_height=0.1, shape="plate")
    drivers = [make_driver("woofer", 0.0, both_sides=True, **WOOFER)]
    open_one = make_case(drivers, cabinet=baffle, **QUICK)
    modelled = predict(open_one, solve=solve_baffled_piston)
    again = measured_alone(open_one)
    assert unlike(modelled, predict(again, solve=solve_baffled_piston)) < 0.02


def test_it_is_saved_and_opened_again(case, tmp_path):
    prediction = predict(measured_alone(case), solve=solve_baffled_piston)
    save(prediction, tmp_path / "prediction.nc")
    xr.testing.assert_identical(open_prediction(tmp_path / "prediction.nc"), prediction)
    assert "source_measured" not in predict(case, solve=solve_baffled_piston)
