"""The text layer of [fit]: what a passive crossover is to be fitted to, and from which parts."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.fit_model import Fit, Prices, Series, Weights
from acoustics.case.design.spans import ascending, one_after_the_other, span_words
from acoustics.case.design.topology import topology_of
from acoustics.case.tables.fields import Name, Number, Quantity, Text
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_DRIVERS, MOST_SHAPES
from acoustics.case.text.units import FREQUENCY, LENGTH, RESISTANCE

_Weight = Annotated[float, Number(0, 100)]
_Price = Annotated[float, Number(0, 1e6)]
_Frequency = Annotated[float, Quantity(FREQUENCY, "10 Hz", "50 kHz")]
_Span = Annotated[list[_Frequency], Field(min_length=2, max_length=2)]
_Shape = Annotated[str, Text(200)]
_Shapes = Annotated[list[_Shape], Field(max_length=MOST_SHAPES)]
_DEFAULT, _WEIGHTS, _PRICES = Fit(), Weights(), Prices()


class WeightsTable(Table):
    """How much each aim counts, by its mean square in dB; 0 for not at all."""

    listening_window: _Weight = optional(
        _WEIGHTS.listening_window, "Deviation of the listening window from its straight line."
    )
    in_room: _Weight = optional(
        _WEIGHTS.in_room, "Deviation of the estimated in-room curve from a straight line."
    )
    directivity: _Weight = optional(
        _WEIGHTS.directivity, "Deviation of the directivity index from a smooth curve."
    )
    phase: _Weight = optional(
        _WEIGHTS.phase, "What drivers out of step lose where they play together."
    )

    @field_validator("phase")
    @classmethod
    def _something_counts(cls, phase: float, info: ValidationInfo) -> float:
        others = ("listening_window", "in_room", "directivity")
        # Of keys that are wrong themselves nothing is in `data`.
        if phase == 0 and not any(info.data.get(key, 1.0) for key in others):
            raise ClashError(
                "all weights are 0, so one crossover is as good as another; let one of them count, "
                "for example listening_window = 1.0",
                *others,
            )
        return phase


class PricesTable(Table):
    """Prices of parts: each, and what its value adds, in the currency of the drivers' prices."""

    inductor: _Price = optional(_PRICES.inductor, "Of a coil.")
    inductor_per_mh: _Price = optional(_PRICES.inductor_per_mh, "Of a coil, more for each mH.")
    capacitor: _Price = optional(_PRICES.capacitor, "Of a capacitor.")
    capacitor_per_uf: _Price = optional(
        _PRICES.capacitor_per_uf, "Of a capacitor, more for each uF."
    )
    resistor: _Price = optional(_PRICES.resistor, "Of a resistor.")


class FitTable(Table):
    """What `roundover crossover` fits a passive crossover to, and from which parts."""

    weights: WeightsTable = optional({}, "How much each aim counts.")
    tilt: Annotated[float, Number(-6, 6, "dB per octave")] = optional(
        _DEFAULT.tilt, "Slope of the listening window in dB per octave."
    )
    level: Annotated[float, Number(30, 150, "dB")] | None = optional(
        None,
        "Level of the listening window in dB at 1 m for 2.83 V. Default: free, rather loud.",
        examples=[82.0],
    )
    band: _Span = optional(
        ["200 Hz", "15 kHz"], "Where the curves count.", examples=[["200 Hz", "15 kHz"]]
    )
    smoothing: Annotated[float, Number(1, 48)] = optional(
        _DEFAULT.smoothing, "Curves are smoothed over 1/smoothing octave."
    )
    crossovers: Annotated[list[_Span], Field(max_length=MOST_DRIVERS)] = optional(
        [],
        "Where drivers may hand over: one [lowest, highest] for each crossover, from the lowest "
        "on. Default: from 2 times the upper driver's resonance in its box (1.5 where its "
        "displacement and the amplifier's power are stated) to where the lower one beams.",
        examples=[[["1.6 kHz", "3.2 kHz"]]],
    )
    least_impedance: Annotated[float, Quantity(RESISTANCE, "0.5 ohm", "100 ohm")] | None = optional(
        None,
        "What the input impedance may not fall below. Default: the amplifier's lowest_impedance, "
        "3.2 ohm where that is not stated.",
        examples=["4 ohm"],
    )
    most_parts: Annotated[int, Number(1, 60, whole=True)] = optional(
        _DEFAULT.most_parts, "How many parts there may be, of one loudspeaker."
    )
    series: Series = optional(
        _DEFAULT.series, "Series of standard values of capacitors and resistors."
    )
    coil_series: Series = optional(_DEFAULT.coil_series, "Series of standard values of coils.")
    pairs: bool = optional(
        _DEFAULT.pairs,
        "Whether two capacitors side by side, or two resistors one after the other, may stand for "
        "one; each counts as a part.",
    )
    wire: Annotated[float, Quantity(LENGTH, "0.2 mm", "4 mm")] = optional(
        "1.0 mm", "Diameter of the coils' copper, which makes their resistance."
    )
    capacitor_loss: Annotated[float, Number(0, 0.3)] = optional(
        _DEFAULT.capacitor_loss, "Loss factor tan δ of the capacitors at 1 kHz."
    )
    topologies: Annotated[
        dict[Annotated[str, Name(40)], _Shapes], Field(max_length=MOST_DRIVERS)
    ] = optional(
        {},
        'Shapes to try, by driver, each in words such as "high-pass 2 + attenuator". Default: '
        "the usual ones.",
        examples=[{"tweeter": ["high-pass 2 + attenuator", "high-pass 3 + attenuator"]}],
    )
    prices: PricesTable = optional({}, "Of parts.")
    worth_of_part: Annotated[float, Number(0, 10, "dB")] = optional(
        _DEFAULT.worth_of_part, "What a part must bring, in dB, to be taken."
    )
    worth_of_price: Annotated[float, Number(0, 10, "dB")] = optional(
        _DEFAULT.worth_of_price, "What a unit of currency must bring, in dB, to be spent."
    )
    seed: Annotated[int, Number(0, 2**31 - 1, whole=True)] = optional(
        _DEFAULT.seed, "Of the search: the same seed finds the same crossover."
    )

    @field_validator("band")
    @classmethod
    def _rises(cls, band: list[float]) -> list[float]:
        ascending(band)
        if band[1] < 2 * band[0]:
            raise ValueError(
                f"{span_words(band)} is less than an octave, and any crossover is even in that; "
                "write one that holds all crossovers and an octave on either side"
            )
        return band

    @field_validator("crossovers")
    @classmethod
    def _all_rise(cls, spans: list[list[float]]) -> list[list[float]]:
        for span in spans:
            ascending(span)
        one_after_the_other(spans)
        return spans

    @field_validator("topologies")
    @classmethod
    def _mean_something(cls, topologies: dict[str, list[str]]) -> dict[str, list[str]]:
        for shapes in topologies.values():
            if not shapes:
                raise ValueError("a driver with no shape to try; name one or leave the driver out")
            for words in shapes:
                topology_of(words)
        return topologies


def fit_of(text: FitTable) -> Fit:
    """What it says, in SI units."""
    plain = text.model_dump(exclude={"weights", "prices", "band", "crossovers", "topologies"})
    return Fit(
        weights=Weights(**text.weights.model_dump()),
        prices=Prices(**text.prices.model_dump()),
        band=(text.band[0], text.band[1]),
        crossovers=tuple((low, high) for low, high in text.crossovers),
        topologies=tuple(
            (driver, tuple(topology_of(words) for words in shapes))
            for driver, shapes in text.topologies.items()
        ),
        **plain,
    )
