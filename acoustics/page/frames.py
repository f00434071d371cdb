"""Curves and maps as bytes: a length, a header in JSON, and numbers in single precision.

The length of the header is an unsigned 32-bit number; spaces fill the header up so that the arrays,
one after the other, begin at a multiple of four bytes. All numbers have their low byte first.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from acoustics.conventions import PLACEMENT
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.under import MapUnder

ALIGNED = 4
"""bytes of a single-precision number, at multiples of which the arrays begin"""


def frame(header: Mapping[str, Any], arrays: Mapping[str, np.ndarray]) -> bytes:
    """A header, which is told the names and shapes of the arrays, and the arrays."""
    shapes = [[name, list(np.shape(values))] for name, values in arrays.items()]
    text = text_frame({**header, "arrays": shapes}).encode()
    text += b" " * (-len(text) % ALIGNED)
    numbers = (np.ascontiguousarray(values, dtype="<f4").tobytes() for values in arrays.values())
    return b"".join((struct.pack("<I", len(text)), text, *numbers))


def text_frame(message: Mapping[str, Any]) -> str:
    """A message as JSON, in ASCII, which every decoder takes."""
    return json.dumps(message, separators=(",", ":"), allow_nan=False)


def curves_frame(
    serial: int, curves: DraftCurves, warnings: Sequence[str] | None, took: float
) -> bytes:
    """What is heard of a draft.

    Args:
        serial: of the message that asked.
        curves: levels in dB.
        warnings: in words, why the draft cannot be built as it is; None where that is not told.
        took: seconds.
    """
    header = {
        "say": "curves",
        "serial": serial,
        "state": curves.state,
        "missing": curves.missing,
        "warnings": None if warnings is None else list(warnings),
        "crossovers": curves.crossovers.tolist(),
        "looks": curves.looks.tolist(),
        "figures": {name: or_none(value) for name, value in curves.figures.items()},
        "took": round(took, 4),
    }
    names = ("axis", "each", "window", "seat", "aside", "lobes")
    return frame(header, {name: getattr(curves, name) for name in names})


def map_frame(serial: int, driver: str, by: str, found: MapUnder) -> bytes:
    """Every place of a driver on its face, judged."""
    header = {
        "say": "map",
        "serial": serial,
        "driver": driver,
        "by": by,
        "words": PLACEMENT[by].long_name,
        "best": [or_none(each) for each in found.best],
    }
    return frame(header, {"right": found.right, "up": found.up, "values": found.values})


def or_none(value: float) -> float | None:
    """A number, or None where there is none: JSON knows no others."""
    return float(value) if math.isfinite(value) else None
