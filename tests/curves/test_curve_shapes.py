"""Tables as they come in real life; the expected numbers stand in the texts themselves."""

from __future__ import annotations

import codecs

import numpy as np
import pytest

from acoustics.curves import CurveForm, curve_of, read_curve

FREQUENCY = [100.0, 1000.0, 10000.0]
LEVELS = [84.5, 90.25, 87.0]
PHASES = [-12.5, 45.0, 170.0]
OHMS = [6.5, 8.0, 31.25]

LEVEL_TABLES = {
    "blanks": "100 84.5 -12.5\n1000 90.25 45\n10000 87 170\n",
    "aligned": "   100.0    84.50   -12.5\n  1000.0    90.25    45.0\n 10000.0    87.00   170.0\n",
    "tabs": "100\t84.5\t-12.5\n1000\t90.25\t45\n10000\t87\t170\n",
    "commas": "100,84.5,-12.5\n1000,90.25,45\n10000,87,170\n",
    "commas and blanks": "100, 84.5, -12.5\n1000, 90.25, 45\n10000, 87, 170",
    "semicolons": "100;84.5;-12.5\n1000;90.25;45\n10000;87;170\n",
    "bars": "100|84.5|-12.5\n1000|90.25|45\n10000|87|170\n",
    "decimal commas and semicolons": "100,0;84,5;-12,5\n1000,0;90,25;45\n10000;87;170\n",
    "decimal commas and tabs": "100\t84,5\t-12,5\n1000\t90,25\t45\n10000\t87\t170\n",
    "decimal commas and blanks": "100 84,5 -12,5\n1000 90,25 45\n10000 87 170\n",
    "three decimals with commas": "100,000 84,500 -12,500\n1000,000 90,250 45,000\n"
    "10000,000 87,000 170,000\n",
    "thousands": "100.00\t84.5\t-12.5\n1,000.00\t90.25\t45\n10,000.00\t87\t170\n",
    "whole thousands": "100\t84.5\t-12.5\n1,000\t90.25\t45\n10,000\t87\t170\n",
    "thousands with points": "100,0;84,5;-12,5\n1.000,0;90,25;45\n10.000,0;87;170\n",
    "quoted": '"100","84.5","-12.5"\n"1000","90.25","45"\n"10000","87","170"\n',
    "quoted decimal commas": '"100,0","84,5","-12,5"\n"1000","90,25","45"\n"10000","87","170"\n',
    "heads and quotes": '"Freq","SPL","Phase"\n100,84.5,-12.5\n1000,90.25,45\n10000,87,170\n',
    "powers of ten": "1.0E+02 8.45e1 -1.25E+1\n1D3 90.25 45\n1.0E+04 87 1.7e2\n",
    "minus sign": "100 84.5 −12.5\n1000 90.25 45\n10000 87 170\n",
    "windows": "100 84.5 -12.5\r\n1000 90.25 45\r\n10000 87 170\r\n\r\n",
    "old line ends": "100 84.5 -12.5\r1000 90.25 45\r10000 87 170\r",
    "end-of-file mark": "100 84.5 -12.5\r\n1000 90.25 45\r\n10000 87 170\r\n\x1a",
    "stars": "* a loudspeaker, measured at 1 m, 2.83 V\n* Freq(Hz) SPL(dB) Phase(deg)\n"
    "100 84.5 -12.5\n1000 90.25 45\n10000 87 170\n",
    "apart units": "Freq (Hz)   SPL (dB)   Phase (deg)\n"
    "100 84.5 -12.5\n1000 90.25 45\n10000 87 170",
    "several words": "Frequency Hz   Level dB   Phase degrees\n100 84.5 -12.5\n1000 90.25 45\n"
    "10000 87 170",
    "row of units": "Frequency;Level;Phase\nHz;dB;°\n100;84,5;-12,5\n1000;90,25;45\n10000;87;170",
    "row of bracketed units": "Frequency Magnitude Phase\n[Hz] [dB] [deg]\n100 84.5 -12.5\n"
    "1000 90.25 45\n10000 87 170",
    "comments between": "# table\n100 84.5 -12.5\n; half way\n1000 90.25 45 # louder\n"
    "// the last\n10000 87 170\n% end\n",
    "semicolon comments": "; Hz dB deg\n100 84.5 -12.5\n1000 90.25 45\n10000 87 170\n",
    "empty lines": "\n\n100 84.5 -12.5\n\n1000 90.25 45\n\n\n10000 87 170\n\n",
    "kilohertz": "kHz,dB,deg\n0.1,84.5,-12.5\n1,90.25,45\n10,87,170\n",
    "radians": "Hz,dB,rad\n100,84.5,-0.2181661565\n1000,90.25,0.7853981634\n"
    "10000,87,2.9670597284\n",
    "linear": "f [Hz];p [Pa];phase [deg]\n100;16788.04018;-12.5\n1000;32546.1783498;45\n"
    "10000;22387.2113857;170\n",
    "real and imaginary": "Hz,Re,Im\n100,16390.09932,-3633.607856\n"
    "1000,23013.6234,23013.6234\n10000,-22047.09908,3887.4983\n",
    "phase before level": "Phase (deg)\tFrequency (Hz)\tSPL (dB)\n-12.5\t100\t84.5\n"
    "45\t1000\t90.25\n170\t10000\t87\n",
    "more columns": "Freq,SPL,Phase,Coherence\n100,84.5,-12.5,0.9\n1000,90.25,45,1\n"
    "10000,87,170,1\n",
    "percent": "Freq Hz, SPL dB, THD %, Phase deg\n100,84.5,1,-12.5\n1000,90.25,1,45\n"
    "10000,87,2,170\n",
    "words behind": "100 84.5 -12.5 good\n1000 90.25 45 good\n10000 87 170 poor signal\n",
    "delimiter at the end": "100;84.5;-12.5;\n1000;90.25;45;\n10000;87;170;\n",
    "counted rows": "0 100 84.5 -12.5\n1 1000 90.25 45\n2 10000 87 170\n",
    "sentences": "Measured on Monday\nSmoothing: none\nStart frequency: 100 Hz, level 2.83 V\n"
    "100 84.5 -12.5\n1000 90.25 45\n10000 87 170\n",
}


