"""What a search for a layout might have found, made by hand: no field is solved for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from acoustics.case.design.place_model import Moved, Place, Quality, Treatment
from acoustics.studies.layout_search.answer import Arranged, Freedom, LayoutFound

ROUNDED = Treatment("rounded", rounds=(("front left", 0.02), ("front right", 0.02)))

QUALITIES: tuple[Quality, ...] = ("ripple off axis", "common ripple", "sides", "seat level")


def arranged(right: float, up: float, *figures: float, **changes: Any) -> Arranged:
    """The tweeter somewhere, the woofer 50 mm down, with the figures of `QUALITIES` in dB."""
    values: dict[str, Any] = {
        "positions": {"tweeter": (right, up), "woofer": (0.0, -0.05)},
        "corners": (),
        "delays": {},
        "treatment": None,
        "figures": dict(zip(QUALITIES, figures, strict=True)),
    }
    return Arranged(**{**values, **changes})


START = arranged(0.0, 0.10, 2.0, 1.0, 0.0, 80.0)
BEST = arranged(0.030, 0.1205, 1.2, 0.8, 0.7, 79.9)
MIDDLE = arranged(0.010, 0.110, 1.5, 0.9, 0.2, 80.0)
END = arranged(0.0, 0.115, 1.9, 0.9, 0.0, 80.0)


def found_of(**changes: Any) -> LayoutFound:
    """An answer for the two-way of `make_case`; any field can be changed by keyword."""
    line = tuple((at, 1.2 + 40 * abs(at - 0.030)) for at in np.linspace(-0.05, 0.05, 41).tolist())
    places = np.stack(np.meshgrid(np.linspace(-0.11, 0.11, 23), np.linspace(-0.19, 0.19, 39)), -1)
    across, up = places.reshape(-1, 2).T
    ground = np.column_stack([across, up, np.maximum(abs(across) - 0.05, abs(up) - 0.13)])
    drawn = np.random.default_rng(1)
    values: dict[str, Any] = {
        "question": Place(moved=(Moved("tweeter"), Moved("woofer"))),
        "start": START,
        "best": BEST,
        "gain": 0.8,
        "broken": (),
        "front": (BEST, MIDDLE, END),
        "knee": 1,
        "freedom": (
            Freedom("tweeter right", "m", 0.030, 0.027, 0.0325, "worse", "rule", line),
            Freedom("tweeter up", "m", 0.1205, 0.110, 0.1205, "rule", "rule", line),
            Freedom("woofer right", "m", 0.0, 0.0, 0.0, "rule", "rule", ((0.0, 1.2),) * 41),
            Freedom("woofer up", "m", -0.05, -0.06, -0.04, "worse", "worse", line),
        ),
        "within": 0.12,
        "tried": 300,
        "deviation": 0.004,
        "lattices": (ground, ground),
        "names": ("tweeter right", "tweeter up", "woofer right", "woofer up"),
        "treatments": (None,),
        "archive": drawn.uniform(-0.05, 0.05, (300, 4)),
        "archive_aims": drawn.uniform((1.2, 0.0), (2.5, 1.0), (300, 2)),
        "archive_treatment": np.zeros(300, dtype=int),
    }
    return replace(LayoutFound(**values), **changes)
