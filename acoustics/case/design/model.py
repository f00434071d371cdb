"""A checked design: frozen objects in SI units. Nothing here reads text or knows acoustics."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from acoustics.cabinet.profile import FLAT, Profile
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Enclosure
from acoustics.case.design.files_model import CaseText
from acoustics.case.design.fit_model import Fit
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.measurement_model import Measurement
from acoustics.case.design.network_model import Element
from acoustics.case.design.place_model import Place
from acoustics.case.design.section_model import Alignment as Alignment
from acoustics.case.design.section_model import AllPass as AllPass
from acoustics.case.design.section_model import Biquad as Biquad
from acoustics.case.design.section_model import Fir as Fir
from acoustics.case.design.section_model import ParametricSection as ParametricSection
from acoustics.case.design.section_model import PassFilter as PassFilter
from acoustics.case.design.section_model import Processor as Processor
from acoustics.case.design.section_model import Section as Section
from acoustics.case.design.structure_model import Structure
from acoustics.case.design.sweep_model import Sweep
from acoustics.case.design.tolerance_model import Tolerance
from acoustics.case.design.verification_model import Verification
from acoustics.conventions import Air
from acoustics.driver import NO_COIL, SmallSignal, VoiceCoil

CabinetShape = Literal["box", "sloped front", "pyramid", "plate", "corners"]


@dataclass(frozen=True)
class Chamfer:
    """An edge cut off by a plane; lengths in metres.

    `edge` names the two faces that meet in it ("front left"), `setbacks` how far the cut reaches
    into each, in that order; `far_setbacks` likewise at the top, right or back end of the edge if
    it tapers.
    """

    edge: str
    setbacks: tuple[float, float]
    far_setbacks: tuple[float, float] | None = None


@dataclass(frozen=True)
class Rounding:
    """A rounded edge and its radius (m)."""

    edge: str
    radius: float


@dataclass(frozen=True)
class Cabinet:
    """The outside of a cabinet; the front face's centre is the origin. Lengths in metres.

    `width`, `height` and `depth` are those of the box round it; a plate's depth is its thickness,
    0 for none. `base_height` is the height of the cabinet's base above the floor, `bottom` the
    base's y coordinate (None: half the height below the origin).

    Edges may be cut (`chamfers`) or rounded (`rounds`) on all but plates without thickness.
    sloped front: the front leans back by `lean` (degrees) about its lower edge or its middle
    (`hinge`), where the depth is counted. pyramid: width and height are the back face's, `front`
    those of the front face, `shift` how far its centre lies to the right of and above the back's.
    plate: rectangular unless it has an `outline`, corners (x, y) in order. corners: any convex
    body. `wall_thickness` is None if it is not stated.
    """

    width: float
    height: float
    depth: float
    base_height: float
    shape: CabinetShape = "box"
    chamfers: tuple[Chamfer, ...] = ()
    rounds: tuple[Rounding, ...] = ()
    lean: float = 0.0
    hinge: Literal["bottom", "middle"] = "bottom"
    front: tuple[float, float] | None = None
    shift: tuple[float, float] = (0.0, 0.0)
    corners: tuple[tuple[float, float, float], ...] = ()
    outline: tuple[tuple[float, float], ...] = ()
    bottom: float | None = None
    wall_thickness: float | None = None

    @property
    def floor_level(self) -> float:
        """The floor's y coordinate (m)."""
        bottom = -self.height / 2 if self.bottom is None else self.bottom
        return bottom - self.base_height


