"""All checks on the shipped recordings against their prediction: silent, but for faults put in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.curves import Curve
from acoustics.measurement.calibration import corrected, read_calibration
from acoustics.measurement.calibration_sign import calibration_wrong
from acoustics.measurement.data_sheet import like_a_data_sheet
from acoustics.measurement.demonstration import CEILING, MICROPHONE, demonstration_setup
from acoustics.measurement.excess_delay import delay_against
from acoustics.measurement.gate import gated, suggested_gate
from acoustics.measurement.mistaken import phase_missing, swapped_files, turned_over
from acoustics.measurement.moved import arrivals_off, expected_arrivals, levels_off
from acoustics.measurement.reflections import first_reflection
from acoustics.measurement.sweep import deconvolved, linear_part
from acoustics.measurement.undeclared_rate import scaled_frequencies
from acoustics.measurement.wav import read_wav
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import layout_of
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of

CASES = Path(__file__).parents[2] / "cases"
FOLDER = CASES / "compact-measured" / "recordings"
FREQUENCY = np.geomspace(450.0, 18_000.0, 160)
BANDS = {"woofer": (450.0, 2500.0), "tweeter": (1500.0, 9000.0)}
RATE = 48_000


@pytest.fixture(scope="module")
def case():
    return ac.read_case(CASES / "compact-measured")


@pytest.fixture(scope="module")
def expected(case):
    """Pressure per volt of each driver at the microphone, in free space."""
    layout = layout_of(case)
    microphone = np.array([demonstration_setup(case).microphone])
    solved = ac.solve_field(
        layout.body, layout.pistons, microphone, FREQUENCY, air=case.air, accuracy=1.0
    )
    drive = drive_of(case, FREQUENCY)
    field = together(layout.per_radiator(by_receiver(solved)), drive.shares)
    heard = drive.source * field[:, 0]
    return {driver.name: each for driver, each in zip(case.drivers, heard, strict=True)}


def found(case, name, late=0, table_of="response"):
    """A driver as measured, gated and corrected; its microphone later by some samples."""
    setup = demonstration_setup(case)
    microphone, loopback = read_wav(FOLDER / f"{name}-far.wav").samples
    full = deconvolved(np.roll(microphone, late), setup.sweep, loopback)
    floor = case.cabinet.floor_level
    centre = layout_of(case).centres[[driver.name for driver in case.drivers].index(name)]
    extra = first_reflection(
        float(np.linalg.norm(centre - setup.microphone)),
        float(centre[1]) - floor,
        setup.microphone[1] - floor,
        {"floor": 0.0, "ceiling": CEILING},
    )
    begins = expected_arrivals(case, setup.microphone)[name] + late / RATE
    gate = suggested_gate(begins, extra.values(), case.air.speed_of_sound)
    response = gated(linear_part(full, setup.sweep), gate, FREQUENCY, reference=0.0)
    scale = setup.sensitivity / setup.loopback
    curve = Curve(FREQUENCY, response / scale, True, (), name)
    return corrected(curve, read_calibration(FOLDER / MICROPHONE), table_of)


@pytest.fixture(scope="module")
def clean(case):
    return {name: found(case, name) for name in BANDS}


def arrived(case, curves, expected):
    """Arrivals by comparison with the prediction."""
    begins = expected_arrivals(case, demonstration_setup(case).microphone)
    answer = {}
    for name, curve in curves.items():
        late = delay_against(FREQUENCY, curve.values, expected[name], BANDS[name])
        answer[name] = begins[name] + late.time, late.uncertainty
    return answer


def levels(responses):
    return {name: 20 * np.log10(np.mean(np.abs(each))) for name, each in responses.items()}


def differences(curves, expected):
    return {
        name: 20 * np.log10(np.abs(curve.values / expected[name])) for name, curve in curves.items()
    }


def test_they_are_the_prediction(clean, expected):
    # What the gate's end and the noise leave: a quarter of a decibel.
    for each in differences(clean, expected).values():
        assert np.abs(each).max() < 0.4


def test_nothing_is_said_of_them(case, clean, expected):
    begins = expected_arrivals(case, demonstration_setup(case).microphone)
    times = arrived(case, clean, expected)
    values = {name: curve.values for name, curve in clean.items()}
    speed = case.air.speed_of_sound
    for name, (time, spread) in times.items():
        # 3 mm, the microphone's own delay included.
        assert abs(time - begins[name]) < 9e-6
        assert spread < 20e-6
    assert arrivals_off(times, begins, speed, loopback=True) == ()
    assert levels_off(levels(values), levels(expected)) == ()
    assert swapped_files(FREQUENCY, values, expected) == ()
    table = read_calibration(FOLDER / MICROPHONE)
    assert calibration_wrong(FREQUENCY, differences(clean, expected), table) is None
    for name, curve in clean.items():
        assert turned_over(FREQUENCY, curve.values, expected[name], BANDS[name]) is None
        arrival = times[name][0], begins[name]
        assert scaled_frequencies(FREQUENCY, curve.values, expected[name], arrival) is None
        assert phase_missing(curve) is None
        assert like_a_data_sheet(curve) is None


def test_a_microphone_that_moved_for_the_woofer(case, clean, expected):
    # 6 samples of 48 kHz: 43 mm.
    moved = clean | {"woofer": found(case, "woofer", late=6)}
    begins = expected_arrivals(case, demonstration_setup(case).microphone)
    times = arrived(case, moved, expected)
    for loopback in (True, False):
        (said,) = arrivals_off(times, begins, case.air.speed_of_sound, loopback=loopback)
        assert "Against the tweeter" in said.what or "Against the woofer" in said.what
    assert times["woofer"][0] - begins["woofer"] == pytest.approx(6 / RATE, abs=9e-6)


def test_files_exchanged_and_turned_over(clean, expected):
    values = {name: curve.values for name, curve in clean.items()}
    exchanged = {"woofer": values["tweeter"], "tweeter": values["woofer"]}
    (said,) = swapped_files(FREQUENCY, exchanged, expected)
    assert "exchanged" in said.what
    for name, each in values.items():
        assert turned_over(FREQUENCY, -each, expected[name], BANDS[name]) is not None


def test_the_table_taken_the_wrong_way(case, expected):
    wrong = {name: found(case, name, table_of="correction") for name in BANDS}
    table = read_calibration(FOLDER / MICROPHONE)
    said = calibration_wrong(FREQUENCY, differences(wrong, expected), table, "correction")
    assert said is not None
    assert "wrong sign" in said.what
