"""Physical values as text: "220 mm", "2.2 kHz", "0.3 ms", "20 degC", "5 deg".

The only place in the package where a unit is read. Arithmetic is in fractions, so equal values
in different units ("22 cm", "220 mm") give the same float.
"""

from __future__ import annotations

import math
import re
import sys
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from acoustics.case.text.phrases import listed
from acoustics.case.text.shown import shortened


class UnitError(ValueError):
    """A value whose text, unit or size cannot be used; the text says what to write instead."""


@dataclass(frozen=True, eq=False)
class Dimension:
    """A kind of quantity and its units, each as (factor, offset): value·factor + offset."""

    name: str
    units: dict[str, tuple[Fraction, Fraction]]
    advised: tuple[str, ...]
    example: str

    @property
    def choice(self) -> str:
        """The advised units as a phrase: "mm, cm, m or in"."""
        return listed(self.advised, "or")

    @property
    def base(self) -> str:
        """The unit in which `parse` gives its values."""
        return next(unit for unit, scale in self.units.items() if scale == (1, 0))


def _scaled(factors: dict[str, str]) -> dict[str, tuple[Fraction, Fraction]]:
    return {unit: (Fraction(factor), Fraction(0)) for unit, factor in factors.items()}


# The inch is exactly 25.4 mm (international yard and pound agreement, 1959).
LENGTH = Dimension(
    "a length",
    _scaled({"mm": "0.001", "cm": "0.01", "m": "1", "in": "0.0254"}),
    ("mm", "cm", "m", "in"),
    "220 mm",
)
FREQUENCY = Dimension("a frequency", _scaled({"Hz": "1", "kHz": "1000"}), ("Hz", "kHz"), "2.2 kHz")
TIME = Dimension(
    "a time",
    # The micro sign and the Greek letter mu look alike and are different characters.
    _scaled({"us": "1e-6", "ms": "1e-3", "s": "1", "\u00b5s": "1e-6", "\u03bcs": "1e-6"}),
    ("us", "ms", "s"),
    "0.3 ms",
)

_CELSIUS = (Fraction(1), Fraction("273.15"))
_FAHRENHEIT = (Fraction(5, 9), Fraction("273.15") - Fraction(160, 9))
TEMPERATURE = Dimension(
    "a temperature",
    {
        "degC": _CELSIUS,
        "°C": _CELSIUS,
        "K": (Fraction(1), Fraction(0)),
        "degF": _FAHRENHEIT,
        "°F": _FAHRENHEIT,
    },
    ("degC", "K", "degF"),
    "20 degC",
)
ANGLE = Dimension(
    "an angle",
    {**_scaled({"deg": "1", "°": "1"}), "rad": (Fraction(180 / math.pi), Fraction(0))},
    ("deg", "rad"),
    "5 deg",
)
"""Angles are in degrees inside the package too, as the labels of the data are."""

MEMORY = Dimension(
    "an amount of memory",
    _scaled({"MiB": str(2**20), "GiB": str(2**30), "MB": "1000000", "GB": "1000000000"}),
    ("MiB", "GiB"),
    "1 GiB",
)

# 1 Pa s/m² is 1 N s/m⁴, for 1 Pa is 1 N/m² (SI brochure, 9th edition, table 4).
FLOW_RESISTIVITY = Dimension(
    "a flow resistivity",
    _scaled(
        {
            f"{prefix}{unit}": factor
            for prefix, factor in (("", "1"), ("k", "1000"))
            for unit in ("Pa s/m2", "Pa s/m²", "N s/m4", "N s/m⁴")
        }
    ),
    ("Pa s/m2", "kPa s/m2", "N s/m4", "kN s/m4"),
    "10 kPa s/m2",
)

