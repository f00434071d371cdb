"""The things of a design that may stray, each kind as the spreads that it is made of."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case.design.model import Case
from acoustics.case.design.network_parts import parts_of, pieces_of
from acoustics.case.design.tolerance_model import Shape, Spread
from acoustics.case.text.units import (
    AREA,
    COMPLIANCE,
    FORCE_FACTOR,
    MASS,
    MECHANICAL_RESISTANCE,
    RESISTANCE,
)

PARAMETERS = {
    "dc_resistance": RESISTANCE,
    "force_factor": FORCE_FACTOR,
    "moving_mass": MASS,
    "compliance": COMPLIANCE,
    "mechanical_resistance": MECHANICAL_RESISTANCE,
    "effective_area": AREA,
}
"""The parameters of a driver that may stray, and what each is; names as in `SmallSignal`."""


def position_spreads(case: Case, within: float, shape: Shape) -> Iterator[Spread]:
    """Every driver's centre, to the right and up, by itself; `within` in m."""
    for driver in case.drivers:
        for entry, way in enumerate(("right", "up")):
            yield Spread(
                name=f"{driver.name} {way}",
                kind="position",
                keys=(f"drivers.{driver.name}.position.{entry + 1}",),
                values=(driver.position[entry],),
                within=within,
                shape=shape,
                unit="m",
            )


def ear_height_spread(case: Case, within: float, shape: Shape) -> Spread:
    """The ears, all heights by the same amount: one person sits there, not several (m)."""
    heights = case.seat.ear_heights
    keys = tuple(f"seat.ear_heights.{entry + 1}" for entry in range(len(heights)))
    return Spread("ear height", "ear height", keys, heights, within, shape=shape, unit="m")


def distance_spread(case: Case, within: float, shape: Shape) -> Spread:
    """How far away the main seat is (m)."""
    values = (case.seat.main.distance,)
    return Spread("distance", "distance", ("seat.distance",), values, within, shape=shape, unit="m")


def temperature_spread(case: Case, within: float, shape: Shape) -> Spread:
    """The air (K)."""
    keys, values = ("air.temperature",), (case.temperature,)
    return Spread("temperature", "temperature", keys, values, within, shape=shape, unit="K")


def level_spreads(case: Case, within: float, shape: Shape) -> Iterator[Spread]:
    """Every driver's level by itself (dB)."""
    for each in case.drivers:
        yield Spread(f"{each.name} level", "level", (each.name,), (0.0,), within, shape=shape)


def delay_spreads(case: Case, within: float, shape: Shape) -> Iterator[Spread]:
    """Every driver's delay by itself (s)."""
    for each in case.drivers:
        name, keys = f"{each.name} delay", (each.name,)
        yield Spread(name, "delay", keys, (0.0,), within, shape=shape, unit="s")


def part_spreads(case: Case, within: float, shape: Shape) -> Iterator[Spread]:
    """Every component of the passive crossover by itself, named as papers name it.

    `within` is a share. What is bought as two strays as two; the resistance of a coil's wire does
    not stray.
    """
    branches = [branch for branch in case.crossover if branch.slopes == "passive"]
    for part in parts_of([branch.elements for branch in branches]):
        driver = branches[part.ladder].driver
        for number, piece in enumerate(pieces_of(part)):
            key = f"second_{piece.kind}" if number else piece.kind
            yield Spread(
                name=f"{driver} {piece.name}",
                kind="part",
                keys=(f"crossover.{driver}.parts.{piece.element + 1}.{key}",),
                values=(piece.value,),
                within=within,
                relative=True,
                shape=shape,
                unit={"inductor": "H", "capacitor": "F", "resistor": "ohm"}[piece.kind],
            )


def parameter_spreads(case: Case, parameter: str, within: float, shape: Shape) -> Iterator[Spread]:
    """One of `PARAMETERS` of every driver of which it is known; `within` is a share."""
    for driver in case.drivers:
        if driver.small_signal is not None:
            yield Spread(
                name=f"{driver.name} {parameter.replace('_', ' ')}",
                kind="driver parameter",
                keys=(f"{driver.name}.{parameter}",),
                values=(getattr(driver.small_signal, parameter),),
                within=within,
                relative=True,
                shape=shape,
                unit=PARAMETERS[parameter].base,
            )
