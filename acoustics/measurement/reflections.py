"""When the first reflections come: by geometry, and as the impulse shows them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.signal import hilbert

from acoustics.case.design.model import Surface, SurfaceName
from acoustics.case.text.phrases import choice
from acoustics.conventions import RoundoverError
from acoustics.measurement.impulse import Impulse
from acoustics.room.images import PLANES, mirrored

WIDTH = 0.2e-3
"""s, over which the envelope is averaged."""

RISE = 4.0
"""dB above what the envelope had fallen to: a reflection."""

PEAK = 1e-3
"""s after it has risen: where its peak is looked for."""

OUT_OF_NOISE = 10.0
"""dB above the noise: worth looking at."""

NEAR = 0.3e-3
"""s: a reflection this close to where geometry has one is that one."""


def first_reflection(
    distance: float,
    source_height: float,
    microphone_height: float,
    surfaces: Mapping[SurfaceName, float],
) -> dict[SurfaceName, float]:
    """How much longer the way over each surface is than the direct one, nearest first.

    Image method: the way over a plane is as long as the straight line to the microphone's image.

    Args:
        distance: from source to microphone in a straight line, m.
        source_height: above the floor, m.
        microphone_height: above the floor, m.
        surfaces: distance of each, m: `floor` 0, `ceiling` its height, `left wall` and `right wall`
            from the line between source and microphone, which runs parallel to them, `front wall`
            behind the source and `rear wall` behind the microphone.

    Returns:
        Extra path of each surface, m, ascending; over the speed of sound it is the time from the
        arrival to the reflection.
    """
    level = distance**2 - (source_height - microphone_height) ** 2
    if not (distance > 0 and level >= 0):
        raise RoundoverError(
            f"a microphone {distance:g} m from the source cannot be "
            f"{abs(source_height - microphone_height):g} m above or below it; give the distance in "
            "a straight line"
        )
    along = math.sqrt(level)
    source = np.array([0.0, source_height, 0.0])
    microphone = np.array([0.0, microphone_height, along])
    extra: dict[SurfaceName, float] = {}
    for name, away in surfaces.items():
        if name not in PLANES:
            raise RoundoverError(f"{name!r} is no surface; {choice(PLANES, name)}")
        position = along + away if name == "rear wall" else away
        axis, side = PLANES[name]
        lowest = min(source_height, microphone_height)
        highest = max(side * source[axis], side * microphone[axis])
        if lowest < position if name == "floor" else highest > position:
            raise RoundoverError(
                f"source or microphone lies beyond the {name} at {away:g} m; check the heights and "
                "distances"
            )
        image = mirrored(microphone, Surface(name, position))
        extra[name] = float(np.linalg.norm(image - source)) - distance
    return dict(sorted(extra.items(), key=lambda item: item[1]))


@dataclass(frozen=True)
class Visible:
    """What looks like the first reflection.

    Attributes:
        time: when it arrives, s, on the impulse's time axis.
        rise: by how much it stands above what the decay had come to, dB.
        level: of its peak over that of the direct sound, dB.
    """

    time: float
    rise: float
    level: float


def visible_reflection(
    impulse: Impulse, arrival: float, noise: float = 0.0, *, least: float = -math.inf
) -> Visible | None:
    """First place where the envelope of the impulse rises again out of its decay: a hint only.

    The envelope is the power of the analytic signal averaged over 0.2 ms. A driver that rings can
    look like a reflection, and a weak or early one hides in the decay; hold it against geometry.

    Args:
        impulse: not gated.
        arrival: of the direct sound, s, on its time axis.
        noise: rms of the samples.
        least: dB of the peak over that of the direct sound: weaker ones, such as the cabinet's own
            edges make, are passed over.

    Returns:
        The reflection, or None where none is seen.
    """
    width = max(1, round(WIDTH * impulse.sampling_rate))
    power = np.abs(hilbert(impulse.samples)) ** 2
    envelope = np.convolve(power, np.full(width, 1 / width), mode="same")
    first = max(0, round((arrival - impulse.start) * impulse.sampling_rate))
    envelope = np.maximum(envelope[first:], np.finfo(float).tiny)
    if envelope.size < 2 * width:
        return None
    top = int(np.argmax(envelope))
    decibel = 10 * np.log10(envelope / envelope[top])
    floor = 10 * math.log10(2 * noise**2 / envelope[top]) if noise > 0 else -math.inf
    after = decibel[top:]
    lowest = np.minimum.accumulate(after)
    seen = np.flatnonzero((after - lowest >= RISE) & (after >= floor + OUT_OF_NOISE))
    for risen in seen:
        # A reflection is much like the direct sound, so it is as late as its peak is after that's.
        near = after[risen:][: round(PEAK * impulse.sampling_rate) + 1]
        peak = risen + int(np.argmax(near))
        still_rising = near[-1] == after[peak] and peak + 1 < after.size
        if after[peak] >= least and not still_rising:
            time = float(arrival + peak / impulse.sampling_rate)
            return Visible(time, float(after[peak] - lowest[peak]), float(after[peak]))
    return None


def explained(
    seen: Visible, arrival: float, extra_path: Mapping[SurfaceName, float], speed_of_sound: float
) -> SurfaceName | None:
    """Surface whose reflection by geometry comes within 0.3 ms of one that is seen, if any does.

    Args:
        seen: in the impulse.
        arrival: of the direct sound, s, on the same time axis.
        extra_path: as `first_reflection` gives it, m.
        speed_of_sound: m/s.
    """
    late = seen.time - arrival
    away = {name: abs(extra / speed_of_sound - late) for name, extra in extra_path.items()}
    nearest = min(away, key=lambda name: away[name], default=None)
    return nearest if nearest is not None and away[nearest] <= NEAR else None
