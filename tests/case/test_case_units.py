from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.case.text.units import (
    ANGLE,
    DIMENSIONS,
    FLOW_RESISTIVITY,
    FREQUENCY,
    LENGTH,
    TEMPERATURE,
    TIME,
    Dimension,
    UnitError,
    hertz,
    in_unit,
    parse,
    pattern,
)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        # The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
        ("1 in", LENGTH, 0.0254),
        ("8 in", LENGTH, 0.2032),
        # Prefixes: SI brochure, 9th edition (2019), table 7.
        ("220 mm", LENGTH, 0.22),
        ("22cm", LENGTH, 0.22),
        ("  .22  m ", LENGTH, 0.22),
        ("-4.5e1 mm", LENGTH, -0.045),
        ("2.2 kHz", FREQUENCY, 2200.0),
        ("350 Hz", FREQUENCY, 350.0),
        ("0.3 ms", TIME, 3e-4),
        ("52 us", TIME, 52e-6),
        ("52 \u00b5s", TIME, 52e-6),  # micro sign
        ("52 \u03bcs", TIME, 52e-6),  # Greek mu
        ("1 s", TIME, 1.0),
        # 0 °C is 273.15 K exactly (SI brochure, 9th edition, 2.3.1).
        ("20 degC", TEMPERATURE, 293.15),
        ("0 °C", TEMPERATURE, 273.15),
        ("293.15 K", TEMPERATURE, 293.15),
        # 32 °F is 0 °C and 212 °F is 100 °C (NIST SP 811, B.8).
        ("32 degF", TEMPERATURE, 273.15),
        ("212 °F", TEMPERATURE, 373.15),
        ("5 deg", ANGLE, 5.0),
        ("5°", ANGLE, 5.0),
        (f"{math.pi!r} rad", ANGLE, 180.0),
        # 1 Pa is 1 N/m² (SI brochure, 9th edition, table 4), so 1 Pa s/m² is 1 N s/m⁴.
        ("10 kPa s/m2", FLOW_RESISTIVITY, 10_000.0),
        ("10kPa s/m²", FLOW_RESISTIVITY, 10_000.0),
        ("9500 Pa s/m2 ", FLOW_RESISTIVITY, 9500.0),
        ("9500 Pa s/m²", FLOW_RESISTIVITY, 9500.0),
        ("1.2e4 N s/m4", FLOW_RESISTIVITY, 12_000.0),
        ("1.2e4 N s/m⁴", FLOW_RESISTIVITY, 12_000.0),
        ("12 kN s/m4", FLOW_RESISTIVITY, 12_000.0),
        ("12 kN s/m⁴", FLOW_RESISTIVITY, 12_000.0),
    ],
)
def test_values_are_exact(text: str, dimension: Dimension, expected: float) -> None:
    assert parse(text, dimension) == expected


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        ("3 kg", LENGTH, "'3 kg' is not a length; use mm, cm, m or in"),
        ("3 kHz", LENGTH, "'3 kHz' is not a length"),
        ("3 mm", FREQUENCY, "'3 mm' is not a frequency; use Hz or kHz"),
        ("3 MM", LENGTH, '"220 mm"; did you mean "3 mm"?'),
        ("8 inch", LENGTH, 'did you mean "8 in"?'),
        ('8"', LENGTH, 'did you mean "8 in"?'),
        ("2.2 khz", FREQUENCY, 'did you mean "2.2 kHz"?'),
        ("20 C", TEMPERATURE, 'did you mean "20 degC"?'),
        ("20 DEGC", TEMPERATURE, 'did you mean "20 degC"?'),
        ("5 degrees", ANGLE, 'did you mean "5 deg"?'),
        # The rayl per metre is the pascal second per square metre (common practice, no source).
        ("10000 rayl/m", FLOW_RESISTIVITY, 'did you mean "10000 Pa s/m2"?'),
        ("10 kPa·s/m²", FLOW_RESISTIVITY, 'did you mean "10 kPa s/m²"?'),
        ("10 kPa.s/m2", FLOW_RESISTIVITY, 'did you mean "10 kPa s/m2"?'),
        ("10 kPa  s/m2", FLOW_RESISTIVITY, 'did you mean "10 kPa s/m2"?'),
        ("10 kpa s/m2", FLOW_RESISTIVITY, 'did you mean "10 kPa s/m2"?'),
        ("10 kPa", FLOW_RESISTIVITY, "is not a flow resistivity; use Pa s/m2, kPa s/m2, N s/m4 or"),
        (10, FLOW_RESISTIVITY, "10 has no unit; write it in quotes with Pa s/m2, kPa s/m2, N s/m4"),
        ("1,000 mm", LENGTH, "write 1000 without separators, or 1.0 with a point"),
        ("1,250 mm", LENGTH, "write 1250 without separators, or 1.25 with a point"),
        ("1,000,000 mm", LENGTH, "write 1000000 without separators"),
        ("1,000.5 mm", LENGTH, "write 1000.5 without separators"),
        ("0,125 m", LENGTH, "write 0.125 with a point"),
        ("3 mm mm", LENGTH, "is not a length"),
        ("mm", LENGTH, "is not a length"),
        ("", LENGTH, "is not a length"),
        ("1/2 in", LENGTH, "is not a length"),
        ("1e99999 mm", LENGTH, "is not a length"),
        ("9" * 5000 + " mm", LENGTH, "is not a length"),
        (True, LENGTH, "true is not a length"),
        (["220 mm"], LENGTH, "is not a length"),
        ("5,6 mm", LENGTH, "write 5.6 with a point"),
        ("-5,6 mm", LENGTH, "write -5.6 with a point"),
        (",5 ms", TIME, "write 0.5 with a point"),
        ("220", LENGTH, "220 has no unit; write it in quotes with mm, cm, m or in"),
        (220, LENGTH, "220 has no unit"),
        (2.2, FREQUENCY, "2.2 has no unit"),
        ("nan mm", LENGTH, "'nan mm' is not a finite number"),
        ("-inf Hz", FREQUENCY, "is not a finite number"),
        ("1e999 mm", LENGTH, "'1e999 mm' is not a finite number"),
        (math.nan, LENGTH, "nan is not a finite number"),
        (math.inf, TIME, "inf is not a finite number"),
    ],
)
def test_everything_else_is_refused_with_advice(
    value: object, dimension: Dimension, said: str
) -> None:
    with pytest.raises(UnitError, match=re.escape(said)):
        parse(value, dimension)


