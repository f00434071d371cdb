"""The text layer of [verification]: what was measured of the finished loudspeaker."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.measured_model import LevelUnit
from acoustics.case.design.spans import ascending
from acoustics.case.design.verification_model import TakenImpedance, Verification
from acoustics.case.tables.fields import FILE_NAME, Name, Number, Quantity, length
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_READINGS
from acoustics.case.text.units import ANGLE, FREQUENCY, TIME, VOLTAGE

_DEFAULT = Verification()
_End = Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]
_Band = Annotated[list[_End], Field(min_length=2, max_length=2)]
_Drivers = Annotated[list[Annotated[str, Name(40)]], Field(max_length=24)]
_Distance = Annotated[
    float,
    length("50 mm", "100 m", "less, and the microphone would touch the cabinet or be inside"),
]
_Voltage = Annotated[float, Quantity(VOLTAGE, "1 mV", "1000 V")]
_Decibels = Annotated[float, Number(0, 20, "dB")]
_Turn = Annotated[float, Quantity(ANGLE, "-180 deg", "180 deg")]
_ReadingName = Annotated[str, Name(60)]
_BAND = [["200 Hz", "10 kHz"]]


class _WithBand(Table):
    band: _Band | None = optional(
        None,
        "Where it can be trusted. Default: all of the table; of a recording, what gate and noise "
        "leave.",
        examples=_BAND,
    )

    @field_validator("band")
    @classmethod
    def _rises(cls, band: list[float] | None) -> list[float] | None:
        if band is not None:
            ascending(band)
        return band


class TakenResponseTable(_WithBand):
    """What one microphone heard of the finished loudspeaker or of some of its drivers."""

    file: Annotated[str, FILE_NAME] = Field(
        description="A text table of frequency, level and phase, or a WAV file recorded as "
        "[measurement] says. Its path is counted from the case file's folder.",
        examples=["finished/axis.txt"],
    )
    distance: _Distance | None = optional(
        None,
        "Of the microphone from the reference point, where it is another than that of "
        "[verification].",
        examples=["1 m"],
    )
    right: _Turn = optional(
        "0 deg",
        "How far to the right of the reference axis the microphone stood, as the listener sees the "
        "cabinet.",
        examples=["30 deg"],
    )
    up: Annotated[float, Quantity(ANGLE, "-90 deg", "90 deg")] = optional(
        "0 deg", "How far above the reference axis.", examples=["-10 deg"]
    )
    playing: _Drivers = optional(
        [], "The drivers that were connected. Default: all.", examples=[["woofer"]]
    )
    reversed: _Drivers = optional(
        [],
        "Drivers that were connected the wrong way round on purpose, such as for a reverse null.",
        examples=[["tweeter"]],
    )
    voltage: _Voltage | None = optional(
        None,
        "Rms voltage at the loudspeaker's input, where it is another than that of [verification].",
        examples=["2.83 V"],
    )
    unit: LevelUnit | None = optional(
        None, "What the levels of the table are, if elsewhere than [verification] says."
    )
    calibrated: bool | None = optional(
        None, "Whether its level counts, if elsewhere than [verification] says."
    )
    removed_delay: Annotated[float, Quantity(TIME, "-1 s", "1 s")] | None = optional(
        None,
        "How much of the delay has been taken out of the phase. Default: what a table of "
        "`roundover measure` says, else nothing.",
        examples=["2.9 ms"],
    )
    timing: Annotated[str, Name(40)] | None = optional(
        None, "Its clock, if another than that of [verification].", examples=["loopback"]
    )
    uncertainty: _Decibels | None = optional(
        None, "Of each level, if another than that of [verification].", examples=[0.5]
    )

    @field_validator("reversed")
    @classmethod
    def _plays(cls, names: list[str], info: ValidationInfo) -> list[str]:
        playing = info.data.get("playing")
        silent = [name for name in names if playing and name not in playing]
        if silent:
            raise ClashError(
                f"'{silent[0]}' is turned round and does not play; add it to playing, or take it "
                "out here",
                "playing",
            )
        return names


class TakenImpedanceTable(_WithBand):
    """An impedance of the finished loudspeaker, or of one driver in its cabinet."""

    file: Annotated[str, FILE_NAME] = Field(
        description="A text table of frequency, ohm and phase. Its path is counted from the case "
        "file's folder.",
        examples=["finished/terminals.txt"],
    )
    driver: Annotated[str, Name(40)] | None = optional(
        None,
        "The driver at whose own terminals it was measured, disconnected from the crossover. "
        "Default: the loudspeaker's terminals.",
        examples=["woofer"],
    )
    uncertainty: Annotated[float, Number(0, 1)] = optional(
        TakenImpedance("", "").uncertainty,
        "Standard deviation of each value as a share of it.",
        examples=[0.01],
    )


class VerificationTable(_WithBand):
    """What was measured of the finished loudspeaker, for `roundover verify`.

    What stands here counts for every response that does not say otherwise.
    """

    microphone: Annotated[float, length("0 mm", "0.5 m")] = optional(
        "10 mm",
        "How far the microphone may have stood off, each way; 95 % lie within.",
        examples=["10 mm"],
    )
    level: _Decibels = optional(
        _DEFAULT.level,
        "How far the calibration of all levels together may be off, in dB; 95 % lie within.",
    )
    distance: _Distance | None = optional(
        None,
        "Of the microphone from the reference point. Default: the reference distance.",
        examples=["1 m"],
    )
    voltage: _Voltage = optional(
        "2.83 V", "Rms voltage at the loudspeaker's input.", examples=["2.83 V"]
    )
    unit: LevelUnit | None = optional(
        None,
        "What the levels of tables are. Default: what their heads say, else dB re 20 uPa.",
    )
    calibrated: bool = optional(
        True,
        "Whether levels are sound pressure levels for that voltage; if not, only their shape "
        "counts.",
    )
    timing: Annotated[str, Name(40)] | None = optional(
        None,
        "A name for the clock from which phases count: responses of one clock were taken with "
        "nothing about their timing changed between them. Default: nobody knows; recordings with a "
        "loopback share one.",
        examples=["loopback"],
    )
    uncertainty: _Decibels = optional(0.3, "Of each level by itself, a standard deviation in dB.")
    responses: Annotated[
        dict[_ReadingName, TakenResponseTable], Field(max_length=MOST_READINGS)
    ] = optional({}, "The responses, each in a table such as [verification.responses.axis].")
    impedances: Annotated[
        dict[_ReadingName, TakenImpedanceTable], Field(max_length=MOST_READINGS)
    ] = optional({}, "The impedances, each in a table such as [verification.impedances.terminals].")
