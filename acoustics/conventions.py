"""Signs, units, names and errors that every room of the package shares.

Time dependence is exp(+jωt), so an outgoing wave is exp(−jkR). Axes: x to the right as the
listener sees the cabinet, y up, z out of the front face toward the listener; the origin is the
centre of the front face. Everything inside the package is SI; units enter at the case file and
leave at the figure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

SCHEMA = 5
"""Layout of the prediction Dataset. Readers check this number, not the package version."""

SOLVER = 8
"""Counts up whenever the field solver's numbers may differ for equal input."""

REFERENCE_PRESSURE = 20e-6
"""Pa (IEC 60027-3): 0 dB of sound pressure level."""

DRIVE_VOLTAGE = 2.83
"""V, rms. Every predicted pressure is the rms pressure for this voltage at the input."""

SPECIFIC_GAS_CONSTANT = 287.058
"""J/(kg K), dry air."""


@dataclass(frozen=True)
class Air:
    """The medium: speed of sound in m/s and density in kg/m³."""

    speed_of_sound: float = 343.0
    density: float = 1.2

    def __post_init__(self) -> None:
        for name, value in (
            ("speed_of_sound", self.speed_of_sound),
            ("density", self.density),
        ):
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"Air: {name} must be a positive number, not {value!r}")


def air_at(temperature: float, *, pressure: float = 101_325.0) -> Air:
    """Dry air at `temperature` (K) and static `pressure` (Pa).

    c = 343.2·√(T/293.15) (ISO 9613-1:1993, annex A), ρ = p₀/(R·T).
    """
    return Air(
        speed_of_sound=343.2 * math.sqrt(temperature / 293.15),
        density=pressure / (SPECIFIC_GAS_CONSTANT * temperature),
    )


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input: where it stands, what was found, what to do about it."""

    message: str
    file: str = ""
    line: int | None = None
    key: str = ""

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line) if part)
        return ": ".join(part for part in (place, self.key, self.message) if part)


class RoundoverError(Exception):
    """Something the person using the program can put right; its text says how."""


class CaseError(RoundoverError):
    """A case file with faults, all of them at once."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in faults))


class FileError(RoundoverError):
    """A file that cannot be read as what it is taken for; `fault` has its place."""

    def __init__(self, message: str, file: str = "", line: int | None = None) -> None:
        self.fault = Fault(message, file, line)
        super().__init__(str(self.fault))


class GeometryError(RoundoverError, ValueError):
    """A body, driver or receiver that cannot be where it was put."""


class Variable(NamedTuple):
    """Dimensions, unit and meaning of one variable of a Dataset."""

    dims: tuple[str, ...]
    units: str
    long_name: str


