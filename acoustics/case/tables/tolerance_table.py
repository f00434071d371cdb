"""The text layer of [tolerance]: how far what is built strays from what was designed."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from acoustics.case.design.tolerance_model import Shape
from acoustics.case.tables.fields import Difference, Kind, Number, Quantity, Text, length
from acoustics.case.tables.sweep_table import MOST_KEYS, KeyPath
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.units import (
    DIMENSIONS,
    SHARE,
    TEMPERATURE,
    TIME,
    Amount,
    pattern,
    spread,
)

MOST_SPREADS = 64

Share = Annotated[float, Quantity(SHARE, "0.001 %", "90 %")]


class WithinText(Kind):
    """How far a key strays, before it is known what it is: as the key has it, or in per cent."""

    def read(self, value: object) -> Amount:
        """A difference, or a share."""
        found = spread(value)
        if found.dimension is SHARE:
            Quantity(SHARE, "0.001 %", "90 %").read(value)
        return found

    def schema(self) -> dict[str, Any]:
        """A number, or a string with a number and a unit or the sign of per cent."""
        dimensions = (*DIMENSIONS, SHARE)
        texts = [{"type": "string", "pattern": pattern(dimension)} for dimension in dimensions]
        return {"anyOf": [{"type": "number"}, *texts]}


class SpreadTable(Table):
    """A key that strays, and how far."""

    key: KeyPath = Field(
        description="The key by its path, as messages about the case file write it; entries of "
        "lists are counted from 1.",
        examples=["cabinet.depth", "drivers.woofer.acoustic_depth"],
    )
    also: Annotated[list[KeyPath], Field(min_length=1, max_length=MOST_KEYS)] | None = optional(
        None,
        "Further keys that stray with it by the same amount.",
        examples=[["enclosures.bass.ports.right.length"]],
    )
    within: Annotated[Any, WithinText()] = Field(
        description="How far it strays to either side: a bare number or one with its unit, as the "
        "key has it, or a share of its value in per cent. 95 % of the builds are within a normal "
        "spread, all of them within a uniform one.",
        examples=["1 mm", "5 %"],
    )
    shape: Shape | None = optional(
        None, "normal: near the design more often. uniform: anywhere alike. Default: as all others."
    )
    name: Annotated[str, Text(60)] | None = optional(
        None, "What it is called. Default: the path of the key.", examples=["depth of the box"]
    )


class DriverSpreadsTable(Table):
    """How far small-signal parameters stray, of every driver that has any, each by itself."""

    dc_resistance: Share | None = optional(None, "Of R_e.", examples=["5 %"])
    force_factor: Share | None = optional(None, "Of Bl.", examples=["5 %"])
    moving_mass: Share | None = optional(None, "Of M_ms.", examples=["5 %"])
    compliance: Share | None = optional(None, "Of C_ms.", examples=["15 %"])
    mechanical_resistance: Share | None = optional(None, "Of R_ms.", examples=["20 %"])
    effective_area: Share | None = optional(None, "Of S_d.", examples=["2 %"])


class ToleranceTable(Table):
    """How far what is built strays: what is left out does not; of an empty table, as usual."""

    builds: Annotated[int, Number(2, 100_000, whole=True)] = optional(
        1000, "How many loudspeakers are drawn."
    )
    seed: Annotated[int, Number(0, 2**31 - 1, whole=True)] = optional(
        1, "Which of the many draws; the same seed gives the same."
    )
    band: Annotated[float, Number(50, 99, "per cent")] = optional(
        90, "How many per cent of the builds the bands hold."
    )
    shape: Shape = optional(
        "normal",
        "Of all spreads but those of parts. normal: 95 % of the builds are within it, near the "
        "design more often. uniform: all of them are, anywhere alike.",
    )
    positions: Annotated[float, length("0.001 mm", "100 mm")] | None = optional(
        None,
        "Of every driver's centre on its face, to the right and up by itself.",
        examples=["1 mm"],
    )
    ear_height: Annotated[float, length("0.1 mm", "2 m")] | None = optional(
        None, "Of the ears, all heights together.", examples=["50 mm"]
    )
    distance: Annotated[float, length("0.1 mm", "20 m")] | None = optional(
        None, "Of the distance of the main seat.", examples=["100 mm"]
    )
    temperature: Annotated[float, Difference(TEMPERATURE, "0.01 K", "50 K", "5 K")] | None = (
        optional(
            None, "Of the air, as a difference: 5 K and 5 degC are the same.", examples=["5 K"]
        )
    )
    levels: Annotated[float, Number(0.001, 20, "dB")] | None = optional(
        None, "Of every driver's level, in dB.", examples=[0.5]
    )
    delays: Annotated[float, Quantity(TIME, "0.001 us", "10 ms")] | None = optional(
        None, "Of every driver's delay.", examples=["10 us"]
    )
    parts: Share | None = optional(
        None,
        "Of the value of every inductor, capacitor and resistor of a passive crossover, each by "
        "itself.",
        examples=["5 %"],
    )
    parts_shape: Shape = optional(
        "uniform",
        "Of the spreads of parts: those that are best are sold as better ones, so any value in "
        "their range is as likely as another.",
    )
    drivers: DriverSpreadsTable = optional(
        {}, "How far parameters of drivers stray, each as a share."
    )
    spreads: Annotated[list[SpreadTable], Field(max_length=MOST_SPREADS)] = optional(
        [], "Any other keys that stray, each in a table [[tolerance.spreads]]."
    )