@dataclass(frozen=True)
class Driver:
    """A driver: a piston on a face of the cabinet, and what moves it. Lengths in metres.

    `face` is the face's name: "front", "top", …; that of a chamfer, "front left chamfer"; or, where
    neither fits, how far it is turned from the front, "face 30° left, 10° up". `position` is the
    piston's centre on it, (right, up) from the face's centre as one sees it from outside. On a
    plate `both_sides` may radiate, in opposite phase. `profile` is the shape of the cone or dome.
    `acoustic_depth` is how far the acoustic centre lies behind the face (positive away from the
    listener), a pure delay. `sensitivity` is the level in dB at 1 m for 2.83 V into half space.
    `breakup` (Hz) is where the cone or dome is known to stop moving as one; None if not stated.

    Where `small_signal` is there, the volume velocity follows from it and the enclosure, and the
    sensitivity is only a statement. Where the driver was `measured` on this cabinet, its source
    follows from that, as far as the table holds; where nothing else is known of it, `sensitivity`
    is the median of what was measured, brought to 1 m. The rest is None if not stated:
    `most_displacement` (peak, one direction), `power` (W, at `rated_impedance`, ohm),
    `cutout_diameter`, `mounting_depth`, `displaced_volume` (m³, behind the wall), `mass` (kg),
    `price`, `impedance` as measured. `model` is what its driver file calls it.
    """

    name: str
    piston_diameter: float
    frame_diameter: float
    position: tuple[float, float]
    acoustic_depth: float
    sensitivity: float
    inverted: bool
    breakup: float | None = None
    face: str = "front"
    both_sides: bool = False
    profile: Profile = FLAT
    model: str = ""
    small_signal: SmallSignal | None = None
    voice_coil: VoiceCoil = NO_COIL
    most_displacement: float | None = None
    power: float | None = None
    rated_impedance: float | None = None
    cutout_diameter: float | None = None
    mounting_depth: float | None = None
    displaced_volume: float | None = None
    mass: float | None = None
    price: float | None = None
    impedance: MeasuredImpedance | None = None
    measured: MeasuredResponse | None = None

    def low_end_known(self, frequency: float) -> bool:
        """Whether it is known how the driver falls toward low frequencies, down to one (Hz)."""
        heard = self.measured is not None and self.measured.band[0] <= frequency
        return heard or self.small_signal is not None

    def trusted_to(self, speed_of_sound: float) -> float:
        """Frequency (Hz) up to which the flat piston stands for the driver.

        The lower of its breakup and of ka = `MOST_KA`.
        """
        return trusted_to(self.piston_diameter, self.breakup, speed_of_sound)


MOST_KA = 3.0
"""Above this product of wavenumber and piston radius the shape and the bending of cones and domes
decide what goes off axis (common practice, no source)."""


def trusted_to(piston_diameter: float, breakup: float | None, speed_of_sound: float) -> float:
    """As `Driver.trusted_to`, from the diameter (m) and the breakup (Hz) alone."""
    limit = MOST_KA * speed_of_sound / (math.pi * piston_diameter)
    return limit if breakup is None else min(limit, breakup)


Slopes = Literal["electrical", "acoustic", "passive"]

MOST_GAIN = 6.0
"""dB: how much a computed filter may amplify unless the case says otherwise."""


@dataclass(frozen=True)
class Branch:
    """What the crossover does to one driver: sections in cascade, gain (dB), delay (s).

    With `electrical` slopes the sections are the filter. With `acoustic` slopes they are what the
    driver's pressure on the reference axis is to follow, about `level` (dB at 1 m for 2.83 V); the
    filter is computed, amplifies by at most `most_gain` (dB), and `gain` is not used. With
    `passive` ones the filter is a ladder of `elements` from the amplifier to the driver, which all
    passive branches hang on together, and its polarity is all else that counts.
    """

    driver: str
    sections: tuple[Section, ...] = ()
    gain: float = 0.0
    delay: float = 0.0
    inverted: bool = False
    slopes: Slopes = "electrical"
    level: float | None = None
    most_gain: float = MOST_GAIN
    elements: tuple[Element, ...] = ()


@dataclass(frozen=True)
class ReferenceAxis:
    """The line through `point` (x and y of a point of the front face, m) along +z.

    `distance` in metres, from the plane z = 0.
    """

    point: tuple[float, float]
    distance: float


@dataclass(frozen=True)
class Placement:
    """How the cabinet or the pair stands in the room.

    A pair's front-face centres are `spacing` (m) apart; the left cabinet is as drawn, the right
    one its mirror image. Each is turned about the vertical through the centre of its front face by
    `toe_in` (degrees), inward for a pair, to the right for a single cabinet.
    """

    pair: bool = False
    spacing: float = 0.0
    toe_in: float = 0.0


@dataclass(frozen=True)
class SeatPlace:
    """One seat: `distance` ahead of the front-face centres and `aside` of the middle (m).

    The middle is that between the cabinets of a pair, or the single cabinet; to the right of it
    as the listener sees it counts positive.
    """

    name: str
    distance: float
    aside: float = 0.0


@dataclass(frozen=True)
class Seat:
    """Where people sit: the main seat first. `ear_heights` are metres above the floor."""

    places: tuple[SeatPlace, ...]
    ear_heights: tuple[float, ...]

    @property
    def main(self) -> SeatPlace:
        """The seat by which a design is judged."""
        return self.places[0]


@dataclass(frozen=True)
class Absorber:
    """A porous layer on a hard backing: `thickness` (m), static `flow_resistivity` (Pa s/m²)."""

    thickness: float
    flow_resistivity: float


