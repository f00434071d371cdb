"""Checks of how the parts of a passive crossover are joined."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from acoustics.case.design.network_model import Element
from acoustics.case.design.network_nodes import (
    AMPLIFIER,
    DRIVER,
    DRIVER_RETURN,
    RESERVED,
    RETURN,
    Ends,
    wiring_of,
)
from acoustics.case.messages.faults import Problem
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import listed, nearest
from acoustics.case.text.shown import short_name


def wiring_problems(at: Path, elements: Sequence[Element]) -> Iterator[Problem]:
    """Parts of one branch that no current flows through, or a driver that gets none.

    Args:
        at: path of the list of parts.
        elements: what it says, each part free of faults by itself.
    """
    free = [element.between is not None for element in elements]
    if len(set(free)) > 1:
        odd = free.index(not free[0])
        here, there = ("between", "a place") if free[odd] else ("place", "between")
        yield Problem(
            (*at, odd, here),
            f"this part has {here} and the first one has {there.removeprefix('a ')}; write all "
            "parts of one driver the same way: each with its place, or each between two nodes",
        )
        return
    if not any(free):
        return  # a ladder has no loose ends
    wiring = wiring_of(elements)
    yield from _loose(at, wiring.ends) or _unreached(at, wiring.ends, wiring.driver)


def _loose(at: Path, ends: Sequence[Ends]) -> list[Problem]:
    """Nodes on which one part ends alone, and terminals on which none does."""
    counts = Counter(name for pair in ends for name in pair)
    problems, meant = list[Problem](), set[str]()
    for index, pair in enumerate(ends):
        for side, name in enumerate(pair):
            if counts[name] > 1 or name in RESERVED:
                continue
            near = nearest(name, {*RESERVED, *counts} - {name})
            meant.update(near)
            hint = f"; did you mean '{short_name(near[0])}'?" if near else ""
            problems.append(
                Problem(
                    (*at, index, "between", side),
                    f"nothing else ends on '{short_name(name)}', so no current flows here; join "
                    f"another part to it, or correct the name{hint}",
                )
            )
    for terminal, lack in ((AMPLIFIER, "no signal comes in"), (DRIVER, "the driver gets none")):
        if counts[terminal] == 0 and terminal not in meant:
            problems.append(
                Problem(at, f"no part ends on '{terminal}', so {lack}; name it as a node of one")
            )
    return problems


def _unreached(at: Path, ends: Sequence[Ends], driver: Ends) -> Iterator[Problem]:
    """Parts that hang in the air, and a driver through which no current can flow."""
    hot, ground = _reached(AMPLIFIER, ends), _reached(RETURN, ends)
    names = list(dict.fromkeys(name for pair in ends for name in pair))
    islands = [f"'{short_name(name)}'" for name in names if name not in hot | ground]
    if islands:
        yield Problem(
            at,
            f"no way through parts leads from {listed(islands)} to '{AMPLIFIER}' or '{RETURN}'; "
            "join a part to one of them",
        )
        return
    # Ground is fixed: what comes to it from the amplifier goes no further.
    fed = _reached(AMPLIFIER, [pair for pair in ends if RETURN not in pair])
    if fed.isdisjoint(driver):
        yield Problem(
            at,
            f"no way through parts leads from '{AMPLIFIER}' to the driver, but for one over "
            f"'{RETURN}', so it gets no current; join '{DRIVER}' to the amplifier's side",
        )
    elif RETURN not in hot and hot.issuperset(driver):
        yield Problem(
            at,
            f"no way through parts leads back from the driver to '{RETURN}', so it gets no "
            f"current; join a part to '{RETURN}', or leave '{DRIVER_RETURN}' out",
        )


def _reached(start: str, ends: Collection[Ends]) -> set[str]:
    """The nodes to which parts lead from one."""
    found, left = {start}, list(ends)
    while met := [pair for pair in left if not found.isdisjoint(pair)]:
        found.update(name for pair in met for name in pair)
        left = [pair for pair in left if pair not in met]
    return found
