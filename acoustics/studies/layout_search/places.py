"""Where moved drivers may be: rules over lattices of places, and which of them conflict."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.text.phrases import listed
from acoustics.conventions import RoundoverError
from acoustics.studies.driver_map.face_places import LEAST_ROOM
from acoustics.studies.layout_search.rule import Rule
from acoustics.studies.layout_search.sites import Site

STEP, WIDE_STEP = 2.5e-3, 8e-3
"""m: between the places at which one driver's rules are tried, and those of two"""

TOGETHER = 3
"""rules of two drivers up to which the fewest that conflict are sought; of more, not one too many
is named"""

DRAWN = 4000
"""layouts that are drawn at once in search of allowed ones"""

ROUNDS = 40
"""times"""


@dataclass(frozen=True)
class Allowed:
    """Places of each moved driver that its own rules allow: (place, 2), right and up, m."""

    places: tuple[np.ndarray, ...]

    lattices: tuple[np.ndarray, ...]
    """of each, (place, 3): right and up all over its face, and by how much its own rules are broken
    there, 0 or less where they are kept, m"""

    boxes: tuple[np.ndarray, ...]
    """of each, a box round them: ((right, up), (lowest, highest)), m"""


def allowed_places(sites: Sequence[Site], rules: Sequence[Rule], where: str) -> Allowed:
    """The places of every moved driver.

    Raises:
        RoundoverError: rules that leave no place: it names the one, two or three that conflict.
    """
    found, lattices = [], []
    for number, site in enumerate(sites):
        own = [rule for rule in rules if rule.drivers == (number,)]
        places = _lattice(site, own, STEP)
        short = np.array([rule.shortfall(*places.T) for rule in own])
        kept = short <= 0
        if not kept.all(axis=0).any():
            raise _conflict(where, site.driver.name, own, kept)
        found.append(places[kept.all(axis=0)])
        lattices.append(np.column_stack([places, short.max(axis=0)]))
    pairs = sorted({rule.drivers for rule in rules if len(rule.drivers) == 2})
    for one, other in pairs:
        _refuse_pair(where, sites, rules, one, other)
    boxes = tuple(_box(site, places) for site, places in zip(sites, found, strict=True))
    return Allowed(tuple(found), tuple(lattices), boxes)


def _box(site: Site, places: np.ndarray) -> np.ndarray:
    """A box round the allowed places of a driver, and what lies between them and the next tried."""
    room = site.driver.piston_diameter / 2 + LEAST_ROOM
    ends = []
    for values, span, given in zip(
        places.T, site.spans, (site.asked.right, site.asked.up), strict=True
    ):
        low, high = given or span
        low, high = max(low, span[0] + room), min(high, span[1] - room)
        ends.append((max(values.min() - STEP, low), min(values.max() + STEP, high)))
    return np.array(ends)


def shortfall(rules: Sequence[Rule], places: Sequence[np.ndarray]) -> np.ndarray:
    """By how much layouts break the rules, all together, m: (layout,), 0 where they keep to all.

    Args:
        rules: the rules.
        places: of each moved driver, (layout, 2), right and up, m.
    """
    return sum((np.maximum(one, 0.0) for one in _each(rules, places)), np.zeros(len(places[0])))


def broken(rules: Sequence[Rule], places: Sequence[np.ndarray]) -> tuple[str, ...]:
    """What one layout breaks, in words."""
    at = [np.asarray(each).reshape(1, 2) for each in places]
    pairs = zip(rules, _each(rules, at), strict=True)
    return tuple(rule.words for rule, lack in pairs if lack[0] > 0)


def drawn_layouts(
    rules: Sequence[Rule], allowed: Allowed, count: int, draw: np.random.Generator
) -> np.ndarray:
    """Layouts that keep to all rules, drawn at random: (layout, driver, 2), `count` at most."""
    found: list[np.ndarray] = []
    for _ in range(ROUNDS):
        tried = np.stack(
            [each[draw.integers(len(each), size=DRAWN)] for each in allowed.places], axis=1
        )
        good = shortfall(rules, list(np.moveaxis(tried, 1, 0))) <= 0
        found += list(tried[good][: count - len(found)])
        if len(found) >= count:
            break
    return np.array(found).reshape(-1, len(allowed.places), 2)


