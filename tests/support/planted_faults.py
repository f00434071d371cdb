"""Faults to plant in a build, by keys of the case's text, each from a stated least size up.

Ranges are common practice, no source: what somebody who builds a loudspeaker takes for another
part, drills or files off, or sets up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any, Literal

import numpy as np

from support.built_loudspeakers import (
    DISTANCE,
    PART_KEYS,
    Data,
    Plan,
    Workshop,
    parameter_times,
    part_keys,
    times,
)

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

FILL, FILLED_Q = (0.4, 1.0), 6.0
"""Share of a volume that should be empty, and Q of what fibre throughout absorbs"""

DEEPER, ASIDE, HIGHER, FARTHER = (8e-3, 40e-3), (0.1, 0.3), (0.06, 0.25), (0.08, 0.3)
"""m"""

GAIN = (2.5, 8.0)
"""dB, over or under"""

OPEN, SHORT = "1 Mohm", "1 mohm"


@dataclass(frozen=True)
class Truth:
    """What a build truly has.

    `kind` in words of these files: "healthy", "unlisted" or that of a planted fault; `names` are
    the things it befell, as the schematic and the case call them. `size` and `design` in SI units
    where it has a size: of what is changed.
    """

    kind: str
    names: tuple[str, ...] = ()
    size: float | None = None
    design: float | None = None

    @property
    def words(self) -> str:
        """In one line."""
        told = " ".join((self.kind, *self.names))
        return told if self.size is None else f"{told} {self.design:.3g} → {self.size:.3g}"


@dataclass(frozen=True)
class Planted:
    """A fault that may be planted in one thing.

    `edit` changes the text by a factor or a difference, one `way` or either; `plan`
    says what else stands otherwise, by keywords of `Plan`. `size` is what the changed quantity is
    then, SI.
    """

    kind: str
    names: tuple[str, ...]
    sizes: tuple[float, float] | None = None
    by_factor: bool = True
    way: Literal["either", "up", "down"] = "either"
    edit: Callable[[Data, float], None] | None = None
    plan: Callable[[float], dict[str, Any]] = field(default=lambda _: {})
    size: Callable[[float], float] | None = None
    fixed: tuple[str, ...] = ()

    @property
    def changes_build(self) -> bool:
        """Whether something is built otherwise, rather than measured."""
        return self.edit is not None

    def drawn(self, rng: np.random.Generator) -> float:
        """A size from the least to the largest, by factor or by difference."""
        if self.sizes is None:
            return 1.0
        low, high = self.sizes
        share = float(rng.uniform())
        up = self.way == "up" or (self.way == "either" and bool(rng.integers(2)))
        if self.by_factor:
            factor = low * (high / low) ** share
            return factor if up else 1 / factor
        difference = low + (high - low) * share
        return difference if up else -difference

    def planted(self, seed: int, amount: float, **how: Any) -> tuple[Plan, Truth]:
        """A build with it, and what it truly has."""
        edit = self.edit
        change = None if edit is None else (lambda data: edit(data, amount))
        size = None if self.size is None else self.size(amount)
        design = None if self.size is None else self.size(1.0 if self.by_factor else 0.0)
        truth = Truth(self.kind, self.names, size, design)
        return Plan(seed, change, fixed=self.fixed, **self.plan(amount), **how), truth


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
    called = _part_names(data)
    for key, name in called.items():
        value = _value(data, key)
        edit = _times(key)
        yield Planted("part value", (name,), PART, edit=edit, size=_scaled(value), fixed=(key,))
    for driver, branch in data["crossover"].items():
        yield Planted("polarity", (driver,), edit=_turned(driver))
        for n, part in enumerate(branch.get("parts", ()), start=1):
            at = f"crossover.{driver}.parts.{n}"
            names = tuple(name for key, name in called.items() if key.rsplit(".", 1)[0] == at)
            series = part["place"] == "series"
            opened = _in_its_place(driver, n, OPEN) if series else _out(driver, n)
            shorted = _out(driver, n) if series else _in_its_place(driver, n, SHORT)
            yield Planted("part open", names, edit=opened)
            if "resistor" in part and series:
                yield Planted("attenuator missing", (driver,), edit=shorted)
            elif len(names) == 1:
                yield Planted("part shorted", names, edit=shorted)
            if "inductor" in part and "resistance" in part:
                here = f"{at}.resistance"
                ohm = float(part["resistance"].split()[0])
                yield Planted(
                    "coil wire", names, WIRE, way="up", edit=_times(here), size=_scaled(ohm)
                )
    for one, other in combinations(called, 2):
        ratio = _value(data, one) / _value(data, other)
        alike = one.rsplit(".", 1)[1] == other.rsplit(".", 1)[1]
        if alike and max(ratio, 1 / ratio) >= PART[0]:
            names = (called[one], called[other])
            yield Planted("parts swapped", names, edit=_swapped(one, other))
    passive = [name for name, branch in data["crossover"].items() if "parts" in branch]
    for one, other in combinations(passive, 2):
        yield Planted("drivers swapped", (one, other), edit=_branches_swapped(one, other))


def _of_boxes(workshop: Workshop) -> Iterator[Planted]:
    for box in workshop.design.enclosures:
        at, here = f"enclosures.{box.name}", (box.name,)
        for port in box.ports:
            length, width = (f"{at}.ports.{port.name}.{key}" for key in ("length", "diameter"))
            names = (port.name, box.name)
            size = _scaled(port.length)
            edit = _times(length)
            # Files of cases have no longer duct than fits straight into the box.
            yield Planted("port length", names, PORT_LENGTH, way="down", edit=edit, size=size)
            size = _scaled(port.size[0])
            yield Planted("port width", names, PORT_WIDTH, edit=_times(width), size=size)
        if len(box.ports) == 1:
            stopped = _stopped(box.name, box.volume)
            yield Planted("port stopped", (box.ports[0].name, box.name), edit=stopped)
        size = _leaking(box.leakage_q)
        yield Planted("leak", here, LEAK, way="up", edit=_leak(box.name), size=size)
        edit = _volume(box.name, box.volume)
        # No more air than the drawn cabinet has inside.
        yield Planted("volume", here, VOLUME, way="down", edit=edit, size=_scaled(box.volume))
        if box.fill == 0:
            yield Planted(
                "fill", here, FILL, by_factor=False, way="up", edit=_fill(box.name), size=float
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
            edit = _parameter(driver.name, parameter)
            yield Planted(parameter, here, sizes, edit=edit, size=_scaled(value))
        edit = _deeper(driver.name, driver.acoustic_depth)
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
            _turned(name)(data, amount)

    yield Planted("polarity of all", (), edit=all_turned)


def _part_names(data: Data) -> dict[str, str]:
    """Key of every part's value → what the schematic calls it: numbered through by kind."""
    letters = {"capacitor": "C", "inductor": "L", "resistor": "R"}
    counts = dict.fromkeys(letters, 0)
    found = {}
    for key in part_keys(data):
        _, driver, _, number, kind = key.split(".")
        own = data["crossover"][driver]["parts"][int(number) - 1].get("name")
        if own is None:
            counts[kind] += 1
        found[key] = own or f"{letters[kind]}{counts[kind]}"
    return found


