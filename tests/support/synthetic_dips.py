"""Designs whose deepest trouble at the seat has one known cause, others being there but weaker."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from acoustics.cabinet.body import Body
from acoustics.cabinet.piston import Piston
from acoustics.case.design.model import Cabinet, Case, FrequencyGrid, Surface
from acoustics.conventions import Air
from support.cases import make_case, make_driver, pass_branch, seat_at
from support.free_field import solve_free_field

CAUSES = ("floor", "front wall", "ceiling", "side wall", "baffle", "crossover")

LOWEST_DIP = 150.0
"""Hz: a surface's first dip above this is looked at; the analysis starts at 100 Hz."""


@dataclass(frozen=True)
class Synthetic:
    """A design, its stand-in field, the cause, and the band (Hz) whose deepest dip is its work.

    The band of a comb ends at the peaks beside a dip, that of a crossover half an octave off its
    corner.
    """

    case: Case
    solve: Callable[..., xr.DataArray]
    cause: str
    band: tuple[float, float]


def solve_with_echo(echo: float, ways: Sequence[float], turn: float) -> Callable[..., xr.DataArray]:
    """Point sources, each with one inverted echo, as an edge gives: free·(1 − echo·e^(−jk·way)).

    Args:
        echo: its size.
        ways: of each piston, m, on the axis.
        turn: relative change of the way from straight ahead to straight up.
    """

    def solve(
        body: Body,
        pistons: Sequence[Piston],
        receivers: np.ndarray,
        frequency: np.ndarray,
        *,
        air: Air,
        **how: Any,
    ) -> xr.DataArray:
        free = solve_free_field(body, pistons, receivers, frequency, air=air)
        k = 2 * np.pi * np.asarray(frequency)[None, :, None] / air.speed_of_sound
        points = np.asarray(receivers)
        up = points[:, 1] / np.linalg.norm(points, axis=-1)
        way = np.array(ways)[:, None, None] * (1 + turn * up)
        return free * (1 - echo * np.exp(-1j * k * way))

    return solve


def synthetic(seed: int) -> Synthetic:
    """One of many designs; the seed counts through the causes.

    Of the direct sound, the other effects reach the ears with at most 0.35 each and 0.3 to 0.7
    together, a surface or an echo that is the cause with 0.44 or more.
    """
    draw = np.random.default_rng(seed)
    cause = CAUSES[seed % len(CAUSES)]
    if cause == "side wall":
        cause = str(draw.choice(["left wall", "right wall"]))

    distance, aside, ear = draw.uniform(2.0, 3.5), draw.uniform(-0.4, 0.4), draw.uniform(0.8, 1.3)
    apart, corner = draw.uniform(0.14, 0.22), draw.uniform(1200.0, 3500.0)
    corners, inverted = (corner, corner), False
    between = ear + draw.uniform(-0.3, 0.3)  # height of the middle between the drivers
    if cause == "crossover":
        between = ear + draw.uniform(-0.1, 0.1)  # nearer the axis, where the null is sure
        inverted = bool(draw.integers(2))
        if not inverted:
            gap = draw.uniform(2.2, 3.5) ** 0.5
            corners = corner / gap, corner * gap
    woofer, tweeter = make_driver("woofer", -apart / 2), make_driver("tweeter", apart / 2)
    cabinet = Cabinet(0.22, 0.6, 0.3, base_height=between - 0.3)

    positions = {
        "floor": 0.0,
        "ceiling": draw.uniform(2.3, 2.9),
        "front wall": draw.uniform(0.35, 1.2),
        "rear wall": distance + draw.uniform(0.8, 2.5),
        "left wall": draw.uniform(0.8, 2.0),
        "right wall": draw.uniform(0.8, 2.0),
    }
    source = np.array([0.0, between - apart / 2, 0.0])
    direct = np.array([aside, ear, distance])
    straight = np.linalg.norm(direct - source)
    images = {name: mirror_image(direct, name, at) for name, at in positions.items()}
    ways = {name: float(np.linalg.norm(image - source)) for name, image in images.items()}

    # Some of the other surfaces, in any number, and the baffle's echo.
    weak = {name: draw.uniform(0.2, 1.0) for name in positions if name != cause}
    weak = {name: size for name, size in weak.items() if draw.random() < 0.7}
    if cause != "baffle":
        weak["baffle"] = draw.uniform(0.2, 1.0)
    most, total = max(weak.values(), default=1.0), sum(weak.values())
    scale = min(draw.uniform(0.3, 0.7) / max(total, most), 0.35 / most)
    reflections = {
        name: scale * size * ways[name] / straight
        for name, size in weak.items()
        if name != "baffle"
    }
    if cause in positions:
        reflections[cause] = draw.uniform(0.85, 1.0)
    echo = draw.uniform(0.5, 0.7) if cause == "baffle" else scale * weak["baffle"]
    way, turn = draw.uniform(0.15, 0.4), draw.uniform(-0.2, 0.2)
    echo_ways = (way, way * draw.uniform(0.9, 1.1))

    case = make_case(
        [woofer, tweeter],
        cabinet=cabinet,
        crossover=(
            pass_branch("woofer", "low-pass", corners[0]),
            pass_branch("tweeter", "high-pass", corners[1], inverted=inverted),
        ),
        seat=seat_at(distance, [ear], aside),
        surfaces=tuple(
            Surface(name, positions[name], min(size, 1.0))  # type: ignore[arg-type]
            for name, size in reflections.items()
        ),
        frequencies=FrequencyGrid(50.0, 10_000.0, 24),
        arc_step=90.0,
    )

    speed = case.air.speed_of_sound
    band = corner / 2**0.5, corner * 2**0.5
    if cause == "baffle":
        playing = echo_ways[0] if speed / way < corner else echo_ways[1]
        up = (ear - between) / np.linalg.norm(direct - [0.0, between, 0.0])
        dip = speed / (playing * (1 + turn * up))
        band = 0.5 * dip, 1.5 * dip
    elif cause in positions:
        period = speed / (ways[cause] - straight)
        dips = (np.arange(8) + 0.5) * period
        first = dips[dips > LOWEST_DIP][0]
        band = first - 0.5 * period, first + 0.5 * period
    solve = solve_with_echo(echo, echo_ways, turn)
    return Synthetic(case, solve, cause, (float(band[0]), float(band[1])))


def mirror_image(point: np.ndarray, surface: str, position: float) -> np.ndarray:
    """Mirror image of a point of the room, m; a front wall lies behind the cabinet."""
    axis = {"floor": 1, "ceiling": 1, "front wall": 2, "rear wall": 2}.get(surface, 0)
    sign = -1.0 if surface in ("front wall", "left wall") else 1.0
    image = point.copy()
    image[axis] = 2 * sign * position - point[axis]
    return image