SurfaceName = Literal["floor", "ceiling", "front wall", "rear wall", "left wall", "right wall"]


@dataclass(frozen=True)
class Surface:
    """A plane that reflects, with a pressure reflection factor (1: hard) or an absorber.

    `position` in metres: 0 for the floor; above it for the ceiling; behind the front-face centres
    for the front wall and ahead of them for the rear wall; from the middle for the side walls.
    A hard floor on which the cabinet stands may mirror it (`mirrors_cabinet`): the cabinet and its
    image are then solved as one body.
    """

    name: SurfaceName
    position: float
    reflection: float = 1.0
    absorber: Absorber | None = None
    mirrors_cabinet: bool = False


Measure = Literal["ripple", "tilt", "level", "beamwidth", "floor dip", "lobe window"]


BAND = (300.0, 10_000.0)
"""Hz: over which a design is judged unless an aim says otherwise."""

SMOOTHING = 6.0
"""Likewise the smoothing: 1/6 octave."""


@dataclass(frozen=True)
class Aim:
    """A figure the design is held against.

    `measure` at `where` over `band` (Hz), between `at_least` and `at_most` (dB, dB per octave,
    degrees or metres, as the measure has it). `smoothing` is the fraction's denominator
    (6: 1/6 octave). Band and smoothing are None where the measure has none.
    """

    name: str
    measure: Measure
    where: Literal["reference axis", "listening window", "seat"]
    band: tuple[float, float] | None
    smoothing: float | None
    at_least: float | None
    at_most: float | None


@dataclass(frozen=True)
class FrequencyGrid:
    """Frequencies 1000·2^(n/per_octave) Hz between `lowest` and `highest` (Hz)."""

    lowest: float = 20.0
    highest: float = 20_000.0
    per_octave: int = 24

    def values(self) -> np.ndarray:
        """The frequencies, ascending, shape (frequency,), Hz."""
        first = int(np.ceil(self.per_octave * np.log2(self.lowest / 1000.0) - 1e-9))
        last = int(np.floor(self.per_octave * np.log2(self.highest / 1000.0) + 1e-9))
        return 1000.0 * 2.0 ** (np.arange(first, last + 1) / self.per_octave)


@dataclass(frozen=True)
class Case:
    """A complete design, checked.

    `digest` is a SHA-256 of what a prediction rests on: all but title, note, aims, brief, fit,
    structure, prices, sweep, place, tolerance, verification, memory, warnings and the file's path
    and layout. `warnings` tell what does not quite fit together, each with file, line and key.
    `measured_in` is the design in which drivers were measured, where this one is a variation of it
    that moves or changes what was measured; None: this one. `text` is what it was read from,
    without what was replaced in the object since.
    """

    title: str
    note: str
    path: str
    digest: str
    temperature: float
    air: Air
    cabinet: Cabinet
    drivers: tuple[Driver, ...]
    crossover: tuple[Branch, ...]
    reference: ReferenceAxis
    placement: Placement
    seat: Seat
    surfaces: tuple[Surface, ...]
    aims: tuple[Aim, ...]
    frequencies: FrequencyGrid
    arc_step: float
    """degrees between the receivers of an arc; divides 10"""
    accuracy: float
    """dB asked of the field solver"""
    memory: float
    """bytes that its tables may take"""
    sweep: Sweep | None = None
    enclosures: tuple[Enclosure, ...] = ()
    amplifier: Amplifier | None = None
    processor: Processor | None = None
    brief: Brief | None = None
    fit: Fit | None = None
    measurement: Measurement | None = None
    structure: Structure | None = None
    warnings: tuple[str, ...] = ()
    measured_in: Case | None = None
    place: Place | None = None
    tolerance: Tolerance | None = None
    verification: Verification | None = None
    text: CaseText | None = field(default=None, compare=False, repr=False)

    def driver(self, name: str) -> Driver:
        """The driver called `name`."""
        return next(driver for driver in self.drivers if driver.name == name)

    def is_passive(self, driver: str) -> bool:
        """Whether a driver hangs on the passive crossover."""
        return any(each.driver == driver and each.slopes == "passive" for each in self.crossover)

    @property
    def sampling_rate(self) -> float | None:
        """Of the processor, Hz; None where filters are analogue."""
        return None if self.processor is None else self.processor.sampling_rate

    @property
    def floor(self) -> Surface | None:
        """The floor, if it reflects."""
        return next((surface for surface in self.surfaces if surface.name == "floor"), None)
