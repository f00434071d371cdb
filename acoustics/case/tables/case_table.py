"""The text layer of a case file: its tables, keys, ranges and defaults."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.tables.aim_table import AimTable
from acoustics.case.tables.amplifier_table import AmplifierTable
from acoustics.case.tables.brief_table import BriefTable
from acoustics.case.tables.cabinet_table import CabinetTable, Point
from acoustics.case.tables.crossover_tables import BranchTable
from acoustics.case.tables.digital_tables import ProcessorTable
from acoustics.case.tables.driver_table import DriverTable
from acoustics.case.tables.enclosure_tables import MOST_ENCLOSURES, EnclosureTable
from acoustics.case.tables.fields import Name, Number, Quantity, Text, length
from acoustics.case.tables.fit_table import FitTable
from acoustics.case.tables.measurement_table import MeasurementTable
from acoustics.case.tables.place_table import PlaceTable
from acoustics.case.tables.room_tables import (
    CeilingTable,
    FloorTable,
    FrontWallTable,
    PlacementTable,
    RearWallTable,
    SeatTable,
    SideWallTable,
)
from acoustics.case.tables.structure_table import StructureTable
from acoustics.case.tables.sweep_table import SweepTable
from acoustics.case.tables.table import Table, optional
from acoustics.case.tables.tolerance_table import ToleranceTable
from acoustics.case.tables.verification_table import VerificationTable
from acoustics.case.text.limits import MOST_AIMS, MOST_DRIVERS
from acoustics.case.text.units import ANGLE, FREQUENCY, MEMORY, TEMPERATURE

DriverName = Annotated[str, Name(40)]
EnclosureName = Annotated[str, Name(40)]
GridFrequency = Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]


class AirTable(Table):
    """The air the design stands in."""

    temperature: Annotated[float, Quantity(TEMPERATURE, "-30 degC", "60 degC")] = optional(
        "20 degC", "Air temperature.", examples=["20 degC", "68 degF"]
    )


class ReferenceTable(Table):
    """The reference axis, straight out of the front face."""

    driver: DriverName | None = optional(
        None,
        "The axis starts at the centre of this driver on the front face.",
        examples=["tweeter"],
    )
    point: Point | None = optional(
        None,
        "The axis starts at this point of the front face: [right, up].",
        examples=[["0 mm", "100 mm"]],
    )
    distance: Annotated[
        float,
        length("0.1 m", "100 m", "less, and the microphone would touch the cabinet or be inside"),
    ] = optional("2 m", "Distance from the front face.", examples=["2 m"])

    @field_validator("point")
    @classmethod
    def _either(cls, point: list[float] | None, info: ValidationInfo) -> list[float] | None:
        if point is not None and info.data.get("driver") is not None:
            raise ValueError("the axis has a driver and a point; keep one of the two")
        return point


class FrequenciesTable(Table):
    """The frequencies of the prediction."""

    lowest: GridFrequency = optional("20 Hz", "Lowest frequency.", examples=["20 Hz"])
    highest: GridFrequency = optional("20 kHz", "Highest frequency.", examples=["20 kHz"])
    per_octave: Annotated[int, Number(1, 1000, whole=True)] = optional(
        24, "Frequencies per octave."
    )


CURVE_STEP = 10.0
"""degrees between the directions from which the standard directivity curves are taken"""

_STEPS = [half / 2 for half in range(1, 21) if 20 % half == 0]


class ArcsTable(Table):
    """The arcs round the reference point."""

    step: Annotated[
        float, Quantity(ANGLE, "0.5 deg", "10 deg", "coarser arcs step over lobes and nulls")
    ] = optional("2.5 deg", "Angle between receivers; divides 10 degrees.", examples=["2.5 deg"])

    @field_validator("step")
    @classmethod
    def _meets_the_curves(cls, step: float) -> float:
        if abs(CURVE_STEP / step - round(CURVE_STEP / step)) > 1e-9:
            near = min(_STEPS, key=lambda good: abs(good - step))
            raise ValueError(
                f"{step:g} deg does not divide {CURVE_STEP:g} deg, and the standard directivity "
                f'curves are taken every {CURVE_STEP:g} degrees; "{near:g} deg" does'
            )
        return step


class SolverTable(Table):
    """What is asked of the field solver."""

    accuracy: Annotated[float, Number(0.001, 1, "dB")] = optional(
        0.1, "Accuracy of the field in dB."
    )
    memory: Annotated[float, Quantity(MEMORY, "64 MiB", "1024 GiB")] = optional(
        "4 GiB", "What the solver's tables may take, all cores together.", examples=["1 GiB"]
    )


class CaseTable(Table):
    """A loudspeaker design on paper."""

    title: Annotated[str, Text(120)] = Field(
        description="What the design is called.", examples=["Compact two-way"]
    )
    note: Annotated[str, Text(4000, free=True)] = optional(
        "", "Anything worth remembering about it."
    )
    brief: BriefTable | None = optional(None, "What is wanted before anything is bought.")
    air: AirTable = optional({}, "The air the design stands in.")
    cabinet: CabinetTable = Field(description="The outside of the cabinet.")
    drivers: dict[DriverName, DriverTable] = Field(
        description="The drivers by name, each in a table such as [drivers.tweeter].",
        min_length=1,
        max_length=MOST_DRIVERS,
    )
    enclosures: Annotated[
        dict[EnclosureName, EnclosureTable], Field(max_length=MOST_ENCLOSURES)
    ] = optional(
        {},
        "The enclosures by name, each in a table such as [enclosures.bass]. A "
        "driver that is in none plays into the open behind.",
    )
    amplifier: AmplifierTable | None = optional(None, "What drives the loudspeaker.")
    processor: ProcessorTable | None = optional(
        None,
        "A digital processor that realises electrical slopes and what is before the amplifier of a "
        "passive crossover; without this table they are analogue.",
    )
    crossover: Annotated[dict[DriverName, BranchTable], Field(max_length=MOST_DRIVERS)] = optional(
        {},
        "The crossover by driver, such as [crossover.tweeter]; a driver without one "
        "gets the full signal.",
    )
    reference: ReferenceTable = optional(
        {},
        "The reference axis. Default: the centre of the driver called tweeter, else "
        "of the driver with the smallest piston on the front face, 2 m.",
    )
    placement: PlacementTable = optional(
        {}, "How the cabinet or the pair stands. Default: one cabinet, facing straight ahead."
    )
    seat: SeatTable = Field(description="Where people sit.")
    floor: FloorTable | None = optional(None, "The floor; without this table there is none.")
    ceiling: CeilingTable | None = optional(None, "The ceiling; without this table there is none.")
    front_wall: FrontWallTable | None = optional(
        None, "The wall behind the cabinets; without this table there is none."
    )
    rear_wall: RearWallTable | None = optional(
        None, "The wall behind the listener; without this table there is none."
    )
    left_wall: SideWallTable | None = optional(
        None, "The wall to the left; without this table there is none."
    )
    right_wall: SideWallTable | None = optional(
        None, "The wall to the right; without this table there is none."
    )
    aims: Annotated[list[AimTable], Field(max_length=MOST_AIMS)] = optional(
        [], "Figures the design is held against, each in a table [[aims]]."
    )
    frequencies: FrequenciesTable = optional({}, "The frequencies of the prediction.")
    arcs: ArcsTable = optional({}, "The arcs round the reference point.")
    solver: SolverTable = optional({}, "What is asked of the field solver.")
    fit: FitTable | None = optional(
        None,
        "What `roundover crossover` fits a passive crossover to; predictions do without.",
    )
    measurement: MeasurementTable | None = optional(
        None,
        "Where recordings of the drivers are and how they were made, for `roundover measure`; "
        "predictions do without.",
    )
    structure: StructureTable | None = optional(
        None,
        "What the cabinet is built of; predictions do without, but for the volume that braces take "
        "and walls of their own thickness leave.",
    )
    sweep: SweepTable | None = optional(
        None, "A design space round the case, for `roundover sweep`; predictions do without."
    )
    place: PlaceTable | None = optional(
        None,
        "What may change about the layout, for `roundover place`; predictions do without.",
    )
    tolerance: ToleranceTable | None = optional(
        None,
        "How far what is built strays from the design, for `roundover tolerance`; predictions do "
        "without.",
    )
    verification: VerificationTable | None = optional(
        None,
        "What was measured of the finished loudspeaker, for `roundover verify`; predictions do "
        "without.",
    )
