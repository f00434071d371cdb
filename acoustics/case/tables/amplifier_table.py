"""The text layer of [amplifier]."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.tables.crossover_tables import Delay, Gain, Polarity
from acoustics.case.tables.fields import Quantity
from acoustics.case.tables.section_tables import SectionTable
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_SECTIONS
from acoustics.case.text.units import POWER, RESISTANCE, in_unit

_Load = Annotated[float, Quantity(RESISTANCE, "0.5 ohm", "100 ohm")]


class AmplifierTable(Table):
    """What drives the loudspeaker."""

    power: Annotated[float, Quantity(POWER, "0.01 W", "100 kW")] | None = optional(
        None,
        "Highest power into the load named by `into`; it sets the highest voltage.",
        examples=["60 W"],
    )
    into: _Load = optional("8 ohm", "Load into which the power is stated.", examples=["8 ohm"])
    lowest_impedance: _Load | None = optional(
        None, "Lowest load it is made for.", examples=["4 ohm"]
    )
    resistance: Annotated[float, Quantity(RESISTANCE, "0 ohm", "100 ohm")] = optional(
        "0 ohm", "Its own output resistance and that of the cable.", examples=["0.1 ohm"]
    )

    gain: Gain = optional(
        0.0,
        "What is done before the amplifier that the passive crossover hangs on: gain in dB.",
        examples=[-3.0],
    )
    delay: Delay = optional("0 ms", "Likewise: pure delay.", examples=["0.05 ms"])
    polarity: Polarity = optional("normal", "Likewise: whether polarity is turned round.")
    sections: Annotated[list[SectionTable], Field(max_length=MOST_SECTIONS)] = optional(
        [], "Likewise: filter sections, one after the other, active or in a processor."
    )

    @field_validator("lowest_impedance")
    @classmethod
    def _power_is_into_a_load_it_is_made_for(
        cls, lowest: float | None, info: ValidationInfo
    ) -> float | None:
        into = info.data.get("into")
        if lowest is not None and into is not None and lowest > into:
            raise ClashError(
                f"the power is stated into {in_unit(into, 'ohm')}, and the lowest load is said to "
                f"be {in_unit(lowest, 'ohm')}; change one of the two",
                "into",
            )
        return lowest