COORDINATES: dict[str, Variable] = {
    "driver": Variable(("driver",), "1", "driver"),
    "frequency": Variable(("frequency",), "Hz", "frequency"),
    "plane": Variable(("plane",), "1", "plane of the arc through the reference axis"),
    "angle": Variable(
        ("angle",), "degree", "angle from the reference axis; positive to the right or up"
    ),
    "speaker": Variable(("speaker",), "1", "which cabinet plays"),
    "seat": Variable(("seat",), "1", "seat"),
    "ear_height": Variable(("ear_height",), "m", "ear height above the floor at the seat"),
    "height": Variable(("height",), "m", "height above the floor at the seat"),
    "aside": Variable(("aside",), "m", "distance to the right of the seat"),
    "path": Variable(("path",), "1", "way the sound took from the cabinet to the seat"),
    "surroundings": Variable(("surroundings",), "1", "what the cabinet and the seat stand in"),
    "axis": Variable(("axis",), "1", "axis of the cabinet's own coordinates"),
    "driver_x": Variable(("driver",), "m", "driver centre, to the right of the front face's"),
    "driver_y": Variable(("driver",), "m", "driver centre, above the front face's"),
    "driver_z": Variable(("driver",), "m", "driver centre, in front of the front face's"),
    "driver_right": Variable(("driver",), "m", "driver centre, to the right of its face's"),
    "driver_up": Variable(("driver",), "m", "driver centre, above its face's"),
    "driver_face": Variable(("driver",), "1", "face of the cabinet that carries the driver"),
    "driver_both_sides": Variable(
        ("driver",), "1", "whether the driver radiates from both sides of a plate"
    ),
    "piston_diameter": Variable(("driver",), "m", "effective piston diameter"),
    "frame_diameter": Variable(("driver",), "m", "frame diameter"),
    "trusted_to": Variable(
        ("driver",), "Hz", "frequency up to which a driver is taken to move as a flat piston"
    ),
    "radiator": Variable(("radiator",), "1", "driver, port or passive radiator"),
    "radiator_kind": Variable(("radiator",), "1", "cone, port or passive radiator"),
    "radiator_face": Variable(("radiator",), "1", "face of the cabinet that carries it"),
    "radiator_area": Variable(("radiator",), "m2", "effective area"),
    "radiator_width": Variable(("radiator",), "m", "its width; of a disc its diameter"),
    "radiator_height": Variable(("radiator",), "m", "its height; of a disc its diameter"),
    "radiator_right": Variable(("radiator",), "m", "its centre, to the right of its face's"),
    "radiator_up": Variable(("radiator",), "m", "its centre, above its face's"),
    "radiator_x": Variable(("radiator",), "m", "its centre, to the right of the front face's"),
    "radiator_y": Variable(("radiator",), "m", "its centre, above the front face's"),
    "radiator_z": Variable(("radiator",), "m", "its centre, in front of the front face's"),
    "limit": Variable(("limit",), "1", "what may limit a driver's voltage"),
    "join": Variable(("join",), "1", "end of what was measured of a driver"),
    "part": Variable(("part",), "1", "part of the passive crossover"),
    "part_kind": Variable(("part",), "1", "inductor, capacitor or resistor"),
    "part_driver": Variable(("part",), "1", "driver to which the part belongs"),
    "part_value": Variable(("part",), "1", "its value in H, F or ohm"),
    "tap": Variable(("tap",), "1", "sample of an impulse response"),
    "tap_delay": Variable(
        ("driver",), "1", "whole samples of delay beside a driver's impulse response"
    ),
    "face": Variable(("face",), "1", "the front face, and every other that carries something"),
    "face_centre": Variable(
        ("face", "axis"),
        "m",
        "centre of a face before edges are cut, of a cut's own face as cut, in the cabinet's "
        "coordinates",
    ),
    "face_normal": Variable(("face", "axis"), "1", "unit vector out of a face, square to it"),
    "body_corner": Variable(
        ("corner", "axis"),
        "m",
        "corners of the body, rounded edges in facets, in the cabinet's coordinates",
    ),
    "error_estimate": Variable(
        ("frequency",),
        "dB",
        "field solver's estimate of its own error where the level is within 20 dB of the maximum",
    ),
}

STANDARD_NAMES = {"Pa": "sound_pressure_in_air", "Hz": "sound_frequency"}
"""CF standard names, by the unit that only those quantities have here."""