def _each(rules: Sequence[Rule], places: Sequence[np.ndarray]) -> list[np.ndarray]:
    return [
        rule.shortfall(*(line for n in rule.drivers for line in np.asarray(places[n]).T))
        for rule in rules
    ]


def _lattice(site: Site, own: Sequence[Rule], step: float) -> np.ndarray:
    """Places over the face's box, (place, 2); those that rules turn on are among them."""
    lines = []
    for axis, (low, high) in enumerate(site.spans):
        even = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
        given = [at for rule in own for at in rule.lines[axis] if low <= at <= high]
        lines.append(np.unique(np.concatenate([even, given])))
    across, along = np.meshgrid(*lines)
    return np.stack([across.ravel(), along.ravel()], axis=1)


def _kept(rules: Sequence[Rule], places: np.ndarray) -> np.ndarray:
    """(rule, place): which places keep to which rule of one driver."""
    return np.array([rule.shortfall(places[:, 0], places[:, 1]) <= 0 for rule in rules])


def _conflict(where: str, name: str, rules: Sequence[Rule], kept: np.ndarray) -> RoundoverError:
    """The fewest rules that leave no place between them."""
    for count in range(1, len(rules) + 1):
        for group in itertools.combinations(range(len(rules)), count):
            if not kept[list(group)].all(axis=0).any():
                return _told(where, f"'{name}'", [rules[n] for n in group])
    raise AssertionError("some rules leave no place")


def _refuse_pair(
    where: str, sites: Sequence[Site], rules: Sequence[Rule], one: int, other: int
) -> None:
    """Raise if what concerns two drivers leaves no places for both."""
    own = [[rule for rule in rules if rule.drivers == (n,)] for n in (one, other)]
    both = [rule for rule in rules if rule.drivers == (one, other)]
    lattices = [
        _lattice(sites[n], mine, WIDE_STEP) for n, mine in zip((one, other), own, strict=True)
    ]
    kept = [_kept(mine, places) for mine, places in zip(own, lattices, strict=True)]

    def possible(first: Sequence[int], second: Sequence[int], pair: Sequence[int]) -> bool:
        places = [
            lattice[mask[list(chosen)].all(axis=0)] if chosen else lattice
            for lattice, mask, chosen in zip(lattices, kept, (first, second), strict=True)
        ]
        if not all(len(each) for each in places):
            # The coarse lattice may miss a narrow stretch: that is for the fine one to judge.
            return True
        (right, up), (its_right, its_up) = (each.T for each in places)
        for start in range(0, right.size, 200):
            few = slice(start, start + 200)
            args = (right[few, None], up[few, None], its_right[None], its_up[None])
            if np.all([both[n].shortfall(*args) <= 0 for n in pair], axis=0).any():
                return True
        return False

    every = [list(range(len(part))) for part in (*own, both)]
    if possible(*every):
        return
    names = f"'{sites[one].driver.name}' and '{sites[other].driver.name}'"
    everything = [(part, n) for part, numbers in enumerate(every) for n in numbers]
    parts = (*own, both)

    def conflicts(group: Sequence[tuple[int, int]]) -> bool:
        chosen = [[n for part, n in group if part == which] for which in range(3)]
        return bool(chosen[2]) and not possible(*chosen)

    for count in range(1, TOGETHER + 1):
        for group in itertools.combinations(everything, count):
            if conflicts(group):
                raise _told(where, names, [parts[part][n] for part, n in group])
    # Of more, those without which it would not be one; what was stated is left out last.
    needed = everything
    for each in sorted(everything, key=lambda one: any(parts[one[0]][one[1]].lines)):
        rest = [one for one in needed if one != each]
        needed = rest if conflicts(rest) else needed
    raise _told(where, names, [parts[part][n] for part, n in needed])


def _told(where: str, names: str, rules: Sequence[Rule]) -> RoundoverError:
    what = "; ".join(rule.words for rule in rules)
    kept = {1: "no place keeps to that", 2: "no place keeps to both"}
    ways = dict.fromkeys(way for rule in rules for way in rule.ways)
    return RoundoverError(
        f"{where}: there is no place for {names}: {what}; "
        f"{kept.get(len(rules), 'no place keeps to all of that')}. Ways out: "
        f"{listed(list(ways), 'or')}"
    )
