from __future__ import annotations

import pytest
from scipy import constants

from acoustics.case.text.units import (
    AREA,
    COMPLIANCE,
    FORCE_FACTOR,
    INDUCTANCE,
    MASS,
    MECHANICAL_RESISTANCE,
    POWER,
    RESISTANCE,
    SEMI_INDUCTANCE,
    VOLUME,
    Dimension,
    UnitError,
    parse,
)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        # Not SI: the table of a general library.
        ("20 in3", VOLUME, 20 * constants.inch**3),
        ("0.5 ft3", VOLUME, 0.5 * constants.foot**3),
        ("17.5 in2", AREA, 17.5 * constants.inch**2),
        ("2 lb", MASS, 2 * constants.pound),
        ("3 oz", MASS, 3 * constants.oz),
        # 1 l = 1 dm³ (SI brochure, 9th edition, table 8); L and l are both its symbol.
        ("14 l", VOLUME, 0.014),
        ("14L", VOLUME, 0.014),
        ("14 dm³", VOLUME, 0.014),
        ("450 cm3", VOLUME, 4.5e-4),
        ("450 ml", VOLUME, 4.5e-4),
        ("0.02 m3", VOLUME, 0.02),
        # Prefixes: SI brochure, table 7.
        ("113 cm2", AREA, 0.0113),
        ("491 mm²", AREA, 4.91e-4),
        ("14.5 g", MASS, 0.0145),
        ("250 mg", MASS, 2.5e-4),
        ("5.7 ohm", RESISTANCE, 5.7),
        ("5.7 \u03a9", RESISTANCE, 5.7),  # Greek omega
        ("5.7 \u2126", RESISTANCE, 5.7),  # ohm sign
        ("80 mohm", RESISTANCE, 0.08),
        ("1.2 kohm", RESISTANCE, 1200.0),
        ("1 Mohm", RESISTANCE, 1e6),
        ("0.35 mH", INDUCTANCE, 3.5e-4),
        ("35 \u00b5H", INDUCTANCE, 3.5e-5),
        ("45 msH", SEMI_INDUCTANCE, 0.045),
        # 1 T = 1 V s/m² = 1 N/(A m) (SI brochure, table 4).
        ("6.5 T m", FORCE_FACTOR, 6.5),
        ("6.5 N/A", FORCE_FACTOR, 6.5),
        ("1.1 mm/N", COMPLIANCE, 1.1e-3),
        ("850 um/N", COMPLIANCE, 8.5e-4),
        # 1 N = 1 kg m/s².
        ("0.9 kg/s", MECHANICAL_RESISTANCE, 0.9),
        ("0.9 N s/m", MECHANICAL_RESISTANCE, 0.9),
        ("0.06 kW", POWER, 60.0),
    ],
)
def test_they_come_out_in_si(text: str, dimension: Dimension, expected: float) -> None:
    assert parse(text, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "meant"),
    [
        ("14 litres", VOLUME, "14 l"),
        ("450 cc", VOLUME, "450 cm3"),
        ("20 cu. in", VOLUME, "20 in3"),
        ("14.5 grams", MASS, "14.5 g"),
        ("5.7 Ohm", RESISTANCE, "5.7 ohm"),
        ("5.7 ohms", RESISTANCE, "5.7 ohm"),
        ("6.5 Tm", FORCE_FACTOR, "6.5 T m"),
        ("6.5 T·m", FORCE_FACTOR, "6.5 T m"),
        ("0.9 Ns/m", MECHANICAL_RESISTANCE, "0.9 N s/m"),
        ("0.9 N·s/m", MECHANICAL_RESISTANCE, "0.9 N s/m"),
        ("60 watts", POWER, "60 W"),
        ("0.35 mh", INDUCTANCE, "0.35 mH"),
    ],
)
def test_units_written_elsewhere_are_named(text: str, dimension: Dimension, meant: str) -> None:
    with pytest.raises(UnitError, match=f'did you mean "{meant}"'):
        parse(text, dimension)