# Inch, foot, pound and ounce: international yard and pound agreement, 1959; all exact.
VOLUME = Dimension(
    "a volume",
    _scaled(
        {
            "l": "1e-3",
            "ml": "1e-6",
            "cm3": "1e-6",
            "m3": "1",
            "in3": "1.6387064e-5",
            "dm3": "1e-3",
            "ft3": "0.028316846592",
            "L": "1e-3",
            "mL": "1e-6",
            "cm³": "1e-6",
            "m³": "1",
            "dm³": "1e-3",
        }
    ),
    ("l", "ml", "cm3", "m3", "in3"),
    "14 l",
)
AREA = Dimension(
    "an area",
    _scaled(
        {
            "cm2": "1e-4",
            "mm2": "1e-6",
            "m2": "1",
            "in2": "6.4516e-4",
            "cm²": "1e-4",
            "mm²": "1e-6",
            "m²": "1",
        }
    ),
    ("cm2", "mm2", "m2", "in2"),
    "113 cm2",
)
MASS = Dimension(
    "a mass",
    _scaled({"g": "1e-3", "kg": "1", "mg": "1e-6", "oz": "0.028349523125", "lb": "0.45359237"}),
    ("g", "kg"),
    "14.5 g",
)
RESISTANCE = Dimension(
    "a resistance",
    # The letter omega and the ohm sign look alike and are different characters.
    _scaled(
        {
            f"{prefix}{unit}": factor
            for prefix, factor in (("", "1"), ("m", "1e-3"), ("k", "1000"), ("M", "1e6"))
            for unit in ("ohm", "\u03a9", "\u2126")
        }
    ),
    ("ohm", "mohm"),
    "5.7 ohm",
)
INDUCTANCE = Dimension(
    "an inductance",
    _scaled({"mH": "1e-3", "uH": "1e-6", "H": "1", "\u00b5H": "1e-6", "\u03bcH": "1e-6"}),
    ("mH", "uH", "H"),
    "0.35 mH",
)
CAPACITANCE = Dimension(
    "a capacitance",
    _scaled(
        {
            "uF": "1e-6",
            "nF": "1e-9",
            "pF": "1e-12",
            "F": "1",
            "mF": "1e-3",
            "\u00b5F": "1e-6",
            "\u03bcF": "1e-6",
        }
    ),
    ("uF", "nF", "pF"),
    "5.6 uF",
)
# Not in the SI: the trade's name for ohm·√s; of another exponent n, ohm·sⁿ.
SEMI_INDUCTANCE = Dimension(
    "a semi-inductance", _scaled({"sH": "1", "msH": "1e-3"}), ("sH", "msH"), "0.045 sH"
)
FORCE_FACTOR = Dimension(
    "a force factor", _scaled({"T m": "1", "N/A": "1"}), ("T m", "N/A"), "6.5 T m"
)
COMPLIANCE = Dimension(
    "a compliance",
    _scaled(
        {
            "mm/N": "1e-3",
            "m/N": "1",
            "um/N": "1e-6",
            "\u00b5m/N": "1e-6",
            "\u03bcm/N": "1e-6",
        }
    ),
    ("mm/N", "m/N", "um/N"),
    "1.1 mm/N",
)
MECHANICAL_RESISTANCE = Dimension(
    "a mechanical resistance",
    _scaled({"kg/s": "1", "N s/m": "1", "g/s": "1e-3"}),
    ("kg/s", "N s/m"),
    "0.8 kg/s",
)
VOLTAGE = Dimension("a voltage", _scaled({"V": "1", "mV": "1e-3"}), ("V", "mV"), "2.83 V")
POWER = Dimension("a power", _scaled({"W": "1", "kW": "1000"}), ("W", "kW"), "60 W")
DENSITY = Dimension(
    "a density",
    _scaled({"kg/m3": "1", "kg/m³": "1", "g/cm3": "1000", "g/cm³": "1000", "kg/dm3": "1000"}),
    ("kg/m3", "g/cm3"),
    "750 kg/m3",
)
MODULUS = Dimension(
    "a modulus of elasticity",
    _scaled({"GPa": "1e9", "MPa": "1e6", "Pa": "1", "N/mm2": "1e6", "N/mm²": "1e6"}),
    ("GPa", "MPa", "N/mm2"),
    "3 GPa",
)
SHARE = Dimension("a share", _scaled({"%": "0.01"}), ("%",), "5 %")
"""Of a value; no key has one for its own value, so it is none of `DIMENSIONS`."""

DIMENSIONS = (
    LENGTH,
    FREQUENCY,
    TIME,
    TEMPERATURE,
    ANGLE,
    FLOW_RESISTIVITY,
    VOLUME,
    AREA,
    MASS,
    RESISTANCE,
    INDUCTANCE,
    CAPACITANCE,
    SEMI_INDUCTANCE,
    FORCE_FACTOR,
    COMPLIANCE,
    MECHANICAL_RESISTANCE,
    VOLTAGE,
    POWER,
    DENSITY,
    MODULUS,
)
_UNITS = {unit: scale for dimension in DIMENSIONS for unit, scale in dimension.units.items()}
_OWNERS = {unit: dimension for dimension in DIMENSIONS for unit in dimension.units}

