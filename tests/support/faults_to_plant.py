"""Every fault that is planted, each from a stated least size up.

Ranges are common practice, no source: what somebody who builds a loudspeaker takes for another
part, drills or files off, or sets up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Any

from support.built_loudspeakers import DISTANCE, Workshop
from support.edited_text import Data
from support.fault_edits import (
    OPEN,
    SHORT,
    branches_swapped,
    deeper,
    fill,
    in_its_place,
    leak,
    out,
    parameter_scaling,
    part_names,
    scaling,
    stopped,
    swapped,
    turned,
    value_of,
    volume,
)
from support.planted_faults import Planted

PART, PORT_LENGTH, PORT_WIDTH, VOLUME = (1.25, 2.0), (1.2, 1.6), (1.1, 1.35), (1.15, 1.5)
"""Factors, least and largest, either way"""

LEAK, WIRE = (2.0, 6.0), (2.0, 4.0)
"""Likewise, of Q downward and of a coil's resistance upward"""

PARAMETERS = {
    "compliance": (1.4, 2.0),
    "moving_mass": (1.2, 1.6),
    "force_factor": (1.15, 1.5),
    "dc_resistance": (1.25, 2.0),
}
"""Likewise of drivers, beyond what those that are sound differ by."""

FILL = (0.4, 1.0)
"""Share of a volume that should be empty"""

DEEPER, ASIDE, HIGHER, FARTHER = (8e-3, 40e-3), (0.1, 0.3), (0.06, 0.25), (0.08, 0.3)
"""m"""

GAIN = (2.5, 8.0)
"""dB, over or under"""


def faults_to_plant(workshop: Workshop) -> list[Planted]:
    """Everything that may be planted in the builds of a design."""
    return [
        *_of_crossover(workshop),
        *_of_boxes(workshop),
        *_of_drivers(workshop),
        *_of_measuring(workshop),
    ]


def _of_crossover(workshop: Workshop) -> Iterator[Planted]:
    data = workshop.settled
    called = part_names(data)
    for key, name in called.items():
        value = value_of(data, key)
        edit = scaling(key)
        yield Planted("part value", (name,), PART, edit=edit, size=_scaled(value), fixed=(key,))
    for driver, branch in data["crossover"].items():
        yield Planted("polarity", (driver,), edit=turned(driver))
        for n, part in enumerate(branch.get("parts", ()), start=1):
            at = f"crossover.{driver}.parts.{n}"
            names = tuple(name for key, name in called.items() if key.rsplit(".", 1)[0] == at)
            series = part["place"] == "series"
            opened = in_its_place(driver, n, OPEN) if series else out(driver, n)
            shorted = out(driver, n) if series else in_its_place(driver, n, SHORT)
            yield Planted("part open", names, edit=opened)
            if "resistor" in part and series:
                yield Planted("attenuator missing", (driver,), edit=shorted)
            elif len(names) == 1:
                yield Planted("part shorted", names, edit=shorted)
            if "inductor" in part and "resistance" in part:
                here = f"{at}.resistance"
                ohm = float(part["resistance"].split()[0])
                yield Planted(
                    "coil wire", names, WIRE, way="up", edit=scaling(here), size=_scaled(ohm)
                )
    for one, other in combinations(called, 2):
        ratio = value_of(data, one) / value_of(data, other)
        alike = one.rsplit(".", 1)[1] == other.rsplit(".", 1)[1]
        if alike and max(ratio, 1 / ratio) >= PART[0]:
            names = (called[one], called[other])
            yield Planted("parts swapped", names, edit=swapped(one, other))
    passive = [name for name, branch in data["crossover"].items() if "parts" in branch]
    for one, other in combinations(passive, 2):
        yield Planted("drivers swapped", (one, other), edit=branches_swapped(one, other))


def _of_boxes(workshop: Workshop) -> Iterator[Planted]:
    for number, box in enumerate(workshop.design.enclosures):
        at, here = f"enclosures.{box.name}", (box.name,)
        for port in box.ports:
            length, width = (f"{at}.ports.{port.name}.{key}" for key in ("length", "diameter"))
            names = (port.name, box.name)
            size = _scaled(port.length)
            edit = scaling(length)
            # Files of cases have no longer duct than fits straight into the box.
            yield Planted("port length", names, PORT_LENGTH, way="down", edit=edit, size=size)
            size = _scaled(port.size[0])
            yield Planted("port width", names, PORT_WIDTH, edit=scaling(width), size=size)
        if len(box.ports) == 1:
            edit = stopped(workshop.design, number)
            yield Planted("port stopped", (box.ports[0].name, box.name), edit=edit)
        size = _leaking(box.leakage_q)
        yield Planted("leak", here, LEAK, way="up", edit=leak(box.name), size=size)
        edit = volume(box.name, box.volume)
        # No more air than the drawn cabinet has inside.
        yield Planted("volume", here, VOLUME, way="down", edit=edit, size=_scaled(box.volume))
        if box.fill == 0:
            yield Planted(
                "fill", here, FILL, by_factor=False, way="up", edit=fill(box.name), size=float
            )


def _of_drivers(workshop: Workshop) -> Iterator[Planted]:
    for driver in workshop.design.drivers:
        here = (driver.name,)
        boxed = any(driver.name in box.drivers for box in workshop.design.enclosures)
        for parameter, sizes in PARAMETERS.items():
            # Behind a crossover a dome's suspension and mass hardly show.
            if driver.small_signal is None or (
                not boxed and parameter in ("compliance", "moving_mass")
            ):
                continue
            value = getattr(driver.small_signal, parameter)
            edit = parameter_scaling(driver.name, parameter)
            yield Planted(parameter, here, sizes, edit=edit, size=_scaled(value))
        edit = deeper(driver.name, driver.acoustic_depth)
        yield Planted(
            "depth",
            here,
            DEEPER,
            by_factor=False,
            way="up",
            edit=edit,
            size=_beyond(driver.acoustic_depth),
        )


def _of_measuring(workshop: Workshop) -> Iterator[Planted]:
    for name, sizes, way in (
        ("sideways", ASIDE, (1.0, 0.0, 0.0)),
        ("height", HIGHER, (0.0, 1.0, 0.0)),
    ):
        stands = _stands(way)
        yield Planted("microphone aside", (name,), sizes, by_factor=False, plan=stands, size=float)
    yield Planted(
        "microphone distance",
        ("distance",),
        FARTHER,
        by_factor=False,
        plan=_stands((0.0, 0.0, 1.0)),
        size=_beyond(DISTANCE),
    )
    yield Planted("level", (), GAIN, by_factor=False, plan=lambda a: {"gain": a}, size=float)
    drivers = [driver.name for driver in workshop.design.drivers]

    def all_turned(data: Data, amount: float) -> None:
        for name in drivers:
            turned(name)(data, amount)

    yield Planted("polarity of all", (), edit=all_turned)


def _scaled(value: float) -> Callable[[float], float]:
    return lambda factor: value * factor


def _leaking(q: float) -> Callable[[float], float]:
    return lambda factor: q / factor


def _beyond(depth: float) -> Callable[[float], float]:
    return lambda more: depth + more


def _stands(way: tuple[float, float, float]) -> Callable[[float], dict[str, Any]]:
    return lambda metres: {"moved": tuple(metres * one for one in way)}
