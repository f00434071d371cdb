"""How small-signal parameters follow from each other, and where a set of them contradicts itself.

Formulas: Thiele, J. Audio Eng. Soc. 19 (1971) 382; Small, J. Audio Eng. Soc. 20 (1972) 383
(from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations

from acoustics.conventions import Air
from acoustics.driver.parameters import Measured, SmallSignal

FIELDS = (
    "dc_resistance",
    "force_factor",
    "moving_mass",
    "compliance",
    "mechanical_resistance",
    "effective_area",
)
"""The six quantities that define a driver, in SI units."""

QUANTITIES = (
    "resonance",
    "mechanical_q",
    "electrical_q",
    "total_q",
    "equivalent_volume",
    *FIELDS,
)
"""What may be stated of it."""

PISTON = "piston_diameter"
"""Where the effective area comes from if it is not stated."""

MOST_APART = 0.05
"""Two ways to one value may differ by this ratio less one: as exact as data sheets are rounded and
measured (common practice, no source)."""

MOST_FORGIVEN = 0.25
"""Beyond this a set is refused: a slip of the pen, or parameters of two drivers."""

Values = Mapping[str, float]
Way = Callable[[Values], float]


@dataclass(frozen=True, eq=False)
class Relation:
    """Quantities one of which follows from the others: a way to each.

    Those that follow from other relations are there to derive by, and are not `checked`.
    """

    ways: dict[str, Way]
    checked: bool = True

    @property
    def lead(self) -> str:
        """The quantity that is compared."""
        return next(iter(self.ways))

    def parts(self, of: str) -> tuple[str, ...]:
        """What a quantity follows from."""
        return tuple(name for name in self.ways if name != of)


@dataclass(frozen=True)
class Contradiction:
    """Two ways to one quantity that give different values; the ways in words.

    `difference` is the ratio of the larger value to the smaller, less one.
    """

    quantity: str
    value: float
    way: str
    other_value: float
    other_way: str
    difference: float

    @property
    def forgiven(self) -> bool:
        """Whether it may be left standing."""
        return self.difference <= MOST_FORGIVEN


@dataclass(frozen=True)
class Impossible:
    """A quantity that no driver has; `reason` in words."""

    quantity: str
    reason: str


@dataclass(frozen=True)
class Related:
    """What follows from some parameters of a driver.

    `values` holds all that are known, in SI units. `missing` are those of the six that do not
    follow, `enough` the quantities any one of which would do instead, and `both` two that would
    where none does by itself. `small_signal` is None if something is missing or impossible.
    """

    values: dict[str, float]
    small_signal: SmallSignal | None = None
    contradictions: tuple[Contradiction, ...] = ()
    impossible: tuple[Impossible, ...] = ()
    missing: tuple[str, ...] = ()
    enough: tuple[str, ...] = ()
    both: tuple[str, ...] = ()


def relations(air: Air) -> tuple[Relation, ...]:
    """The relations between the quantities, for parameters that were measured in `air`.

    Two quantities stand between those that are stated: the impedance of the resonance √(M/C)
    ("impedance", kg/s) and the damping by the voice coil Bl²/R_e ("coil_damping", kg/s). With them
    whatever follows from a set of parameters follows step by step, one relation at a time.
    """
    stiffness = air.density * air.speed_of_sound**2
    turn = 2 * math.pi
    return (
        Relation(
            {
                "resonance": lambda v: 1 / (turn * math.sqrt(v["moving_mass"] * v["compliance"])),
                "moving_mass": lambda v: 1 / ((turn * v["resonance"]) ** 2 * v["compliance"]),
                "compliance": lambda v: 1 / ((turn * v["resonance"]) ** 2 * v["moving_mass"]),
            }
        ),
        Relation(
            {
                "equivalent_volume": lambda v: (
                    stiffness * v["effective_area"] ** 2 * v["compliance"]
                ),
                "compliance": lambda v: (
                    v["equivalent_volume"] / (stiffness * v["effective_area"] ** 2)
                ),
                "effective_area": lambda v: math.sqrt(
                    v["equivalent_volume"] / (stiffness * v["compliance"])
                ),
            }
        ),
        Relation(
            {
                "impedance": lambda v: math.sqrt(v["moving_mass"] / v["compliance"]),
                "moving_mass": lambda v: v["impedance"] ** 2 * v["compliance"],
                "compliance": lambda v: v["moving_mass"] / v["impedance"] ** 2,
            },
            checked=False,
        ),
        Relation(
            {
                "impedance": lambda v: turn * v["resonance"] * v["moving_mass"],
                "moving_mass": lambda v: v["impedance"] / (turn * v["resonance"]),
                "resonance": lambda v: v["impedance"] / (turn * v["moving_mass"]),
            },
            checked=False,
        ),
        Relation(
            {
                "impedance": lambda v: 1 / (turn * v["resonance"] * v["compliance"]),
                "compliance": lambda v: 1 / (turn * v["resonance"] * v["impedance"]),
                "resonance": lambda v: 1 / (turn * v["impedance"] * v["compliance"]),
            },
            checked=False,
        ),
        Relation(
            {
                "coil_damping": lambda v: v["force_factor"] ** 2 / v["dc_resistance"],
                "force_factor": lambda v: math.sqrt(v["coil_damping"] * v["dc_resistance"]),
                "dc_resistance": lambda v: v["force_factor"] ** 2 / v["coil_damping"],
            },
            checked=False,
        ),
        _quality("mechanical_q", "mechanical_resistance"),
        _quality("electrical_q", "coil_damping"),
        Relation(
            {
                "total_q": lambda v: 1 / (1 / v["mechanical_q"] + 1 / v["electrical_q"]),
                "mechanical_q": lambda v: 1 / (1 / v["total_q"] - 1 / v["electrical_q"]),
                "electrical_q": lambda v: 1 / (1 / v["total_q"] - 1 / v["mechanical_q"]),
            }
        ),
        Relation(
            {
                "total_q": lambda v: (
                    v["impedance"] / (v["mechanical_resistance"] + v["coil_damping"])
                ),
                "impedance": lambda v: (
                    v["total_q"] * (v["mechanical_resistance"] + v["coil_damping"])
                ),
                "mechanical_resistance": lambda v: (
                    v["impedance"] / v["total_q"] - v["coil_damping"]
                ),
                "coil_damping": lambda v: (
                    v["impedance"] / v["total_q"] - v["mechanical_resistance"]
                ),
            },
            checked=False,
        ),
    )


def _quality(name: str, resistance: str) -> Relation:
    """Q = √(M/C) / resistance."""
    return Relation(
        {
            name: lambda v: v["impedance"] / v[resistance],
            resistance: lambda v: v["impedance"] / v[name],
            "impedance": lambda v: v[name] * v[resistance],
        }
    )


def related(
    given: Values,
    air: Air,
    *,
    piston_area: float | None = None,
    measured: Measured = "free air",
) -> Related:
    """All that follows from the stated parameters of a driver.

    Args:
        given: some of QUANTITIES, each above 0, in SI units.
        air: in which they were measured.
        piston_area: m², taken for the effective area if that is not given.
        measured: which air is part of the moving mass.
    """
    start = {name: value for name, value in given.items() if name in QUANTITIES}
    roots = {name: frozenset([name]) for name in start}
    if "effective_area" not in start and piston_area is not None:
        start["effective_area"] = piston_area
        roots["effective_area"] = frozenset([PISTON])
    impossible = tuple(_too_large(start))
    if impossible:
        return Related(start, impossible=impossible)
    found = _Found(start, roots)
    table = relations(air)
    used = found.derive(table)
    stated = {name: found.values[name] for name in QUANTITIES if name in found.values}
    if found.impossible:
        return Related(stated, impossible=tuple(found.impossible))
    missing = tuple(name for name in FIELDS if name not in found.values)
    if missing:
        enough, both = _what_suffices(start, table)
        return Related(stated, missing=missing, enough=enough, both=both)
    return Related(
        stated,
        SmallSignal(
            dc_resistance=stated["dc_resistance"],
            force_factor=stated["force_factor"],
            moving_mass=stated["moving_mass"],
            compliance=stated["compliance"],
            mechanical_resistance=stated["mechanical_resistance"],
            effective_area=stated["effective_area"],
            measured=measured,
        ),
        tuple(found.contradictions(relation for relation in table if relation not in used)),
    )


@dataclass
class _Found:
    """Values known so far, and from which stated ones each of them follows."""

    values: dict[str, float]
    roots: dict[str, frozenset[str]]
    derived: set[str] = field(default_factory=set)
    impossible: list[Impossible] = field(default_factory=list)

    def derive(self, table: tuple[Relation, ...]) -> list[Relation]:
        """Add all that follows; returns the relations by which it did."""
        used = list[Relation]()
        for relation, name in _steps(self.values, table):
            value = _solved(relation.ways[name], self.values)
            if value is None:
                reason = f"does not come out above 0 {self._from(relation.parts(name))}"
                self.impossible.append(Impossible(name, reason))
                break
            self.values[name] = value
            self.roots[name] = frozenset().union(*(self.roots[p] for p in relation.parts(name)))
            self.derived.add(name)
            used.append(relation)
        return used

    def contradictions(self, unused: Iterator[Relation]) -> Iterator[Contradiction]:
        """Relations that do not hold between the values."""
        for relation in unused:
            name = relation.lead
            value, other = self.values[name], _solved(relation.ways[name], self.values)
            if not relation.checked or other is None:
                continue
            difference = max(value, other) / min(value, other) - 1
            if difference > MOST_APART:
                way = self._from([name]) if name in self.derived else "as given"
                yield Contradiction(
                    name, value, way, other, self._from(relation.parts(name)), difference
                )

    def _from(self, names: Collection[str]) -> str:
        """The stated quantities behind some others, in words."""
        behind = frozenset().union(*(self.roots[name] for name in names))
        *first, last = [name for name in (*QUANTITIES, PISTON) if name in behind]
        return f"from {', '.join(first)}{' and ' if first else ''}{last}"


def _steps(known: Collection[str], table: tuple[Relation, ...]) -> Iterator[tuple[Relation, str]]:
    """What follows from the `known` quantities, one after the other."""
    have = set(known)
    again = True
    while again:
        again = False
        for relation in table:
            unknown = [name for name in relation.ways if name not in have]
            if len(unknown) == 1:
                yield relation, unknown[0]
                have.add(unknown[0])
                again = True


def _solved(way: Way, values: Values) -> float | None:
    """The value of a way, or None where it is no positive number."""
    try:
        value = way(values)
    except (ZeroDivisionError, ValueError, OverflowError):
        return None
    return value if math.isfinite(value) and value > 0 else None


def _too_large(values: Values) -> Iterator[Impossible]:
    """A total Q that is not below those of which it is made."""
    total = values.get("total_q")
    for name in ("mechanical_q", "electrical_q"):
        if total is not None and name in values and total >= values[name]:
            yield Impossible(
                "total_q",
                f"is not below {name} ({values[name]:.4g}), though it is that of both losses "
                "together",
            )


def _what_suffices(
    known: Collection[str], table: tuple[Relation, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Single quantities that would complete a set; if there is none, two that would together."""

    def complete(more: tuple[str, ...]) -> bool:
        have = {*known, *more}
        return {*FIELDS} <= have | {name for _, name in _steps(have, table)}

    absent = [name for name in QUANTITIES if name not in known]
    enough = tuple(name for name in absent if complete((name,)))
    pairs = combinations(absent, 2) if not enough else iter(())
    return enough, next((pair for pair in pairs if complete(pair)), ())
