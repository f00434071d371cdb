"""Checks of where the cabinets stand: clear of each other, of the walls and of the ceiling."""

from __future__ import annotations

import math
from collections.abc import Iterator

from acoustics.case.checks.outside import Outside
from acoustics.case.checks.plan import MEETS, Plan, Surfaces
from acoustics.case.design.model import SurfaceName
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.room_tables import SURFACES
from acoustics.case.text.units import in_unit


def pair_problems(plan: Plan) -> Iterator[Problem]:
    """Two cabinets that overlap or touch in the middle."""
    over = 2 * max(x for x, _ in plan.drawn)
    if not plan.pair or over < -MEETS:
        return
    found = f"overlap by {_mm(over)}" if over > MEETS else "touch each other"
    turned = "with this toe_in " if plan.turn else ""
    yield Problem(
        ("placement", "spacing"),
        f"the two cabinets {found}; {turned}the centres of their front faces must be more than "
        f"{_metres(plan.spacing + over)} apart: write a larger spacing"
        f"{' or turn them less' if plan.turn else ''}",
    )


def wall_problems(plan: Plan, surfaces: Surfaces) -> Iterator[Problem]:
    """A cabinet that stands in a wall or touches it."""
    across, ahead = zip(*plan.corners, strict=True)
    reaches: dict[SurfaceName, tuple[float, str]] = {
        "front wall": (-min(ahead), "behind the front-face centres"),
        "rear wall": (max(ahead), "ahead of the front-face centres"),
        "left wall": (-min(across), "to the left of the middle"),
        "right wall": (max(across), "to the right of the middle"),
    }
    for name, (reach, where) in reaches.items():
        distance = surfaces.get(name, {}).get("distance")
        if distance is None or reach - distance < -MEETS:
            continue
        through = reach - distance > MEETS
        found = f"goes {_mm(reach - distance)} through" if through else "touches"
        yield Problem(
            (SURFACES[name], "distance"),
            f"a cabinet {found} the {name}: it reaches {_metres(reach)} {where}; write more than "
            f"that, or {_move(name, plan)}",
        )


def ceiling_problems(outside: Outside, surfaces: Surfaces) -> Iterator[Problem]:
    """A cabinet that stands in the ceiling or touches it."""
    height = surfaces.get("ceiling", {}).get("height")
    span = outside.span(1)
    if height is None or span is None or "base_height" not in outside.values:
        return
    top = outside.values["base_height"] + span[1] - span[0]
    if top - height < -MEETS:
        return
    found = f"goes {_mm(top - height)} through" if top - height > MEETS else "touches"
    yield Problem(
        ("ceiling", "height"),
        f"the cabinet {found} the ceiling: its top is {_metres(top)} above the floor; write more "
        "than that, or lower cabinet.base_height",
    )


def _move(name: SurfaceName, plan: Plan) -> str:
    ways = ["take a shallower cabinet"] if name == "front wall" else []
    if plan.pair and name in ("left wall", "right wall"):
        ways.append("bring the cabinets closer together")
    if plan.turn:
        ways.append("turn the cabinets less" if plan.pair else "turn the cabinet less")
    return " or ".join(ways or ["take a smaller cabinet"])


def _mm(metres: float) -> str:
    return in_unit(metres, "mm", digits=4)


def _metres(metres: float) -> str:
    """Rounded up to a millimetre: what must be more than this is so when it is more than that."""
    return in_unit(math.ceil(metres * 1000 - 1e-4) / 1000, "m")
