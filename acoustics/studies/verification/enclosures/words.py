"""What figures of an enclosure that are off say, in plain words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from acoustics.measurement.tuning import Kind
from acoustics.studies.verification.enclosures.model import FigureFound
from acoustics.studies.verification.readings.readings import COVERED

CALLED = {
    "driver_resonance": "the driver's own resonance",
    "compliance_ratio": "the compliance ratio (suspension over the air in the box)",
    "leakage_q": "the box's Q of losses (leakage)",
    "mechanical_q": "the mechanical Q",
    "electrical_q": "the electrical Q",
    "total_q": "the total Q",
    "dc_resistance": "the resistance",
}
"""Figures of which something is said if they are off, and what they are called."""

CAUSES = {
    ("vented", "tuning"): (
        "port longer or narrower, or volume larger",
        "port shorter or wider, or volume smaller",
    ),
    ("passive radiator", "tuning"): (
        "more mass on the passive radiator, or volume larger",
        "less mass on the passive radiator, or volume smaller",
    ),
    ("closed", "tuning"): (
        "volume larger, more fill, air that leaks, or a suspension softer than stated",
        "volume smaller, less fill, or a suspension stiffer than stated (drivers soften while they "
        "are run in)",
    ),
    "driver_resonance": (
        "suspension softer than stated, or a heavier cone",
        "suspension stiffer than stated (drivers soften while they are run in)",
    ),
    "compliance_ratio": (
        "volume larger, or a suspension stiffer than stated",
        "volume smaller, or a suspension softer than stated",
    ),
    "leakage_q": (
        "air leaks: look at gaskets, terminals, cable holes and joints; or more damping in the air "
        "or the port than stated",
        "tighter than was reckoned with, which does no harm",
    ),
    "mechanical_q": (
        "more friction than stated: damping close to the cone, a leak, or a voice coil that rubs",
        "fewer losses in the suspension than stated, which does no harm",
    ),
    "electrical_q": (
        "a stronger motor or a lighter cone than stated",
        "a weaker motor or a heavier cone than stated",
    ),
    "total_q": (
        "more damping than stated, of motor or losses",
        "less damping than stated, of motor or losses",
    ),
    "dc_resistance": (
        "another voice coil than stated, or one that is shorted in part",
        "a warm voice coil, or a cable or contact in the way",
    ),
}
"""Why a figure is low, and why it is high."""


def words_of(kind: Kind, enclosure: str, figures: Sequence[FigureFound]) -> Iterator[str]:
    """Sentences about an enclosure: what it is tuned to, then what else is off."""
    by_name = {each.name: each for each in figures}
    tuning = by_name["tuning"]
    what = "resonates at" if kind == "closed" else "is tuned to"
    if tuning.measured.reason:
        yield f"what the box {enclosure} {what} cannot be told: {tuning.measured.reason}"
    else:
        yield f"the box {enclosure} {what} {_value(tuning)}{_against(tuning)}" + (
            f": {_tuning_cause(kind, by_name)}" if tuning.within == "no" else ""
        )
    for name, called in CALLED.items():
        each = by_name.get(name)
        if each is not None and each.within == "no":
            cause = CAUSES[name][0 if each.difference < 0 else 1]
            yield f"{called} is {_value(each)}{_against(each)}: {cause}"


def _tuning_cause(kind: Kind, figures: dict[str, FigureFound]) -> str:
    tuning = figures["tuning"]
    low = tuning.difference < 0
    cause = CAUSES[kind, "tuning"][0 if low else 1]
    stiff = figures.get("box_stiffness")
    if stiff is None or not math.isfinite(stiff.difference):
        return cause
    # Volume changes the tuning and the stiffness of the air behind the cone alike.
    share = _ratio(stiff) / _ratio(tuning)
    doubt = COVERED * stiff.measured.uncertainty / stiff.measured.value / abs(_ratio(tuning))
    if doubt > 0.5:
        return cause
    first, second = cause.split(", or ")
    if share > 0.5:
        return f"{second}, because the air behind the cone is {'softer' if low else 'stiffer'} too"
    return f"{first}, because the air behind the cone is about as stiff as designed"


def _ratio(figure: FigureFound) -> float:
    return math.log(figure.measured.value / figure.designed.value)


def _value(figure: FigureFound) -> str:
    spread = COVERED * figure.measured.uncertainty
    # As many digits as the uncertainty has a meaning, and three at least.
    size = figure.measured.value
    digits = max(2 - math.floor(math.log10(size)), 0)
    if spread > 0:
        digits = max(digits, -math.floor(math.log10(spread)))
    digits = min(digits, 3)
    unit = _unit(figure)
    least = f"{spread:.{digits}f}"
    told = least if float(least) > 0 else f"{10.0**-digits:.{digits}f}"
    return f"{size:.{digits}f} ± {told}{unit}"


def _against(figure: FigureFound) -> str:
    """Beside the design, in words that follow the value."""
    if figure.designed.reason:
        return "; the design does not tell it"
    value = f"{figure.designed.value:.3g}{_unit(figure)}"
    off = 100 * (figure.measured.value / figure.designed.value - 1)
    if figure.within == "yes":
        return f", designed {value}: as it should be"
    way = "low" if off < 0 else "high"
    return f", designed {value}: {abs(off):.{0 if abs(off) >= 2 else 1}f} % {way}"


def _unit(figure: FigureFound) -> str:
    return "" if figure.unit == "1" else f" {figure.unit}"
