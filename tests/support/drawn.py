"""Designs to draw, their numbers written here once more in millimetres beside each."""

from __future__ import annotations

from typing import Any

from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port
from acoustics.case.design.model import Cabinet, Case, Rounding
from support.cases import make_case, make_driver

NASTY = '../../x <script>alert(1)</script> & "%%d" ^J'
"""a name that must do no harm in a path, in XML and in DXF"""


def box(**changes: Any) -> Case:
    """A box of 220 × 380 mm with rounded front edges and all kinds of holes.

    Front: a tweeter, hole 74 mm, 140 from left and 315 from bottom; a woofer whose hole nobody
    states, cone 130 mm, 110 and 140; a slot of 160 × 20 mm, 110 and 30. Back: a port of 55 mm, 110
    and 280; a passive radiator, cone 100 mm, 110 and 120.
    """
    drivers = (
        make_driver("tweeter", position=(0.030, 0.125), frame_diameter=0.1, cutout_diameter=0.074),
        make_driver("woofer", position=(0.0, -0.050), piston_diameter=0.130, frame_diameter=0.165),
    )
    radiator = PassiveRadiator("weight", 0.100, 0.130, (0.0, -0.070), 0.03, 1e-3, 1.0, face="back")
    ports = (
        Port("slot", (0.160, 0.020), 0.1, (0.0, -0.160)),
        Port("rear", (0.055,), 0.1, (0.0, 0.090), face="back"),
    )
    enclosure = Enclosure(
        "main", "vented", ("woofer",), 0.02, ports=ports, passive_radiators=(radiator,)
    )
    values: dict[str, Any] = {"cabinet": rounded_box(), "enclosures": (enclosure,)}
    return make_case(changes.pop("drivers", drivers), **{**values, **changes})


def rounded_box() -> Cabinet:
    """220 × 380 × 300 mm, the front's edges rounded with a radius of 20 mm."""
    rounds = tuple(Rounding(f"front {side}", 0.020) for side in ("left", "right", "top", "bottom"))
    return cabinet(rounds=rounds)


def cabinet(**changes: Any) -> Cabinet:
    """220 × 380 × 300 mm."""
    values = {"width": 0.220, "height": 0.380, "depth": 0.300, "base_height": 0.6}
    return Cabinet(**{**values, **changes})
