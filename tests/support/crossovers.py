"""Designs on passive crossovers, made by hand: ladders, bridges, one to four drivers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from acoustics.case.design.model import Branch, Case
from acoustics.case.design.network_model import Element, Place
from support.cases import make_case, make_driver

KINDS: tuple[dict[str, float], ...] = (
    {"resistor": 4.7},
    {"capacitor": 1e-5, "resistance": 0.05},
    {"inductor": 1e-3, "resistance": 0.3},
)


def passive_case(
    *networks: Sequence[Element],
    inverted: Sequence[bool] = (),
    turned: Sequence[bool] = (),
    names: Sequence[str] = (),
    **changes: Any,
) -> Case:
    """A driver of 8, 6, 12 and 4 ohm for each network; the drivers' and branches' polarities."""
    flags = [(*given, *[False] * 4) for given in (inverted, turned)]
    called = [*names, *(f"driver {n}" for n in range(len(names), len(networks)))]
    drivers = [
        make_driver(name, 0.04 * n, rated_impedance=ohm, inverted=flags[0][n])
        for n, (name, ohm) in enumerate(zip(called, (8.0, 6.0, 12.0, 4.0), strict=False))
    ]
    crossover = tuple(
        Branch(name, slopes="passive", inverted=flags[1][n], elements=tuple(elements))
        for n, (name, elements) in enumerate(zip(called, networks, strict=True))
    )
    return make_case(drivers, crossover=crossover, **changes)


def long_ladder(count: int, *, long_names: bool = False) -> list[Element]:
    """Resistors, capacitors and coils in turn, in the way and across in turn."""
    names = [f"part {n} has a long name of forty letters" for n in range(count)]
    return [
        Element(
            "across" if n % 2 else "series", **KINDS[n % 3], name=names[n] if long_names else ""
        )
        for n in range(count)
    ]


TRAPS = (
    Element("series", capacitor=6.8e-6, name="C in"),
    Element("across", inductor=2.7e-4, resistance=0.3),
    Element("series", inductor=1e-4, capacitor=1e-6, resistor=4.7, joined="side by side"),
    Element("series", inductor=2e-5, capacitor=4.7e-5, resistance=0.1, name="chain"),
    Element("across", inductor=1e-3, capacitor=2.2e-6, resistor=10.0, joined="side by side"),
    Element("across", inductor=2e-3, core_resistance=300.0, capacitor=1e-5, resistor=4.7),
    Element("across", resistor=15.0),
)
"""A ladder with everything that a rung can be"""

LOW_PASS = (
    Element("series", inductor=2.2e-3, resistance=0.64, core_resistance=900.0),
    Element("across", resistor=3.3, capacitor=3.3e-5),
)


def named_everywhere(driver: str, place: Place | None = None) -> list[Element]:
    """Long names next to each other, wherever a part can stand: in turn, or all at one place."""
    plain = long_ladder(4, long_names=True)
    elements = [replace(part, place="series", name=f"{driver} {part.name}"[:40]) for part in plain]
    for n, own in enumerate(("series", "across", "series")):
        for joined in ("one after the other", "side by side"):
            name = f"{driver} WIDE {n} {joined}"
            several = {"inductor": 3e-4, "capacitor": 4.7e-6, "resistor": 22.0}
            coil = {"resistance": 0.125, "core_resistance": 1234.0}
            elements.append(Element(own, **several, **coil, joined=joined, name=name))
    return [replace(part, place=place or part.place) for part in elements]


PIECES = (
    Element("series", capacitor=1e-5, second_capacitor=2.2e-6, resistance=0.1, name="C in"),
    Element("series", resistor=4.7, second_resistor=0.33),
    Element(
        "across",
        inductor=1e-3,
        capacitor=1e-5,
        second_capacitor=4.7e-8,
        resistor=10.0,
        second_resistor=1.5,
        joined="side by side",
    ),
    Element("across", capacitor=1e-6, second_capacitor=6.8e-7, resistor=10.0, second_resistor=1.0),
)
"""Values that are made up of two, alone and among others"""

LATTICE = (
    Element(between=("amplifier", "driver"), inductor=1e-3, resistance=0.3),
    Element(between=("return", "driver return"), inductor=1e-3, name="lower coil of the lattice"),
    Element(between=("amplifier", "driver return"), capacitor=1e-5),
    Element(between=("return", "driver"), capacitor=1e-5),
)

BRIDGE = (
    Element(between=("amplifier", "a"), capacitor=1e-5),
    Element(between=("a", "b with a name"), inductor=1e-3, resistor=2.2, name="damped"),
    Element(
        between=("b with a name", "driver"), resistor=2.2, capacitor=5e-6, joined="side by side"
    ),
    Element(between=("a", "return"), inductor=3e-4, resistance=0.1),
    Element(between=("amplifier", "driver"), resistor=22.0),
    Element(between=("driver", "b with a name"), inductor=1e-4, capacitor=1e-6, name="turned"),
    Element(between=("b with a name", "return"), resistor=10.0),
)

DESIGNS: dict[str, Case] = {
    "straight": passive_case(()),
    "two ways": passive_case(TRAPS, LOW_PASS, turned=(True,)),
    "three ways, both inverted": passive_case(
        LOW_PASS, TRAPS, (), inverted=(False, True), turned=(False, True, True)
    ),
    "four ways, twenty parts": passive_case(
        long_ladder(20),
        long_ladder(7, long_names=True),
        long_ladder(1),
        long_ladder(12),
        inverted=(True,),
        names=("a driver whose name has forty letters or so",),
    ),
    "forty parts with long names": passive_case(long_ladder(40, long_names=True)),
    "long names everywhere": passive_case(
        named_everywhere("left"), named_everywhere("right", "across")
    ),
    "values of two pieces": passive_case(PIECES, PIECES[1:2]),
    "lattice": passive_case(LATTICE, inverted=(True,)),
    "bridge, lattice and ladder": passive_case(BRIDGE, LATTICE, LOW_PASS, turned=(True,)),
}
