"""An answer about a structure made by hand: real walls, air and boards, invented loudness."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from acoustics.case import Case, read_case
from acoustics.structure.air_bands import waves_in_bands
from acoustics.structure.air_modes import air_modes
from acoustics.structure.air_places import quiet_heights
from acoustics.structure.air_response import standing_wave_response
from acoustics.structure.cutting import cut_list
from acoustics.structure.lining_table import lining_table
from acoustics.structure.nesting import nest
from acoustics.structure.wall_effects import BraceEffect, BraceOption, Figures
from acoustics.structure.wall_modes import wall_modes
from acoustics.studies.structure.found import (
    Advice,
    AtLevel,
    Closest,
    StructureFound,
    Volumes,
    WallGain,
    WallSound,
    WaveGain,
)
from acoustics.studies.structure.sound import ALL, loudness

TEXT = """
title = "{title}"
[cabinet]
{cabinet}
base_height = "600 mm"
wall_thickness = "15 mm"
[drivers."{driver}"]
piston_diameter = "60 mm"
frame_diameter = "90 mm"
cutout_diameter = "70 mm"
position = ["0 mm", "40 mm"]
sensitivity = 86.0
mass = "0.5 kg"
[seat]
distance = "2.5 m"
ear_heights = ["0.9 m"]
[structure]
material = "birch plywood"
{structure}
[[structure.braces]]
name = "side bar"
kind = "bar"
walls = ["left", "right"]
at = "-70 mm"
width = "15 mm"
height = "30 mm"
[[structure.braces]]
name = "ring"
kind = "shelf"
at = "-25 mm"
open = 0.5
[[structure.linings]]
walls = "all but front"
material = "mineral wool"
thickness = "20 mm"
"""

BOX = 'width = "160 mm"\nheight = "260 mm"\ndepth = "200 mm"'
PYRAMID = (
    'shape = "pyramid"\nwidth = "200 mm"\nheight = "300 mm"\ndepth = "180 mm"\n'
    'front_width = "150 mm"\nfront_height = "260 mm"'
)

FREQUENCY = np.geomspace(50.0, 1500.0, 60)


def small_case(
    folder: Path,
    *,
    title: str = "Small one",
    driver: str = "wide",
    cabinet: str = BOX,
    structure: str = "",
) -> Case:
    """A closed cabinet with one driver, a bar, a ring and a lining."""
    (folder / "case.toml").write_text(
        TEXT.format(title=title, driver=driver, cabinet=cabinet, structure=structure),
        encoding="utf-8",
    )
    return read_case(folder)


def hand_made(case: Case, *, level: float = -24.0, **changes: Any) -> StructureFound:
    """An answer about a case in which all walls together come as close as `level` dB at 400 Hz."""
    structure = case.structure
    assert structure is not None
    walls = wall_modes(case, structure)
    names = tuple(modes.wall.name for modes in walls)
    bump = np.exp(-((np.log(FREQUENCY / 400.0) / 0.3) ** 2))
    levels = np.array(
        [level - 30.0 - 3.0 * number + 26.0 * bump for number in range(len(names))]
        + [level - 30.0 + 30.0 * bump]
    )
    air = air_modes(case)
    cut = cut_list(case)
    driver = case.drivers[0].name
    values: dict[str, Any] = {
        "structure": structure,
        "assumed": False,
        "walls": walls,
        "brace_effects": (_effect("side bar", "left"), _effect("side bar", "right")),
        "brace_options": {
            "left": (
                BraceOption("lengthwise", (), (_effect("lengthwise bar", "left"),), (driver,)),
                BraceOption("strut", (), (), (driver,)),
            )
        },
        "responses": (),
        "excitation": None,
        "sound": _sound(names, levels),
        "closest": (
            Closest(names[0], 400.0, level - 4.0, level - 2.0, 401.0, "quiet"),
            Closest(ALL, 400.0, level, level + 2.0, 401.0, loudness(level)),
        ),
        "at_level": AtLevel(90.0, 12.6, 13.0, 55.0, 4e-6, names[0], 80.0),
        "air": air,
        "air_response": standing_wave_response(case, None, FREQUENCY),
        "air_bare": standing_wave_response(case, None, FREQUENCY, bare=True),
        "linings": lining_table(case, modes=air),
        "bands": waves_in_bands(air.frequency, {driver: (0.0, 900.0)}),
        "quiet_heights": (quiet_heights(case, air, driver),),
        "air_left_out": "",
        "proposal": (advice(names[0]),),
        "proposed": structure,
        "sound_after": _sound(names, levels - 8.0),
        "gains": (WallGain(names[0], -8.0, (level - 4.0, level - 12.0), (400.0, 700.0)),),
        "cut_list": cut,
        "sheets": nest(cut.boards, structure.sheet),
        "cutting_left_out": "",
        "volumes": (Volumes("main", 5.2e-3, (("braces", 0.2e-3),), 5.0e-3, 4.9e-3),),
        "notes": ("an invented note.",),
    }
    return StructureFound(**{**values, **changes})


def advice(wall: str, **changes: Any) -> Advice:
    """One thing to change."""
    values: dict[str, Any] = {
        "kind": "brace",
        "what": f"a bar lengthwise on the {wall}",
        "where": "12 mm off the middle, from end to end",
        "why": "it moves the mode that sounds most out of the band",
        "practice": "practice sets bars off the middle too",
        "walls": (wall,),
        "gains": (WallGain(wall, -8.0, (-28.0, -36.0), (400.0, 700.0)),),
        "waves": (WaveGain("0 1 0", 650.0, 9.0),),
        "volume": 1e-4,
        "mass": 0.12,
        "toml": '[[structure.braces]]\nname = "new bar"\nkind = "bar"\nwalls = ["left"]',
    }
    return Advice(**{**values, **changes})


def _sound(names: tuple[str, ...], levels: np.ndarray) -> WallSound:
    flat = np.ones((len(names), FREQUENCY.size), dtype=complex)
    return WallSound(FREQUENCY, names, flat, levels, flat, flat[0], levels, levels + 1.0, 2.0)


def _effect(brace: str, wall: str) -> BraceEffect:
    return BraceEffect(
        brace, wall, Figures(400.0, 400.0, 1.0, 1.0), Figures(640.0, 640.0, 0.5, 0.25)
    )
