"""Starting points of a passive crossover as one labelled Dataset."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.network_parts import parts_of
from acoustics.conventions import COORDINATES, Variable
from acoustics.prediction.labels import labelled, origin_of
from acoustics.studies.crossover_start.model import TREATMENTS, Ladder, Start

_LADDER = ("driver", "slopes", "treatment")

TABLE: dict[str, Variable] = {
    "driver": COORDINATES["driver"],
    "frequency": COORDINATES["frequency"],
    "slopes": Variable(("slopes",), "1", "alignment and order of a textbook ladder"),
    "treatment": Variable(("treatment",), "1", "what is done about the driver's impedance"),
    "kind": Variable(("driver",), "1", "low-pass, high-pass or band-pass"),
    "low_corner": Variable(("driver",), "Hz", "corner of the high-pass; missing where none is"),
    "high_corner": Variable(("driver",), "Hz", "corner of the low-pass; missing where none is"),
    "part": Variable(("part",), "1", "part of a ladder"),
    "part_driver": Variable(("part",), "1", "driver to which the part belongs"),
    "part_slopes": Variable(("part",), "1", "ladder to which the part belongs"),
    "part_treatment": Variable(("part",), "1", "treatment to which the part belongs"),
    "part_role": Variable(("part",), "1", "slopes, attenuator or compensation"),
    "part_place": Variable(("part",), "1", "in series with the driver, or across"),
    "part_kind": Variable(("part",), "1", "inductor, capacitor or resistor"),
    "part_value": Variable(("part",), "1", "its value in H, F or ohm"),
    "level": Variable(("driver",), "dB", "level to be had at 1 m"),
    "own_level": Variable(("driver",), "dB", "level of the driver's band without a filter at 1 m"),
    "impedance": Variable(
        ("driver", "frequency"), "ohm", "impedance of a driver in its box, at its terminals"
    ),
    "compensated_impedance": Variable(
        ("driver", "frequency"), "ohm", "the same with the compensation across the driver"
    ),
    "ideal": Variable(("driver", "frequency"), "1", "filter that the driver needs"),
    "transfer": Variable((*_LADDER, "frequency"), "1", "what a ladder gives the driver"),
    "deviation": Variable(_LADDER, "dB", "largest deviation about the corner from what is needed"),
    "deviation_frequency": Variable(_LADDER, "Hz", "where that is"),
    "load_deviation": Variable(_LADDER, "dB", "share of it that the driver's impedance makes"),
}


def slopes_name(alignment: str, order: int) -> str:
    """Alignment and order as one name: "linkwitz-riley 4"."""
    return f"{alignment} {order}"


def ladder_name(name: str) -> str:
    """The same as people write it: "Linkwitz-Riley, order 4"."""
    alignment, order = name.rsplit(" ", 1)
    return f"{'-'.join(part.capitalize() for part in alignment.split('-'))}, order {order}"


def roles_of(ladder: Ladder) -> Iterator[tuple[str, Any, Any]]:
    """Role, element and part of every part of a ladder, from the amplifier on."""
    roles = {
        "slopes": ladder.sections,
        "attenuator": ladder.attenuator,
        "compensation": ladder.compensation,
    }
    of = [role for role, elements in roles.items() for _ in elements]
    for part in parts_of([ladder.elements]):
        yield of[part.element], ladder.elements[part.element], part


def start_dataset(case: Case, frequency: np.ndarray, starts: Sequence[Start]) -> xr.Dataset:
    """Label the starting points of a case; NaN where a driver has no such ladder.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        starts: of its drivers, from the lowest on.
    """
    names = list(
        dict.fromkeys(
            slopes_name(*pair)
            for pair in sorted(
                {pair for each in starts for pair in each.slopes.textbook()},
                key=lambda pair: (pair[1], pair[0]),
            )
        )
    )
    shape = (len(starts), len(names), len(TREATMENTS))
    transfer = np.full((*shape, frequency.size), complex(np.nan, np.nan))
    figures = np.full((3, *shape), np.nan)
    rows = []
    for n, start in enumerate(starts):
        for ladder in start.ladders:
            name = slopes_name(ladder.alignment, ladder.order)
            at = n, names.index(name), TREATMENTS.index(ladder.treatment)
            transfer[at] = ladder.transfer
            figures[(slice(None), *at)] = ladder.deviation, ladder.where, ladder.of_load
            own = start.slopes.driver, name, ladder.treatment
            for role, element, part in roles_of(ladder):
                rows.append((*own, role, element.place, part.kind, part.name, part.value))
    columns = list(zip(*rows, strict=True))
    arrays = {
        "level": np.array([each.level for each in starts]),
        "own_level": np.array([each.own for each in starts]),
        "impedance": np.array([each.impedance for each in starts]),
        "compensated_impedance": np.array([each.flattened for each in starts]),
        "ideal": np.array([each.ideal for each in starts]),
        "transfer": transfer,
        "deviation": figures[0],
        "deviation_frequency": figures[1],
        "load_deviation": figures[2],
    }
    corners = [(each.slopes.low_corner, each.slopes.high_corner) for each in starts]
    low, high = (
        np.array([np.nan if c is None else c for c in row]) for row in zip(*corners, strict=True)
    )
    coordinates = {
        "driver": np.array([each.slopes.driver for each in starts], dtype=str),
        "frequency": frequency,
        "slopes": np.array(names, dtype=str),
        "treatment": np.array(TREATMENTS, dtype=str),
        "kind": np.array([each.slopes.kind for each in starts], dtype=str),
        "low_corner": low,
        "high_corner": high,
        "part_driver": np.array(columns[0], dtype=str),
        "part_slopes": np.array(columns[1], dtype=str),
        "part_treatment": np.array(columns[2], dtype=str),
        "part_role": np.array(columns[3], dtype=str),
        "part_place": np.array(columns[4], dtype=str),
        "part_kind": np.array(columns[5], dtype=str),
        "part": np.array(columns[6], dtype=str),
        "part_value": np.array(columns[7], dtype=float),
    }
    attributes = {
        **origin_of(case),
    }
    return labelled(arrays, coordinates, attributes, TABLE)