_FIELD = "pressure per volume velocity of a driver and all that it moves"
_ERROR = "field solver's estimate of the error of the level"
_SEAT = ("speaker", "seat")
VARIABLES: dict[str, Variable] = {
    "filter": Variable(("driver", "frequency"), "1", "crossover transfer function of a driver"),
    "source": Variable(
        ("driver", "frequency"),
        "m3 s-1 V-1",
        "volume velocity per volt of a driver and all that it moves: ports, leaks, passive "
        "radiators",
    ),
    "source_measured": Variable(
        ("driver", "frequency"),
        "1",
        "whether the source of a driver follows from what a microphone heard of it",
    ),
    "source_extrapolated": Variable(
        ("driver", "frequency"),
        "1",
        "whether the source of a driver is carried on past what was measured, without a model",
    ),
    "source_uncertainty": Variable(
        ("driver", "frequency"),
        "dB",
        "standard deviation of the level of a measured source: stated, of noise, and of the field "
        "at the microphone; missing where nothing was measured",
    ),
    "source_mismatch": Variable(
        ("driver", "join"),
        "dB",
        "level of a measured source over the model's that takes over from it; missing where none "
        "does",
    ),
    "microphone_field": Variable(
        ("driver", "frequency"),
        "Pa s m-3",
        "pressure per volume velocity of a driver and all that it moves at the microphone that "
        "measured it",
    ),
    "volume_velocity": Variable(
        ("radiator", "driver", "frequency"),
        "m3 s-1 V-1",
        "volume velocity outward per volt at one driver, the others' inputs shorted",
    ),
    "impedance": Variable(
        ("driver", "frequency"), "ohm", "impedance of a driver in its box, at its terminals"
    ),
    "impedance_extrapolated": Variable(
        ("driver", "frequency"),
        "1",
        "whether the impedance of a driver is that of a table, past the ends of what was measured",
    ),
    "input_limit": Variable(
        ("limit", "driver", "frequency"),
        "V",
        "highest rms voltage at a driver for a steady sine; infinite where nothing limits, missing "
        "where what it takes is not stated",
    ),
    "needed_filter": Variable(
        ("driver", "frequency"),
        "1",
        "filter that an acoustic slope needs, before it was realised as an impulse response",
    ),
    "taps": Variable(("driver", "tap"), "1", "impulse response of a computed filter"),
    "amplifier_filter": Variable(
        ("frequency",),
        "1",
        "transfer function before the amplifier of the passive crossover",
    ),
    "input_impedance": Variable(
        ("frequency",),
        "ohm",
        "impedance of all that hangs on the passive crossover, at the amplifier's terminals",
    ),
    "driver_current": Variable(
        ("driver", "frequency"),
        "A V-1",
        "current into a driver on the passive crossover per volt at the input",
    ),
    "part_voltage": Variable(
        ("part", "frequency"), "1", "voltage over a part of the crossover per volt at the input"
    ),
    "part_current": Variable(
        ("part", "frequency"),
        "A V-1",
        "current through a part of the crossover per volt at the input",
    ),
    "target": Variable(
        ("driver", "frequency"),
        "Pa",
        "sound pressure that an acoustic slope asks of a driver on the reference axis",
    ),
    "strength": Variable(
        ("driver", "frequency"),
        "Pa m",
        "pressure times distance of a driver by itself: into half space, or on the reference axis "
        "where some driver has acoustic slopes",
    ),
    "reflection": Variable(
        ("driver", *_SEAT, "path", "ear_height", "frequency"),
        "1",
        "pressure reflection factor met on the way from a driver to the seat",
    ),
    "arc_field": Variable(
        ("driver", "plane", "angle", "frequency"), "Pa s m-3", f"{_FIELD} on the arcs"
    ),
    "cone_field": Variable(
        ("driver", "frequency"),
        "Pa s m-3",
        "pressure per volume velocity of a driver's own cone on the reference axis",
    ),
    "seat_field": Variable(
        ("driver", *_SEAT, "path", "ear_height", "frequency"),
        "Pa s m-3",
        f"{_FIELD} at the seat, reflection included",
    ),
    "height_field": Variable(
        ("driver", *_SEAT, "height", "frequency"), "Pa s m-3", f"{_FIELD} over height at the seat"
    ),
    "aside_field": Variable(
        ("driver", *_SEAT, "aside", "frequency"), "Pa s m-3", f"{_FIELD} sideways of the seat"
    ),
    "arc_pressure": Variable(
        ("driver", "plane", "angle", "frequency"), "Pa", "sound pressure of each driver on the arcs"
    ),
    "seat_pressure": Variable(
        ("driver", *_SEAT, "path", "ear_height", "frequency"),
        "Pa",
        "sound pressure of each driver at the seat, by path",
    ),
    "height_pressure": Variable(
        ("driver", *_SEAT, "height", "frequency"),
        "Pa",
        "sound pressure of each driver over height",
    ),
    "aside_pressure": Variable(
        ("driver", *_SEAT, "aside", "frequency"),
        "Pa",
        "sound pressure of each driver sideways of the seat",
    ),
    "arc_error": Variable(
        ("driver", "plane", "angle", "frequency"), "dB", f"{_ERROR} of arc_field"
    ),
    "seat_error": Variable(
        ("driver", *_SEAT, "path", "ear_height", "frequency"), "dB", f"{_ERROR} of seat_field"
    ),
    "height_error": Variable(
        ("driver", *_SEAT, "height", "frequency"), "dB", f"{_ERROR} of height_field"
    ),
    "aside_error": Variable(
        ("driver", *_SEAT, "aside", "frequency"), "dB", f"{_ERROR} of aside_field"
    ),
    "arc_total": Variable(
        ("plane", "angle", "frequency"), "Pa", "sound pressure of all drivers on the arcs"
    ),
    "seat_total": Variable(
        ("surroundings", *_SEAT, "ear_height", "frequency"),
        "Pa",
        "sound pressure of all drivers at the seat, in free space and with every reflection",
    ),
    "height_total": Variable(
        (*_SEAT, "height", "frequency"),
        "Pa",
        "sound pressure of all drivers over height, no reflections",
    ),
    "aside_total": Variable(
        (*_SEAT, "aside", "frequency"),
        "Pa",
        "sound pressure of all drivers sideways of the seat, no reflections",
    ),
    "seat_position": Variable(
        (*_SEAT, "path", "ear_height", "axis"),
        "m",
        "ears, or their mirror image in the surface, in the cabinet's own coordinates",
    ),
    "height_position": Variable(
        (*_SEAT, "height", "axis"), "m", "points over height, in the cabinet's own coordinates"
    ),
    "aside_position": Variable(
        (*_SEAT, "aside", "axis"), "m", "points sideways, in the cabinet's own coordinates"
    ),
}
"""Every variable of a prediction. Pressures are rms for DRIVE_VOLTAGE at the input."""

