"""What a microphone adds is taken out again."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.curves import Curve, CurveError, CurveForm
from acoustics.measurement import corrected, read_calibration

FREQUENCY = np.geomspace(50, 16000, 200)


def microphone(frequency):
    """An invented one: a first-order highpass at 20 Hz and a resonance at 14 kHz."""
    s = 1j * np.asarray(frequency)
    return s / (s + 20) / (1 + 0.5 * s / 14000 + (s / 14000) ** 2)


def table(tmp_path, phase, sign=1, head=""):
    frequency = np.geomspace(20, 20000, 2000)
    response = microphone(frequency) ** sign
    columns = [frequency, 20 * np.log10(abs(response))]
    if phase:
        columns.append(np.degrees(np.angle(response)))
    file = tmp_path / "microphone.txt"
    np.savetxt(file, np.column_stack(columns), fmt="%.8f", header=head, comments="")
    return file


def measured(true, frequency=FREQUENCY, has_phase=True):
    values = true * (microphone(frequency) if has_phase else abs(microphone(frequency)))
    return Curve(frequency, values, has_phase, ("As measured.",), "woofer.txt")


TRUE = 10 ** (np.sin(np.log(FREQUENCY)) / 4) * np.exp(2j * np.log(FREQUENCY))


def test_a_table_of_the_response_is_subtracted(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=True))
    answer = corrected(measured(TRUE), calibration)
    np.testing.assert_allclose(answer.values, TRUE, rtol=1e-4)  # the table's spacing
    assert answer.guesses == ("As measured.",)
    assert answer.has_phase


def test_a_table_of_corrections_is_added(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=True, sign=-1))
    answer = corrected(measured(TRUE), calibration, "correction")
    np.testing.assert_allclose(answer.values, TRUE, rtol=1e-4)
    wrong = corrected(measured(TRUE), calibration)
    np.testing.assert_allclose(wrong.values, TRUE * microphone(FREQUENCY) ** 2, rtol=1e-3)


def test_one_decibel_too_much_is_one_decibel_less():
    flat = Curve(FREQUENCY, np.full(200, 10 ** (1 / 20) + 0j), False, (), "microphone.txt")
    curve = Curve(FREQUENCY, np.full(200, 10 ** (80 / 20) + 0j), False, (), "woofer.txt")
    level = 20 * np.log10(abs(corrected(curve, flat).values))
    np.testing.assert_allclose(level, 79)


def test_without_phase_in_the_table_the_phase_stays(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=False))
    curve = measured(TRUE)
    answer = corrected(curve, calibration)
    np.testing.assert_allclose(abs(answer.values), abs(TRUE), rtol=1e-4)
    np.testing.assert_allclose(np.angle(answer.values / curve.values), 0, atol=1e-12)


def test_a_curve_without_phase_gets_none(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=True))
    answer = corrected(measured(abs(TRUE), has_phase=False), calibration)
    assert not answer.has_phase
    np.testing.assert_array_equal(answer.values.imag, 0)


def test_beyond_the_table_the_curve_stays_and_that_is_said(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=True))
    frequency = np.array([5.0, 10.0, 100.0, 1000.0, 24000.0])
    curve = measured(np.ones(5), frequency)
    answer = corrected(curve, calibration)
    beyond = [0, 1, 4]
    np.testing.assert_array_equal(answer.values[beyond], curve.values[beyond])
    np.testing.assert_allclose(answer.values[2:4], 1, rtol=1e-4)
    assert "Outside 20 to 20000 Hz the curve is not corrected" in answer.guesses[-1]


def test_nothing_in_common_is_a_fault(tmp_path):
    calibration = read_calibration(table(tmp_path, phase=True))
    curve = measured(np.ones(3), np.array([1.0, 2.0, 3.0]))
    with pytest.raises(CurveError, match=r"no frequency in common; check the units"):
        corrected(curve, calibration)


def test_small_numbers_are_decibels_and_degrees_unless_something_else_is_said(tmp_path):
    file = tmp_path / "microphone.txt"
    file.write_text("100 0.1 0.5\n1000 0.2 1\n10000 0.9 2\n", encoding="utf-8")
    curve = read_calibration(file)
    np.testing.assert_allclose(20 * np.log10(abs(curve.values)), [0.1, 0.2, 0.9])
    np.testing.assert_allclose(np.degrees(np.angle(curve.values)), [0.5, 1, 2])
    assert any("in dB" in guess for guess in curve.guesses)
    linear = read_calibration(file, CurveForm(magnitude="linear", phase="rad"))
    np.testing.assert_allclose(abs(linear.values), [0.1, 0.2, 0.9])
    np.testing.assert_allclose(np.angle(linear.values), [0.5, 1, 2])
    file.write_text("Hz dB rad\n100 0.1 0.5\n1000 0.2 1\n10000 0.9 2\n", encoding="utf-8")
    np.testing.assert_allclose(np.angle(read_calibration(file).values), [0.5, 1, 2])


def test_a_sentence_about_the_sensitivity_is_passed(tmp_path):
    file = table(tmp_path, True, head='"Sensitivity -12.34 dB re 1 V/Pa, number 1234567"')
    assert read_calibration(file).frequency.size == 2000


def test_levels_that_are_no_microphones_are_refused(tmp_path):
    file = tmp_path / "microphone.txt"
    file.write_text("20 35\n1000 60\n20000 -40\n")
    with pytest.raises(CurveError, match="more than 60 dB apart"):
        read_calibration(file)
