"""What somebody does otherwise than drawn: edits of a case's text, by a factor or a difference."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from acoustics.case.design.model import Case
from acoustics.source.box import tuning_of
from support.edited_text import PART_KEYS, Data, parameter_times, part_keys, times

Change = Callable[[Data, float], None]
"""Of a text, by a size; without sizes the number says nothing."""

OPEN, SHORT = "1 Mohm", "1 mohm"

FILLED_Q = 5.0
"""Q of what fibre absorbs that fills a box, as the list of faults has it: a share of fill
is a size only by that."""


def part_names(data: Data) -> dict[str, str]:
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


def value_of(data: Data, key: str) -> float:
    """In SI units."""
    here: Any = data
    for part in key.split("."):
        here = here[int(part) - 1] if isinstance(here, list) else here[part]
    number, unit = here.split(" ")
    assert unit == PART_KEYS[key.rsplit(".", 1)[1]][0], f"{key} = {here}: another unit"
    return float(number) / PART_KEYS[key.rsplit(".", 1)[1]][1]


def scaling(key: str) -> Change:
    """Another value at a key."""
    return lambda data, factor: times(data, key, factor)


def parameter_scaling(driver: str, parameter: str) -> Change:
    """Another value of a driver's parameter."""
    return lambda data, factor: parameter_times(data, driver, parameter, factor)


def turned(driver: str) -> Change:
    """A driver the wrong way round."""

    def edit(data: Data, _: float) -> None:
        table = data["drivers"][driver]
        was = table.get("polarity", "normal")
        table["polarity"] = "normal" if was == "inverted" else "inverted"

    return edit


def out(driver: str, number: int) -> Change:
    """A part across that is not there, or one in the way with a wire in its place."""
    return lambda data, _: data["crossover"][driver]["parts"].pop(number - 1)


def in_its_place(driver: str, number: int, resistor: str) -> Change:
    """A resistor in place of a part."""

    def edit(data: Data, _: float) -> None:
        parts = data["crossover"][driver]["parts"]
        parts[number - 1] = {"place": parts[number - 1]["place"], "resistor": resistor}

    return edit


def swapped(one: str, other: str) -> Change:
    """Each with its own losses, as it is taken out of the bag."""

    def edit(data: Data, _: float) -> None:
        (first, a), (second, b) = (_part(data, key) for key in (one, other))
        first[a], second[b] = second[b], first[a]
        if all(len({*PART_KEYS} & {*part}) == 1 for part in (first, second)):
            losses = first.pop("resistance", None), second.pop("resistance", None)
            for each, loss in zip((second, first), losses, strict=True):
                if loss is not None and "resistor" not in each:
                    each["resistance"] = loss

    return edit


def _part(data: Data, key: str) -> tuple[dict[str, Any], str]:
    _, driver, _, number, what = key.split(".")
    return data["crossover"][driver]["parts"][int(number) - 1], what


def branches_swapped(one: str, other: str) -> Change:
    """Two drivers, each on the crossover of the other."""

    def edit(data: Data, _: float) -> None:
        crossover = data["crossover"]
        crossover[one], crossover[other] = crossover[other], crossover[one]

    return edit


def leak(box: str) -> Change:
    """More leaks, by a factor on 1/Q."""
    return lambda data, factor: data["enclosures"][box].update(
        leakage_q=data["enclosures"][box].get("leakage_q", 7.0) / factor
    )


def volume(box: str, litres: float) -> Change:
    """Less air in an enclosure."""

    def edit(data: Data, factor: float) -> None:
        data["enclosures"][box].pop("share", None)
        data["enclosures"][box]["volume"] = f"{1e3 * litres * factor!r} l"

    return edit


def fill(box: str) -> Change:
    """Fibre in a share of an enclosure that should be empty."""
    return lambda data, share: data["enclosures"][box].update(
        fill=share, absorption_q=FILLED_Q / share
    )


def stopped(case: Case, number: int) -> Change:
    """A port that lets no air through: a closed box, as large and as leaky as it was.

    Q of a leak is what its resistance makes of it at the tuning, so it grows with that.
    """
    box = case.enclosures[number]
    closed = replace(box, kind="closed", ports=())
    higher = tuning_of(case, closed) / tuning_of(case, box)

    def edit(data: Data, _: float) -> None:
        table = data["enclosures"][box.name]
        del table["ports"]
        table["kind"] = "closed"
        table["volume"] = f"{1e3 * box.volume!r} l"
        table["leakage_q"] = box.leakage_q * higher

    return edit


def deeper(driver: str, depth: float) -> Change:
    """A driver that radiates from farther behind the front."""
    return lambda data, more: data["drivers"][driver].update(
        acoustic_depth=f"{1e3 * (depth + more)!r} mm"
    )