@pytest.mark.parametrize("table", LEVEL_TABLES, ids=lambda name: name.replace(" ", "-"))
def test_levels_are_read_from(table):
    curve = curve_of(LEVEL_TABLES[table], table, "level")
    np.testing.assert_allclose(curve.frequency, FREQUENCY, rtol=1e-12)
    np.testing.assert_allclose(20 * np.log10(abs(curve.values)), LEVELS, atol=1e-5)
    np.testing.assert_allclose(np.degrees(np.angle(curve.values)), PHASES, atol=1e-4)
    assert curve.has_phase
    assert curve.source == table


IMPEDANCE_TABLES = {
    "no heads": "100 6.5 -12.5\n1000 8 45\n10000 31.25 170\n",
    "heads": "Freq(Hz)\tImpedance(Ohm)\tPhase(deg)\n"
    "100\t6.5\t-12.5\n1000\t8\t45\n10000\t31.25\t170",
    "sign of the ohm": "Hz;Ω;°\n100;6,5;-12,5\n1000;8;45\n10000;31,25;170\n",
    "symbols": "f (Hz), |Z| (ohm), arg Z (deg)\n100,6.5,-12.5\n1000,8,45\n10000,31.25,170\n",
    "real and imaginary": "f,Re(Z)/ohm,Im(Z)/ohm\n100,6.345924,-1.406863\n"
    "1000,5.656854,5.656854\n10000,-30.775242,5.426506\n",
    "decibels": "Hz,dB,deg\n100,16.258267,-12.5\n1000,18.0618,45\n10000,29.897,170\n",
    "beside levels": "Hz,SPL,ohm,deg\n100,80,6.5,-12.5\n1000,81,8,45\n10000,82,31.25,170\n",
    "short words": "freq Zre Zim\n100 6.345924 -1.406863\n1000 5.656854 5.656854\n"
    "10000 -30.775242 5.426506\n",
    "parts": "freq Re Z Im Z\n100 6.345924 -1.406863\n1000 5.656854 5.656854\n"
    "10000 -30.775242 5.426506\n",
    "words": "Frequency Impedance magnitude Phase\n100 6.5 -12.5\n1000 8 45\n10000 31.25 170\n",
}


