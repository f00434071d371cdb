"""The answer to what a cabinet does besides what its drivers do, and what to change about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.case.design.structure_model import Brace, Lining, Structure
from acoustics.structure.air_bands import WavesInBand
from acoustics.structure.air_modes import AirModes
from acoustics.structure.air_places import QuietHeights
from acoustics.structure.air_response import AirResponse
from acoustics.structure.cutting import CutList
from acoustics.structure.lining_table import LiningTable
from acoustics.structure.nest_model import SheetPlan
from acoustics.structure.wall_effects import BraceEffect, BraceOption
from acoustics.structure.wall_forced import WallResponse
from acoustics.structure.wall_modes import WallModes


@dataclass(frozen=True)
class Excitation:
    """What shakes the walls, all drivers through their filters; rms, complex, exp(+jωt).

    Everything is for the input voltage of a prediction, 2.83 V.

    Attributes:
        frequency: Hz, shape (frequency,).
        enclosures: names of those whose pressure is known.
        box_pressure: even pressure in each, Pa, shape (enclosure, frequency).
        walls: names of the walls that bend, in the order of all that follows.
        wall_pressure: mean pressure on the inside of each wall, the standing waves of the air in
            it where they are known, Pa, shape (wall, frequency).
        drivers: names of the drivers whose force is known.
        force: of each on its wall, outward along the wall, N, shape (driver, frequency).
        drivers_volume: volume velocity of all drivers, ports and passive radiators together, m³/s,
            shape (frequency,).
    """

    frequency: np.ndarray
    enclosures: tuple[str, ...]
    box_pressure: np.ndarray
    walls: tuple[str, ...]
    wall_pressure: np.ndarray
    drivers: tuple[str, ...]
    force: np.ndarray
    drivers_volume: np.ndarray


@dataclass(frozen=True)
class WallSound:
    """How walls move and how loud they are, at 2.83 V; the last row of each level is all of them.

    Levels in dB are relative to what all drivers do at the same frequency: 0 is as loud as they.
    `pressure` and `drivers_pressure` are on the reference axis, Pa rms, complex.

    Attributes:
        frequency: Hz, shape (frequency,).
        walls: names, shape (wall,).
        volume: volume velocity of each, m³/s, complex, shape (wall, frequency).
        volume_level: that over the drivers', dB, shape (wall + 1, frequency).
        pressure: of each on the reference axis, shape (wall, frequency).
        drivers_pressure: of all drivers there, shape (frequency,).
        axis_level: dB, shape (wall + 1, frequency).
        power_level: power sent into all directions over the drivers', dB, shape
            (wall + 1, frequency).
        distance: of the reference axis, m.
    """

    frequency: np.ndarray
    walls: tuple[str, ...]
    volume: np.ndarray
    volume_level: np.ndarray
    pressure: np.ndarray
    drivers_pressure: np.ndarray
    axis_level: np.ndarray
    power_level: np.ndarray
    distance: float


Loudness = Literal["quiet", "heard at most", "heard"]


@dataclass(frozen=True)
class Closest:
    """Where a wall, or "all walls", comes closest to the drivers.

    `level` (dB relative to them) is the higher of that on the reference axis and of the power, over
    a third of an octave about `frequency` (Hz); `peak` is the highest at a single frequency there,
    `peak_frequency`. `loudness` says what practice thinks of it.
    """

    wall: str
    frequency: float
    level: float
    peak: float
    peak_frequency: float
    loudness: Loudness


@dataclass(frozen=True)
class AtLevel:
    """What it comes to at the level that was asked about, or at 2.83 V.

    `level`: dB at 1 m of the drivers, the mean over the frequencies told, on the reference axis;
    `voltage`: rms at the input; `gain`: dB above 2.83 V. `box_pressure`: highest in any
    enclosure, Pa rms; `displacement`: highest of any patch of a wall, m peak, and the
    `wall` and the `frequency` (Hz) of it.
    """

    level: float
    voltage: float
    gain: float
    box_pressure: float
    displacement: float
    wall: str
    frequency: float


AdviceKind = Literal[
    "brace", "thicker wall", "remove brace", "lining", "fill", "move driver", "nothing"
]


@dataclass(frozen=True)
class WallGain:
    """What a proposal as a whole does to a wall, computed with all of it in.

    `volume`: change of its volume velocity over the drivers', dB, the mean of squares by the
    octave over the frequencies told. `closest`: level where it comes closest, before and after, dB.
    `lowest`: its lowest mode, Hz, before and after.
    """

    wall: str
    volume: float
    closest: tuple[float, float]
    lowest: tuple[float, float]


@dataclass(frozen=True)
class WaveGain:
    """By how much the peak of a standing wave falls (dB, positive) with the proposal."""

    wave: str
    frequency: float
    drop: float


@dataclass(frozen=True)
class Advice:
    """One thing to change before the saw.

    Attributes:
        kind: of change.
        what: in a few words.
        where: where in the cabinet, mm in words.
        why: what the calculation says, in words.
        practice: what common practice holds, and where it differs.
        walls: names of the walls that it is on.
        gains: of each wall it holds, by the whole proposal.
        waves: of standing waves, for a lining or fill.
        volume: of air that it takes, m³; negative if it gives some back.
        mass: of the wood or lining, kg.
        toml: what to write into the case file for it; "" where nothing is to be added.
        braces: to add, or to take out.
        lining: to add.
    """

    kind: AdviceKind
    what: str
    where: str
    why: str
    practice: str
    walls: tuple[str, ...] = ()
    gains: tuple[WallGain, ...] = ()
    waves: tuple[WaveGain, ...] = ()
    volume: float = 0.0
    mass: float = 0.0
    toml: str = ""
    braces: tuple[Brace, ...] = ()
    lining: Lining | None = None


@dataclass(frozen=True)
class Volumes:
    """Of an enclosure, m³: what the walls enclose, what takes of it, and what is left."""

    enclosure: str
    gross: float
    taken: tuple[tuple[str, float], ...]
    net: float
    net_after: float
    """with the proposal"""


@dataclass(frozen=True)
class StructureFound:
    """What a cabinet does besides what its drivers do, and what should be changed.

    Attributes:
        structure: that it is about: the case's own, or a usual one.
        assumed: whether it is a usual one, because the case states none.
        walls: modes of every wall.
        brace_effects: what each brace that is there does.
        brace_options: what others would do, by wall; of walls that are worth it.
        responses: of every wall to pressure and forces, in patches.
        excitation: what shakes them; None where nothing can be told of it.
        sound: how loud walls are beside the drivers; None likewise.
        closest: where each wall comes closest to the drivers, the loudest first, "all walls" last.
        at_level: in figures at the level that was asked about; None likewise.
        air: standing waves of the air inside; None where `air_left_out` says why.
        air_response: what drivers and ports excite and hear of them, with what damps them.
        air_bare: the same with neither lining nor fill.
        linings: what lining does about them.
        bands: which of them fall between the corners of the crossover of which driver.
        quiet_heights: where drivers leave them alone.
        air_left_out: why nothing is told of the air; "" if it is.
        proposal: what to change, the most useful first; one of the kind "nothing" if nothing.
        proposed: the structure with the proposal; the present one if nothing is to be changed.
        sound_after: as `sound`, with the proposal; None where nothing changes.
        gains: of every wall by the proposal.
        cut_list: boards to cut, as the case has it.
        sheets: how they lie on sheets; empty where `cutting_left_out` says why.
        cutting_left_out: why a board or a sheet plan is missing; "" if none is.
        volumes: of every enclosure.
        notes: what is left out, assumed, or should be known, in words.
    """

    structure: Structure
    assumed: bool
    walls: tuple[WallModes, ...]
    brace_effects: tuple[BraceEffect, ...]
    brace_options: dict[str, tuple[BraceOption, ...]]
    responses: tuple[WallResponse, ...]
    excitation: Excitation | None
    sound: WallSound | None
    closest: tuple[Closest, ...]
    at_level: AtLevel | None
    air: AirModes | None
    air_response: AirResponse | None
    air_bare: AirResponse | None
    linings: LiningTable | None
    bands: tuple[WavesInBand, ...]
    quiet_heights: tuple[QuietHeights, ...]
    air_left_out: str
    proposal: tuple[Advice, ...]
    proposed: Structure
    sound_after: WallSound | None
    gains: tuple[WallGain, ...]
    cut_list: CutList | None
    sheets: tuple[SheetPlan, ...]
    cutting_left_out: str
    volumes: tuple[Volumes, ...]
    notes: tuple[str, ...]