# An exponent of at most four digits keeps the fractions small.
NUMBER = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,4})?"
_QUANTITY = re.compile(rf"\s*(?P<number>{NUMBER}|[+-]?(?:nan|inf))\s*(?P<unit>[^\s\d].*)?")
_COMMA = re.compile(r"\s*(?P<whole>[+-]?[0-9]*),(?P<rest>[0-9]+)")
# Digits in threes: "1,000" is a thousand to some and one to others; "0,125" is no thousand.
_THREES = re.compile(
    r"\s*(?P<number>[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?P<part>\.[0-9]+)?)(?![0-9,])"
)
# Units as people write them elsewhere, in small letters.
_ELSEWHERE = {
    "inch": "in",
    "inches": "in",
    '"': "in",
    "meter": "m",
    "metre": "m",
    "sec": "s",
    "msec": "ms",
    "hertz": "Hz",
    "c": "degC",
    "celsius": "degC",
    "f": "degF",
    "fahrenheit": "degF",
    "kelvin": "K",
    "degree": "deg",
    "degrees": "deg",
    "rayl/m": "Pa s/m2",
    "rayls/m": "Pa s/m2",
    "mks rayl/m": "Pa s/m2",
    "mks rayls/m": "Pa s/m2",
    "liter": "l",
    "liters": "l",
    "litre": "l",
    "litres": "l",
    "ltr": "l",
    "cc": "cm3",
    "ccm": "cm3",
    "cu in": "in3",
    "cu ft": "ft3",
    "sq cm": "cm2",
    "qcm": "cm2",
    "sq in": "in2",
    "gram": "g",
    "grams": "g",
    "gr": "g",
    "kilogram": "kg",
    "lbs": "lb",
    "ohms": "ohm",
    "henry": "H",
    "farad": "F",
    "mfd": "uF",
    "microfarad": "uF",
    "semi-henry": "sH",
    "semihenry": "sH",
    "tm": "T m",
    "t-m": "T m",
    "tesla metre": "T m",
    "tesla meter": "T m",
    "newton/ampere": "N/A",
    "ns/m": "N s/m",
    "mechanical ohm": "kg/s",
    "mechanical ohms": "kg/s",
    "volt": "V",
    "volts": "V",
    "v rms": "V",
    "vrms": "V",
    "watt": "W",
    "watts": "W",
    "w rms": "W",
    "wrms": "W",
    "percent": "%",
    "per cent": "%",
    "pct": "%",
}
# How products of units are written elsewhere.
_PRODUCT = re.compile(r"\s*[·⋅*.\s]\s*")
_LONGEST = 60


def parse(value: object, dimension: Dimension) -> float:
    """Read a quantity with its unit.

    `value` is text such as "220 mm". Returns the value in the dimension's base unit: SI, or degrees
    for an angle. Raises UnitError for anything else: no unit, another dimension, a decimal comma, a
    number that is not finite.
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise UnitError(
            f'{value!r} is not a finite number; write for example "{dimension.example}"'
        )
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise UnitError(_no_unit(shortened(value), dimension))
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise UnitError(_is_not(value, dimension))
    return _parsed(value, dimension)


# A case is read hundreds of times where it is varied, and its texts and limits stay.
@lru_cache(maxsize=4096)
def _parsed(value: str, dimension: Dimension) -> float:
    refuse_comma(value)
    match = _QUANTITY.fullmatch(value.rstrip())
    if match is None:
        raise UnitError(_is_not(value, dimension))
    if match["unit"] is None:
        raise UnitError(_no_unit(value.strip(), dimension))
    if match["unit"] not in dimension.units:
        meant = _meant(match["unit"], dimension)
        hint = f'; did you mean "{match["number"]} {meant}"?' if meant else ""
        raise UnitError(_is_not(value, dimension) + hint)
    factor, offset = dimension.units[match["unit"]]
    try:
        # Fraction takes neither "nan" nor "inf": ValueError.
        return float(Fraction(match["number"]) * factor + offset)
    except (ValueError, OverflowError):
        raise UnitError(
            f'{value!r} is not a finite number; write for example "{dimension.example}"'
        ) from None


@dataclass(frozen=True)
class Amount:
    """A quantity of any dimension in its base unit, exactly; a bare number has none.

    `interval` is the same as the difference of two quantities: it differs for temperatures.
    """

    value: Fraction
    interval: Fraction
    dimension: Dimension | None


def amount(value: object) -> Amount:
    """Read a bare number, or a quantity of any dimension with its unit.

    Raises UnitError for anything else.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise UnitError(
            f'{shortened(value)} is no value; write one as the key has it, such as "220 mm"'
        )
    if isinstance(value, int | float):
        # Of whole numbers too: one of hundreds of digits is beyond what a float holds.
        if not abs(value) <= sys.float_info.max:
            raise UnitError(f"{shortened(value)} is not a finite number; write one that is")
        bare = Fraction(str(value))
        return Amount(bare, bare, None)
    match = _QUANTITY.fullmatch(value.rstrip()) if len(value) <= _LONGEST else None
    dimension = _OWNERS.get(match["unit"]) if match and match["unit"] else None
    if match is None or dimension is None:
        refuse_comma(value)
        raise UnitError(
            f"{shortened(value)} is not a number with a unit; write a value as the key has it, "
            'such as "220 mm", or a bare number without quotes'
        )
    parse(value, dimension)  # refuses what is not finite
    factor, offset = dimension.units[match["unit"]]
    interval = Fraction(match["number"]) * factor
    return Amount(interval + offset, interval, dimension)