@pytest.mark.parametrize("table", IMPEDANCE_TABLES, ids=lambda name: name.replace(" ", "-"))
def test_impedances_are_read_from(table):
    curve = curve_of(IMPEDANCE_TABLES[table], table, "impedance")
    np.testing.assert_allclose(curve.frequency, FREQUENCY, rtol=1e-12)
    np.testing.assert_allclose(abs(curve.values), OHMS, rtol=1e-4)
    np.testing.assert_allclose(np.degrees(np.angle(curve.values)), PHASES, atol=1e-3)


@pytest.mark.parametrize(
    ("mark", "encoding"),
    [
        (b"", "utf-8"),
        (b"", "latin-1"),
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
        (b"", "utf-16-le"),
        (b"", "utf-16-be"),
    ],
)
def test_every_encoding_is_read(tmp_path, mark, encoding):
    text = "* Frequenz für Hochtöner; 2,83 V\r\nHz\tdB\t°\r\n" + LEVEL_TABLES["tabs"]
    file = tmp_path / "curve.txt"
    file.write_bytes(mark + text.encode(encoding))
    curve = read_curve(file, "level")
    np.testing.assert_allclose(20 * np.log10(abs(curve.values)), LEVELS)
    np.testing.assert_allclose(np.degrees(np.angle(curve.values)), PHASES)
    assert curve.source == str(file)
    assert curve.guesses == ()


def test_without_phase_the_values_are_real():
    curve = curve_of("100 84.5\n1000 90.25\n10000 87\n", "two columns", "level")
    assert not curve.has_phase
    assert (curve.values.imag == 0).all()


def test_descending_rows_are_sorted_and_that_is_said():
    curve = curve_of("10000 87\n1000 90.25\n100 84.5\n", "down", "level")
    np.testing.assert_array_equal(curve.frequency, FREQUENCY)
    np.testing.assert_allclose(20 * np.log10(abs(curve.values)), LEVELS)
    assert any("sorted" in guess for guess in curve.guesses)


def test_rows_that_stand_twice_are_taken_once_and_that_is_said():
    curve = curve_of("100 84.5\n1000 90.25\n1000 90.25\n10000 87\n", "twice", "level")
    np.testing.assert_array_equal(curve.frequency, FREQUENCY)
    assert any("twice" in guess for guess in curve.guesses)