def _value(data: Data, key: str) -> float:
    """In SI units."""
    here: Any = data
    for part in key.split("."):
        here = here[int(part) - 1] if isinstance(here, list) else here[part]
    number, unit = here.split(" ")
    assert unit == PART_KEYS[key.rsplit(".", 1)[1]][0], f"{key} = {here}: another unit"
    return float(number) / PART_KEYS[key.rsplit(".", 1)[1]][1]


def _scaled(value: float) -> Callable[[float], float]:
    return lambda factor: value * factor


def _leaking(q: float) -> Callable[[float], float]:
    return lambda factor: q / factor


def _beyond(depth: float) -> Callable[[float], float]:
    return lambda more: depth + more


def _times(key: str) -> Callable[[Data, float], None]:
    return lambda data, factor: times(data, key, factor)


def _parameter(driver: str, parameter: str) -> Callable[[Data, float], None]:
    return lambda data, factor: parameter_times(data, driver, parameter, factor)


def _turned(driver: str) -> Callable[[Data, float], None]:
    def edit(data: Data, _: float) -> None:
        table = data["drivers"][driver]
        was = table.get("polarity", "normal")
        table["polarity"] = "normal" if was == "inverted" else "inverted"

    return edit


def _out(driver: str, number: int) -> Callable[[Data, float], None]:
    """A part across that is not there, or one in the way with a wire in its place."""
    return lambda data, _: data["crossover"][driver]["parts"].pop(number - 1)


def _in_its_place(driver: str, number: int, resistor: str) -> Callable[[Data, float], None]:
    def edit(data: Data, _: float) -> None:
        parts = data["crossover"][driver]["parts"]
        parts[number - 1] = {"place": parts[number - 1]["place"], "resistor": resistor}

    return edit


def _swapped(one: str, other: str) -> Callable[[Data, float], None]:
    """Each with its own losses, as it is taken out of the bag."""

    def edit(data: Data, _: float) -> None:
        (first, a), (second, b) = (_part(data, key) for key in (one, other))
        first[a], second[b] = second[b], first[a]
        if (
            len({"inductor", "capacitor", "resistor"} & {*first})
            == 1
            == len({"inductor", "capacitor", "resistor"} & {*second})
        ):
            losses = first.pop("resistance", None), second.pop("resistance", None)
            for part, loss in zip((second, first), losses, strict=True):
                if loss is not None and "resistor" not in part:
                    part["resistance"] = loss

    return edit


def _part(data: Data, key: str) -> tuple[dict[str, Any], str]:
    _, driver, _, number, what = key.split(".")
    return data["crossover"][driver]["parts"][int(number) - 1], what


def _branches_swapped(one: str, other: str) -> Callable[[Data, float], None]:
    def edit(data: Data, _: float) -> None:
        crossover = data["crossover"]
        crossover[one], crossover[other] = crossover[other], crossover[one]

    return edit


def _leak(box: str) -> Callable[[Data, float], None]:
    return lambda data, factor: data["enclosures"][box].update(
        leakage_q=data["enclosures"][box].get("leakage_q", 7.0) / factor
    )


def _volume(box: str, litres: float) -> Callable[[Data, float], None]:
    def edit(data: Data, factor: float) -> None:
        data["enclosures"][box].pop("share", None)
        data["enclosures"][box]["volume"] = f"{1e3 * litres * factor!r} l"

    return edit


def _fill(box: str) -> Callable[[Data, float], None]:
    return lambda data, share: data["enclosures"][box].update(
        fill=share, absorption_q=FILLED_Q / share
    )


def _stopped(box: str, volume: float) -> Callable[[Data, float], None]:
    def edit(data: Data, _: float) -> None:
        table = data["enclosures"][box]
        del table["ports"]
        table |= {"kind": "closed", "volume": f"{1e3 * volume!r} l"}

    return edit


def _deeper(driver: str, depth: float) -> Callable[[Data, float], None]:
    return lambda data, more: data["drivers"][driver].update(
        acoustic_depth=f"{1e3 * (depth + more)!r} mm"
    )


def _stands(way: tuple[float, float, float]) -> Callable[[float], dict[str, Any]]:
    return lambda metres: {"moved": tuple(metres * one for one in way)}