def spread(value: object) -> Amount:
    """Read how far something strays, above 0: as `amount`, or as a share of it in per cent.

    Raises UnitError for anything else.
    """
    if isinstance(value, str) and value.rstrip().endswith(tuple(SHARE.units)):
        parse(value, SHARE)  # refuses what is no number
        part = Fraction(value.rstrip()[:-1].strip()) / 100
        found = Amount(part, part, SHARE)
    else:
        found = amount(value)
    if found.interval <= 0:
        raise UnitError(f"{shortened(value)} is no spread; write one above 0")
    return found


def pattern(dimension: Dimension) -> str:
    """A regular expression (ECMA 262) for what `parse` takes in this dimension."""
    return rf"^\s*{NUMBER}\s*({'|'.join(dimension.units)})\s*$"


def in_unit(value: float, unit: str, *, digits: int = 6) -> str:
    """`value` (SI; degrees for an angle) written in `unit`, such as "220 mm"."""
    factor, offset = (float(part) for part in _UNITS[unit])
    number = (value - offset) / factor + 0.0
    # People count litres and millimetres in thousands, not in powers of ten.
    text = f"{number:.{digits}g}"
    if 10**digits <= abs(float(text)) < 1e6:
        text = f"{number:.0f}"
    return f"{text} {unit}"


def hertz(frequency: float) -> str:
    """A frequency (Hz) as people say it: "350 Hz", "2.2 kHz"."""
    return in_unit(frequency, "kHz" if frequency >= 1000 else "Hz")


def refuse_comma(text: str) -> None:
    """Raise UnitError if `text` starts with a number that has a comma in it."""
    comma = _COMMA.match(text)
    if comma is None:
        return
    raise UnitError(f"{shortened(text)} has a comma in the number; {without_comma(text)}")


def without_comma(text: str) -> str:
    """What to write for the number with a comma that `text` starts with; empty if there is none."""
    threes = _THREES.match(text)
    comma = _COMMA.match(text)
    if threes is not None:
        number = threes["number"]
        whole = number.replace(",", "")
        if number.count(",") > 1 or threes["part"]:
            return f"write {whole} without separators"
        point = float(number.replace(",", "."))
        return f"write {whole} without separators, or {point} with a point if that is meant"
    if comma is not None:
        return f"write {comma['whole'] or '0'}.{comma['rest']} with a point"
    return ""


def _meant(unit: str, dimension: Dimension) -> str:
    """The unit of `dimension` that is written `unit` elsewhere; empty if there is none."""
    small = _PRODUCT.sub(" ", unit.strip().lower())
    same = [known for known in dimension.units if known.lower() == small]
    meant = same[0] if same else _ELSEWHERE.get(small, "")
    return meant if meant in dimension.units else ""


def _is_not(value: object, dimension: Dimension) -> str:
    return (
        f"{shortened(value)} is not {dimension.name}; use {dimension.choice}, "
        f'for example "{dimension.example}"'
    )


def _no_unit(text: str, dimension: Dimension) -> str:
    return (
        f"{text} has no unit; write it in quotes with {dimension.choice}, "
        f'for example "{dimension.example}"'
    )