@pytest.mark.parametrize(
    ("text", "quantity", "guess", "form", "change"),
    [
        (
            "100 3\n1000 2\n10000 1\n",
            "level",
            "taken to be linear, not in dB",
            CurveForm(magnitude="dB"),
            lambda values: 10 ** (values / 20),
        ),
        (
            "100 83\n1000 82\n10000 81\n",
            "level",
            "taken to be in dB",
            CurveForm(magnitude="linear"),
            lambda values: 20 * np.log10(values),
        ),
        (
            "100 83 1\n1000 82 2\n10000 81 3\n",
            "level",
            "up to 3 either way, are taken to be in radians",
            CurveForm(phase="deg"),
            lambda values: abs(values) * np.exp(1j * np.deg2rad(np.angle(values))),
        ),
        (
            "100 83 10\n1000 82 20\n10000 81 3\n",
            "level",
            "up to 20 either way, are taken to be in degrees",
            CurveForm(phase="rad"),
            lambda values: abs(values) * np.exp(1j * np.rad2deg(np.angle(values))),
        ),
        (
            "100 83 10\n1000 82 20\n10000 81 3\n",
            "level",
            "column 3 as phase",
            CurveForm(phase="none"),
            abs,
        ),
        (
            "100 6 1\n1000 7 2\n10000 8 0.5\n",
            "impedance",
            "taken to be in ohm",
            CurveForm(magnitude="real and imaginary"),
            lambda values: abs(values) + 1j * np.angle(values),
        ),
        (
            "100 6 80 9\n1000 7 81 9\n10000 8 82 9\n",
            "level",
            "column 2 as magnitude",
            CurveForm(columns=("frequency", "ignored", "magnitude"), magnitude="linear"),
            lambda values: np.array([80, 81, 82]),
        ),
    ],
)
def test_what_is_ambiguous_is_guessed_told_and_overridden(text, quantity, guess, form, change):
    guessed = curve_of(text, "ambiguous", quantity)
    assert any(guess in sentence for sentence in guessed.guesses), guessed.guesses
    stated = curve_of(text, "stated", quantity, form)
    np.testing.assert_allclose(stated.values, change(guessed.values), rtol=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "factor"),
    [("0.1 80\n1 81\n20 82\n", "kHz", 1000), ("10 80\n20 81\n40 82\n", "Hz", 1)],
)
def test_the_unit_of_bare_frequencies_is_guessed_told_and_overridden(text, unit, factor):
    guessed = curve_of(text, "bare", "level")
    assert any(f"taken to be in {unit}" in guess for guess in guessed.guesses)
    other = "Hz" if unit == "kHz" else "kHz"
    stated = curve_of(text, "bare", "level", CurveForm(frequency_unit=other))
    ratio = guessed.frequency / stated.frequency
    np.testing.assert_allclose(ratio, 1000 if factor == 1000 else 1e-3)
    assert not any("Hz" in guess for guess in stated.guesses)


def test_numbers_before_the_heads_are_no_part_of_the_table_and_that_is_said():
    text = "made up\n48000 1024\nHz dB deg\n" + LEVEL_TABLES["blanks"]
    curve = curve_of(text, "numbered", "level")
    np.testing.assert_array_equal(curve.frequency, FREQUENCY)
    assert curve.guesses == ("Numbers before line 3 are taken to be no part of the table.",)


def test_columns_left_aside_are_told():
    curve = curve_of(LEVEL_TABLES["more columns"], "four", "level")
    assert "Column 4 left aside." in curve.guesses


def test_a_stated_delimiter_and_decimal_mark_are_followed():
    text = "100,5 84,5\n200,5 85,5\n300,5 86,5\n"
    curve = curve_of(text, "commas", "level", CurveForm(delimiter="space", decimal="comma"))
    np.testing.assert_allclose(curve.frequency, [100.5, 200.5, 300.5])
    assert not any("decimal" in guess for guess in curve.guesses)


@pytest.mark.parametrize(
    "head",
    [
        "Frequency (Hz)\tSPL (dB re 20 µPa)\tPhase (deg)",
        "Frequency (Hz) Level (dB re 1 Pa) Phase (deg)",
    ],
)
def test_what_decibels_are_relative_to_is_no_real_part(head):
    rows = [(100.0, 80.0, 10.0), (200.0, 81.0, 20.0), (400.0, 82.0, 30.0)]
    mark = "\t" if "\t" in head else " "
    text = "\n".join([head, *(mark.join(map(str, row)) for row in rows)])
    curve = curve_of(text, "head", "level")
    assert curve.guesses == ()
    assert 20 * np.log10(abs(curve.values)) == pytest.approx([80.0, 81.0, 82.0])
    assert np.degrees(np.angle(curve.values)) == pytest.approx([10.0, 20.0, 30.0])


def test_a_level_in_pascal_is_one_whatever_it_is_called():
    table = "Freq(Hz),SPL(Pa),Phase(deg)\n100,2.5,0\n1000,0.5,0\n10000,0.25,0\n"
    np.testing.assert_allclose(curve_of(table, "some.txt", "level").values, [2.5, 0.5, 0.25])