_MAP = ("up", "right")
_SEAT_MAP = (*_SEAT, *_MAP)
PLACEMENT: dict[str, Variable] = {
    "right": Variable(("right",), "m", "centre of the driver, to the right of its face's"),
    "up": Variable(("up",), "m", "centre of the driver, above its face's"),
    "spot": Variable(("spot",), "1", "place told by itself"),
    "spot_right": Variable(("spot",), "m", "place, to the right of the face's centre"),
    "spot_up": Variable(("spot",), "m", "place, above the face's centre"),
    "face_corner_right": Variable(("face_corner",), "m", "corner of the face, flat part"),
    "face_corner_up": Variable(("face_corner",), "m", "corner of the face, flat part"),
    "zone": Variable(_MAP, "1", "whether the driver may be there"),
    "common_ripple": Variable(_MAP, "dB", "ripple common to all directions of the window"),
    "relative_ripple": Variable(
        _MAP, "dB", "largest ripple relative to the reference axis in the window"
    ),
    "side_difference": Variable(
        _MAP, "dB", "window left and right apart, rms over angles and band"
    ),
    "driver_common_ripple": Variable(
        _MAP, "dB", "ripple common to all directions, the driver alone and unfiltered in its band"
    ),
    "driver_relative_ripple": Variable(
        _MAP, "dB", "largest ripple relative to the axis, the driver alone in its band"
    ),
    "driver_side_difference": Variable(
        _MAP, "dB", "left and right apart, rms, the driver alone in its band"
    ),
    "seat_level": Variable(
        _SEAT_MAP, "dB", "mean level in the band at the seat with every reflection, re 20 µPa"
    ),
    "floor_dip": Variable(
        _SEAT_MAP, "dB", "depth of the deepest dip up to 1.5 kHz that the floor makes at the seat"
    ),
}
"""Variables and coordinates of a placement map; metrics have a twin over `spot` too."""

BUILT_CURVES: dict[str, Variable] = {
    "on_axis": Variable(("frequency",), "dB", "level on the reference axis, re 20 µPa"),
    "listening_window": Variable(("frequency",), "dB", "listening window, re 20 µPa"),
    "early_reflections": Variable(("frequency",), "dB", "early reflections, re 20 µPa"),
    "sound_power": Variable(("frequency",), "dB", "sound power as a level, re 20 µPa"),
    "estimated_in_room": Variable(("frequency",), "dB", "estimated in-room curve, re 20 µPa"),
    "sound_power_index": Variable(
        ("frequency",), "dB", "directivity index: listening window minus sound power"
    ),
    "direction_level": Variable(("direction", "frequency"), "dB", "level off the axis, re 20 µPa"),
    "driver_level": Variable(
        ("driver", "frequency"), "dB", "level of each driver on the reference axis, re 20 µPa"
    ),
    "seat_level": Variable(
        ("listener", "surroundings", "ear_height", "frequency"),
        "dB",
        "level at the seat, re 20 µPa",
    ),
    "height_level": Variable(
        ("crossover", "height"),
        "dB",
        "level over height at the crossover frequency, main seat, re 20 µPa",
    ),
    "input_impedance": Variable(
        ("frequency",), "ohm", "magnitude of the input impedance of the passive crossover"
    ),
}
"""Curves told of many builds: each over percentile too, and beside it that of the design."""

