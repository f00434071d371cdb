"""How walls move and how loud they are beside the drivers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE
from acoustics.structure.wall_forced import WallResponse
from acoustics.studies.structure.found import AtLevel, Closest, Excitation, Loudness, WallSound
from acoustics.studies.structure.shaking import Played
from acoustics.studies.structure.wall_fields import WallFields

LOWEST, PER_OCTAVE = 50.0, 60
"""Hz from which walls are told, and frequencies for that: several to the width of a resonance with
a loss factor of 0.02"""

THIRD = 2 ** (1 / 6)
"""half of the third of an octave over which closeness is judged, as a ratio"""

PLAYING = 15.0
"""dB below the strongest third of an octave down to which drivers count as playing"""

HEARD, QUIET = -10.0, -20.0
"""dB relative to the drivers in a third of an octave: above the first a wall is heard as a sound of
its own, below the second it hides behind them (common practice, no source; thresholds depend on the
Q of the resonance and on the music)."""

ALL = "all walls"


def frequencies(reach: float) -> np.ndarray:
    """Frequencies at which walls are told, Hz, up to `reach`."""
    count = max(2, int(np.ceil(PER_OCTAVE * np.log2(reach / LOWEST))) + 1)
    return np.geomspace(LOWEST, reach, count)


def velocities(response: WallResponse, shaken: Excitation) -> tuple[np.ndarray, np.ndarray]:
    """Velocity of each patch, m/s, (patch, frequency), and volume velocity, m³/s, of a wall."""
    pressure = shaken.wall_pressure[shaken.walls.index(response.wall.name)]
    patches = response.patch_per_pressure * pressure
    volume = response.per_pressure * pressure
    for number, name in enumerate(response.drivers):
        if name in shaken.drivers:
            force = shaken.force[shaken.drivers.index(name)]
            patches = patches + response.patch_per_force[number] * force
            volume = volume + response.per_force[number] * force
    return patches, volume


def wall_sound(
    case: Case,
    responses: Sequence[WallResponse],
    shaken: Excitation,
    heard: WallFields,
    playing: Played,
) -> WallSound:
    """How loud each wall is, and all of them, beside all drivers.

    Args:
        case: the design.
        responses: of the walls, at the frequencies of all else.
        shaken: what they answer.
        heard: what is heard of them and of the drivers.
        playing: the drivers.
    """
    moved = [velocities(response, shaken) for response in responses]
    volume = np.array([each for _, each in moved])
    pressures = np.array(
        [
            np.einsum("pf,prf->rf", each.patch_area[:, None] * patches, heard.walls[each.wall.name])
            for each, (patches, _) in zip(responses, moved, strict=True)
        ]
    )
    drivers = np.einsum("xf,xrf->rf", playing.sent, heard.radiators)
    every = np.concatenate([pressures, pressures.sum(axis=0, keepdims=True)])
    volumes = np.concatenate([volume, volume.sum(axis=0, keepdims=True)])
    power = np.einsum("r,wrf->wf", heard.weights, np.abs(every) ** 2)
    drivers_power = heard.weights @ np.abs(drivers) ** 2
    return WallSound(
        frequency=heard.frequency,
        walls=tuple(response.wall.name for response in responses),
        volume=volume,
        volume_level=_level(np.abs(volumes / shaken.drivers_volume) ** 2),
        pressure=pressures[:, 0],
        drivers_pressure=drivers[0],
        axis_level=_level(np.abs(every[:, 0] / drivers[0]) ** 2),
        power_level=_level(power / drivers_power),
        distance=case.reference.distance,
    )


def _level(square: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 10 * np.log10(np.maximum(square, 1e-30))
    return answer


def closest_of(sound: WallSound) -> tuple[Closest, ...]:
    """Where each wall comes closest to the drivers, the loudest first, all walls together last."""
    rows = list(_closest(sound))
    return (*sorted(rows[:-1], key=lambda row: -row.level), rows[-1])


def _closest(sound: WallSound) -> Iterator[Closest]:
    frequency = sound.frequency
    inside = np.abs(np.log(frequency[:, None] / frequency)) <= np.log(THIRD)
    means = inside / inside.sum(axis=1, keepdims=True)
    drivers = np.abs(sound.drivers_pressure) ** 2
    smooth = means @ drivers
    counts = smooth >= smooth.max() * 10 ** (-PLAYING / 10)
    # Squares are weighted by the drivers', so that a dip of theirs does not make a wall loud.
    for row, wall in enumerate((*sound.walls, ALL)):
        axis, power = (
            means @ (drivers * 10 ** (levels[row] / 10)) / smooth
            for levels in (sound.axis_level, sound.power_level)
        )
        level = np.where(counts, _level(np.maximum(axis, power)), -np.inf)
        at = int(level.argmax())
        single = np.maximum(sound.axis_level[row], sound.power_level[row])
        peak = int(np.where(inside[at], single, -np.inf).argmax())
        yield Closest(
            wall=wall,
            frequency=float(frequency[at]),
            level=float(level[at]),
            peak=float(single[peak]),
            peak_frequency=float(frequency[peak]),
            loudness=loudness(float(level[at])),
        )


def loudness(level: float) -> Loudness:
    """What practice thinks of a wall so many dB beside the drivers in a third of an octave."""
    if level > HEARD:
        return "heard"
    return "heard at most" if level > QUIET else "quiet"


def at_level(
    responses: Sequence[WallResponse], shaken: Excitation, sound: WallSound, level: float | None
) -> AtLevel:
    """What it comes to at a level of the drivers (dB at 1 m), or at the voltage of a prediction."""
    playing = np.abs(sound.drivers_pressure) * sound.distance
    own = float(10 * np.log10(np.mean(playing**2) / REFERENCE_PRESSURE**2))
    gain = 0.0 if level is None else level - own
    times = 10 ** (gain / 20)
    turn = 2 * np.pi * shaken.frequency
    farthest = (0.0, "", 0.0)
    for response in responses:
        patches, _ = velocities(response, shaken)
        moved = np.sqrt(2) * np.abs(patches) / turn
        at = int(moved.max(axis=0).argmax())
        farthest = max(
            farthest, (float(moved.max()), response.wall.name, float(shaken.frequency[at]))
        )
    return AtLevel(
        level=own + gain,
        voltage=DRIVE_VOLTAGE * times,
        gain=gain,
        box_pressure=times * float(np.abs(shaken.box_pressure).max(initial=0.0)),
        displacement=times * farthest[0],
        wall=farthest[1],
        frequency=farthest[2],
    )