@given(
    st.floats(min_value=-1e6, max_value=1e6),
    st.sampled_from([(dim, unit) for dim in DIMENSIONS for unit in dim.units]),
)
def test_what_is_written_is_read_again(value: float, kind: tuple[Dimension, str]) -> None:
    dimension, unit = kind
    again = parse(in_unit(value, unit, digits=17), dimension)
    # Two roundings to 53 bits, and for temperatures an offset of some hundred kelvin.
    assert again == pytest.approx(value, rel=1e-14, abs=1e-12)


@given(st.integers(min_value=-(10**9), max_value=10**9))
def test_equal_lengths_in_different_units_are_the_same_float(tenths: int) -> None:
    millimetres = f"{tenths / 10:.1f} mm"
    centimetres = f"{tenths / 100:.2f} cm"
    metres = f"{tenths / 10_000:.4f} m"
    assert parse(millimetres, LENGTH) == parse(centimetres, LENGTH) == parse(metres, LENGTH)


SIGNS = st.text(alphabet="0123456789.,+-eE mcink\u00b5sHzdeg°CFKradPN/²⁴\n", max_size=12)
UNITS = st.sampled_from([unit for dimension in DIMENSIONS for unit in dimension.units])


@given(SIGNS | st.builds("{}{}{}".format, SIGNS, UNITS, SIGNS))
def test_the_pattern_for_editors_says_what_the_parser_takes(text: str) -> None:
    for dimension in DIMENSIONS:
        try:
            parse(text, dimension)
            taken = True
        except UnitError as error:
            # That digits make no finite number is more than a pattern can tell.
            taken = "finite" in str(error) and "nan" not in text
        assert taken == bool(re.search(pattern(dimension), text)), dimension.name


def test_frequencies_are_shown_as_people_say_them() -> None:
    assert [hertz(350.0), hertz(2200.0), hertz(20_000.0)] == ["350 Hz", "2.2 kHz", "20 kHz"]


def test_few_digits_make_no_powers_of_ten() -> None:
    shown = [in_unit(volume, "l", digits=3) for volume in (0.000602, 0.0153, 0.9996, 2.0)]
    assert shown == ["0.602 l", "15.3 l", "1000 l", "2000 l"]
