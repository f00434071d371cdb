"""The text layer of [measurement]: how drivers were measured, and where the recordings are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.measurement_model import (
    FadeName,
    Measurement,
    PlayedSweep,
    RecordingKind,
    Spot,
    TableKind,
)
from acoustics.case.tables.fields import FILE_NAME, Kind, Name, Number, Quantity, length
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_DRIVERS
from acoustics.case.text.shown import shortened
from acoustics.case.text.units import FREQUENCY, TIME, VOLTAGE, UnitError

MOST_FILES = 32
"""repeats of one recording"""

_SWEEP, _DEFAULT = PlayedSweep(), Measurement()
_DriverName = Annotated[str, Name(40)]
_Away = Annotated[float, length("0.1 m", "100 m")]


@dataclass(frozen=True)
class Files(Kind):
    """One file name, or a list of them."""

    def read(self, value: object) -> tuple[str, ...]:
        """The names."""
        if isinstance(value, str):
            return (FILE_NAME.read(value),)
        if not isinstance(value, list | tuple):
            raise UnitError(
                f"{shortened(value)} names no file; write its name in quotes, or several in "
                "brackets"
            )
        if not 1 <= len(value) <= MOST_FILES:
            raise UnitError(f"the list names {len(value)} files; name 1 to {MOST_FILES}")
        return tuple(FILE_NAME.read(name) for name in value)

    def schema(self) -> dict[str, Any]:
        """A string or a list of strings."""
        name = FILE_NAME.schema()
        many = {"type": "array", "items": name, "minItems": 1, "maxItems": MOST_FILES}
        return {"anyOf": [name, many]}


@dataclass(frozen=True)
class LoopbackChannel(Kind):
    """A channel, counted from 1, or "none"."""

    def read(self, value: object) -> int | None:
        """The channel, None where there is none."""
        if value == NO_LOOPBACK:
            return None
        try:
            return int(CHANNEL.read(value))
        except UnitError:
            raise UnitError(
                f"{shortened(value)} is no channel; write its number, counted from 1, without "
                f'quotes, or "{NO_LOOPBACK}"'
            ) from None

    def schema(self) -> dict[str, Any]:
        """A whole number, or the word."""
        return {"anyOf": [CHANNEL.schema(), {"const": NO_LOOPBACK}]}


NO_LOOPBACK = "none"
CHANNEL = Number(1, 64, whole=True)
_Files = Annotated[tuple[str, ...], Files()]


class PlayedSweepTable(Table):
    """The exponential sweep that was played."""

    lowest: Annotated[float, Quantity(FREQUENCY, "1 Hz", "20 kHz")] = optional(
        "20 Hz", "Where it begins.", examples=["20 Hz"]
    )
    highest: Annotated[float, Quantity(FREQUENCY, "20 Hz", "90 kHz")] = optional(
        "20 kHz", "Where it ends.", examples=["20 kHz"]
    )
    duration: Annotated[float, Quantity(TIME, "50 ms", "120 s")] = optional(
        "2 s", "How long it takes; the exact rate follows, as --sweep makes it.", examples=["2 s"]
    )

    @field_validator("highest")
    @classmethod
    def _upward(cls, highest: float, info: ValidationInfo) -> float:
        lowest = info.data.get("lowest")
        if lowest is not None and highest < 2 * lowest:
            raise ClashError(
                f"a sweep runs upward over an octave or more, not from {lowest:g} to "
                f"{highest:g} Hz; write a higher end",
                "lowest",
            )
        return highest


class MeasuredSurfacesTable(Table):
    """What stood round the cabinet when it was measured, beside the floor."""

    ceiling: _Away | None = optional(None, "Height above the floor.", examples=["2.5 m"])
    front_wall: _Away | None = optional(None, "Behind the front face.", examples=["2 m"])
    rear_wall: _Away | None = optional(None, "Behind the microphone.", examples=["2 m"])
    left_wall: _Away | None = optional(
        None, "From the line between cabinet and microphone.", examples=["1.8 m"]
    )
    right_wall: _Away | None = optional(
        None, "From the line between cabinet and microphone.", examples=["1.8 m"]
    )


class DriverMeasurementTable(Table):
    """Recordings of one driver by itself."""

    far: _Files = Field(
        description="The recording with the microphone at its distance; several are repeats and "
        "are averaged. WAV, or text with a column of samples.",
        examples=["recordings/woofer.wav"],
    )
    distance: Annotated[float, length("5 cm", "20 m")] | None = optional(
        None, "Of the microphone, where it is another than that of [measurement].", examples=["1 m"]
    )
    at: Spot | None = optional(
        None, "Where the microphone was, if elsewhere than [measurement] says."
    )
    near: _Files | None = optional(
        None,
        "Recordings with the microphone close to the middle of the cone, for low frequencies.",
        examples=["recordings/woofer-near.wav"],
    )
    near_distance: Annotated[float, length("0 mm", "50 mm")] = optional(
        "5 mm",
        "Of the microphone from the middle of the cone, and from that of a port's mouth.",
        examples=["5 mm"],
    )
    voltage: Annotated[float, Quantity(VOLTAGE, "1 mV", "200 V")] | None = optional(
        None,
        "Of the sweep at this driver, where it is another than that of [measurement].",
        examples=["1 V"],
    )
    sweep: PlayedSweepTable | None = optional(
        None, "What was played to this driver, if another sweep than that of [measurement]."
    )
    near_ports: Annotated[dict[_DriverName, _Files], Field(max_length=MOST_DRIVERS)] = optional(
        {},
        "Recordings close to the mouth of a port of its enclosure, by the port's name.",
    )

    @field_validator("near_ports")
    @classmethod
    def _with_a_cone(cls, ports: dict[str, Any], info: ValidationInfo) -> dict[str, Any]:
        if ports and info.data.get("near", ()) is None:
            raise ClashError(
                "ports are added to the cone's near field, and there is none; add near, the "
                "recording close to the cone",
                "near",
            )
        return ports


class MeasurementTable(Table):
    """How drivers were measured, for `roundover measure`."""

    kind: RecordingKind = optional(
        _DEFAULT.kind,
        "sweep: files are recordings of a sweep. impulse: they are impulse responses already.",
    )
    sweep: PlayedSweepTable = optional({}, "The sweep that was played.")
    sweep_file: Annotated[str, FILE_NAME] | None = optional(
        None,
        "The file that was played, where it was not made by --sweep; [measurement.sweep] then "
        "states its band, and voltage its level, however loud the file is.",
        examples=["recordings/played.wav"],
    )
    sampling_rate: Annotated[float, Quantity(FREQUENCY, "8 kHz", "400 kHz")] | None = optional(
        None,
        "That the recordings must have; needed for text files without times.",
        examples=["48 kHz"],
    )
    channel: Annotated[int, CHANNEL] = optional(
        _DEFAULT.channel, "Channel of the microphone, counted from 1."
    )
    loopback: Annotated[int | None, LoopbackChannel()] = optional(
        NO_LOOPBACK,
        "Channel in which what was sent to the amplifier was recorded; it makes times absolute.",
        examples=[2],
    )
    calibration: Annotated[str, FILE_NAME] | None = optional(
        None, "The microphone's table of frequency and dB.", examples=["microphone.txt"]
    )
    calibration_is: TableKind = optional(
        _DEFAULT.calibration_is,
        "response: how the microphone responds, which is taken out. correction: what to add.",
    )
    level_of_full_scale: Annotated[float, Number(60, 200, "dB")] | None = optional(
        None,
        "Level in dB re 20 uPa of a sine that just fills the microphone's channel, from a "
        "calibrator or the microphone's and the interface's data. Without it levels are relative.",
        examples=[124.0],
    )
    voltage: Annotated[float, Quantity(VOLTAGE, "1 mV", "200 V")] = optional(
        "2.83 V",
        "Rms voltage of the sweep at the driver's terminals: of a sine at its level.",
        examples=["2.83 V"],
    )
    distance: Annotated[float, length("5 cm", "20 m")] = optional(
        "1 m",
        'Of the microphone from the front face; with at = "driver", from the driver\'s face.',
        examples=["1 m"],
    )
    at: Spot = optional(
        "reference axis",
        "What the microphone stood straight in front of: the reference point, unmoved between "
        "drivers, or each driver's centre.",
    )
    base_height: Annotated[float, length("0 m", "20 m")] | None = optional(
        None,
        "How high the cabinet's bottom stood above the floor. Default: as in [cabinet].",
        examples=["1.2 m"],
    )
    surfaces: MeasuredSurfacesTable = optional(
        {}, "What stood round the cabinet, beside the floor; the gate follows from it."
    )
    gate: Annotated[float, Quantity(TIME, "0.2 ms", "2 s")] | None = optional(
        None,
        "Length from the arrival on. Default: up to the first reflection by geometry.",
        examples=["4 ms"],
    )
    fade: FadeName = optional(_DEFAULT.fade, "Shape of the ends of the gate.")
    drivers: Annotated[
        dict[_DriverName, DriverMeasurementTable], Field(max_length=MOST_DRIVERS)
    ] = optional(
        {},
        "The recordings of each driver, in a table such as [measurement.drivers.woofer].",
    )

    @field_validator("sweep_file")
    @classmethod
    def _of_sweeps(cls, name: str | None, info: ValidationInfo) -> str | None:
        if name is not None and info.data.get("kind") == "impulse":
            raise ClashError("impulse responses need no sweep_file; leave the key out", "kind")
        return name

    @field_validator("loopback")
    @classmethod
    def _another_channel(cls, loopback: int | None, info: ValidationInfo) -> int | None:
        if loopback is None:
            return None
        if info.data.get("kind") == "impulse":
            raise ClashError(
                "of impulse responses the loopback is taken out already; leave the key out", "kind"
            )
        if loopback == info.data.get("channel"):
            raise ClashError(
                f"the microphone is in channel {loopback} too; write the channel that recorded "
                "what was sent",
                "channel",
            )
        return loopback
