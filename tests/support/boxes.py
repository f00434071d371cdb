"""Boxes with one driver, made to measure for the closed forms."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from acoustics.cabinet.ports import effective_length
from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port
from acoustics.conventions import Air
from acoustics.driver import SmallSignal
from support.cases import make_case, make_driver

AIR = Air(speed_of_sound=343.0, density=1.2)
FS = 40.0
VAS = 0.020
AREA = 0.0113
STIFFNESS = AIR.density * AIR.speed_of_sound**2


def parameters(
    fs: float,
    total_q: float,
    *,
    mechanical_q: float = 4.0,
    equivalent_volume: float = VAS,
    resistance: float = 6.0,
) -> SmallSignal:
    """Parameters of a driver from those that Thiele and Small use."""
    compliance = equivalent_volume / (STIFFNESS * AREA**2)
    mass = 1 / ((2 * math.pi * fs) ** 2 * compliance)
    momentum = math.sqrt(mass / compliance)
    electrical_q = 1 / (1 / total_q - 1 / mechanical_q)
    return SmallSignal(
        dc_resistance=resistance,
        force_factor=math.sqrt(momentum * resistance / electrical_q),
        moving_mass=mass,
        compliance=compliance,
        mechanical_resistance=momentum / mechanical_q,
        effective_area=AREA,
    )


def boxed(signal: SmallSignal, alpha: float | None = None, **enclosure: Any) -> Any:
    """A driver in a closed box of V_as/alpha without leaks, or in none."""
    driver = make_driver("driver", piston_diameter=0.12, frame_diameter=0.15, small_signal=signal)
    enclosures = ()
    if alpha is not None:
        values: dict[str, Any] = {"kind": "closed", "leakage_q": math.inf, **enclosure}
        volume = signal.equivalent_volume(AIR) / alpha
        enclosures = (Enclosure("box", drivers=("driver",), gross=volume, **values),)
    return make_case([driver], air=AIR, enclosures=enclosures)


def port_for(volume: float, tuning: float, area: float = 0.002) -> Port:
    """A round port that tunes a volume."""
    length = area * (AIR.speed_of_sound / (2 * math.pi * tuning)) ** 2 / volume
    own = length - effective_length(0.0, area, ("flush", "free"))
    return Port("port", (2 * math.sqrt(area / math.pi),), own, (0.0, 0.1), face="back")


def vented(
    signal: SmallSignal,
    alpha: float,
    h: float,
    q_leak: float = math.inf,
    *,
    ports: int = 1,
    passive: bool = False,
    passive_resonance: float = 0.5,
    **losses: float,
) -> Any:
    """A box of V_as/alpha tuned to h·f_s by ports, or by a passive radiator in their place."""
    volume = signal.equivalent_volume(AIR) / alpha
    tuning = h * signal.resonance
    if passive:
        radius = 0.075
        area = math.pi * radius**2
        mass = area**2 * STIFFNESS / volume / (2 * math.pi * tuning) ** 2
        cone = PassiveRadiator(
            name="cone",
            piston_diameter=2 * radius,
            frame_diameter=0.18,
            position=(0.0, -0.05),
            moving_mass=mass,
            compliance=1 / ((2 * math.pi * passive_resonance) ** 2 * mass),
            mechanical_resistance=0.0,
            face="back",
        )
        case = boxed(signal, alpha, kind="passive radiator", leakage_q=q_leak, **losses)
        return with_enclosure(case, passive_radiators=(cone,))
    found: tuple[Port, ...] = (port_for(volume, tuning),)
    if ports == 2:
        # Two of half the area must be as long, ends included, as the one they stand for.
        length = effective_length(found[0].length, 0.002, ("flush", "free"))
        own = length - effective_length(0.0, 0.001, ("flush", "free"))
        half = port_for(volume, tuning, 0.001)
        found = tuple(
            replace(half, name=f"port {n}", length=own, position=(x, 0.1))
            for n, x in enumerate((-0.05, 0.05))
        )
    case = boxed(signal, alpha, kind="vented", leakage_q=q_leak, **losses)
    return with_enclosure(case, ports=found)


def with_enclosure(case: Any, **changes: Any) -> Any:
    """The case with its enclosure changed."""
    return replace(case, enclosures=(replace(case.enclosures[0], **changes),))