TOLERANCE: dict[str, Variable] = {
    "build": Variable(("build",), "1", "one built loudspeaker, or pair"),
    "percentile": Variable(("percentile",), "percent", "share of the builds that lie below"),
    "direction": Variable(("direction",), "1", "direction from the reference axis"),
    "listener": Variable(("listener",), "1", "seat and cabinet"),
    "crossover": Variable(("crossover",), "1", "crossover of the design"),
    "crossover_frequency": Variable(
        ("crossover",), "Hz", "predicted frequency nearest the crossover of the design"
    ),
    "spread": Variable(("spread",), "1", "what strays"),
    "spread_kind": Variable(("spread",), "1", "kind of thing that strays"),
    "spread_key": Variable(("spread",), "1", "keys of the case that stray, all by the same"),
    "spread_value": Variable(
        ("spread",), "1", "value the design has, in spread_units; of the first"
    ),
    "spread_within": Variable(
        ("spread",), "1", "how far it strays, in spread_units or as a share; see spread_shape"
    ),
    "spread_relative": Variable(("spread",), "1", "whether it strays by a share of its value"),
    "spread_units": Variable(("spread",), "1", "unit of what strays"),
    "spread_shape": Variable(
        ("spread",), "1", "normal: 95 % of the builds lie within; uniform: all of them do, evenly"
    ),
    "draw": Variable(
        ("build", "spread"), "1", "how far each thing strays, as spread_within counts"
    ),
    "reason": Variable(("build",), "1", "why a build cannot be, empty where it can"),
    "figure": Variable(("figure",), "1", "figure; those of aims by their names"),
    "figure_units": Variable(("figure",), "1", "unit of a figure"),
    "figure_long_name": Variable(("figure",), "1", "what a figure is"),
    "figure_value": Variable(("build", "figure"), "1", "figures of every build, in figure_units"),
    "design_figure": Variable(("figure",), "1", "figures of the design, in figure_units"),
    "figure_percentile": Variable(
        ("percentile", "figure"), "1", "figures below which a share of the builds lies"
    ),
    "aim": Variable(("aim",), "1", "aim"),
    "aim_at_least": Variable(
        ("aim",), "1", "what an aim asks for at least, as its figure counts; missing if nothing"
    ),
    "aim_at_most": Variable(("aim",), "1", "what it asks for at most, likewise"),
    "aim_met": Variable(
        ("build", "aim"), "1", "whether a build meets an aim: 1 met, 0 missed, missing if not known"
    ),
    "design_aim_met": Variable(("aim",), "1", "whether the design does, likewise"),
    "share_met": Variable(("aim",), "1", "share of the builds that meet an aim"),
    "share_met_low": Variable(("aim",), "1", "lower end of its 95 % interval"),
    "share_met_high": Variable(("aim",), "1", "upper end of its 95 % interval"),
    "share_known": Variable(("aim",), "1", "share of the builds of which that is known"),
    "kind": Variable(("kind",), "1", "kind of thing that strays"),
    "first_order": Variable(
        ("spread", "figure"), "1", "share of a figure's variance that a spread makes by itself"
    ),
    "total_order": Variable(
        ("spread", "figure"), "1", "share of a figure's variance that a spread has a part in"
    ),
    "kind_order": Variable(
        ("kind", "figure"), "1", "share of a figure's variance that all of a kind make together"
    ),
    "explained": Variable(
        ("figure",), "1", "share of a figure's variance that the polynomial behind indices explains"
    ),
    "index_note": Variable(("figure",), "1", "why a figure has no indices, empty where it has"),
}
"""Variables and coordinates of a study of tolerances, beside `BUILT_CURVES`."""

PLANES = ("horizontal", "vertical")
DIRECT = "direct"
"""The path without a reflection; the others bear the name of the surface they meet."""
SURROUNDINGS = ("free space", "with reflections")
AXES = ("x", "y", "z")
SPEAKERS = ("left", "right")
"""The cabinets of a mirrored pair as the listener sees them; a single one is called SINGLE."""
SINGLE = "single"
MAIN_SEAT = "main"
