"""Tables of drivers' impedances: files that a case or its driver files name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

import numpy as np

from acoustics.case.design.files_model import DriverFile
from acoustics.case.files.curve_files import band_words
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.curves import Curve, CurveForm, at_frequencies, curve_of

KEY = ("impedance",)
WRITTEN = CurveForm(magnitude="linear", phase="deg")
"""What a table is taken to hold where it does not say: ohm and degrees."""

LEAST, MOST = 0.5, 1000.0
"""ohm: where the middle of a driver's impedances lies (common practice, no source)"""


def impedance_curve(file: DriverFile) -> Curve:
    """What a table holds. Raises CurveError."""
    return _curve(file.text, file.path)


def impedance_problems(
    drivers: Mapping[str, Values], curves: Mapping[str, Curve], grid: Values
) -> Iterator[Problem]:
    """Tables without phase, of something that is no load, or too short for a prediction."""
    for name, curve in curves.items():
        at: Path = ("drivers", name, *KEY)
        if not curve.has_phase:
            yield Problem(
                at,
                f"{curve.source} has no phase, without which nobody knows what a crossover does "
                "with it; measure it with its phase, a third column in degrees, or leave it out",
            )
            continue
        if (giving := curve.values.real <= 0).any():
            where = int(np.argmax(giving))
            yield Problem(
                at,
                f"{curve.source}: at {curve.frequency[where]:g} Hz its phase is "
                f"{np.degrees(np.angle(curve.values[where])):.0f} degrees, which no driver has; "
                "check the columns: frequency, ohm, degrees between -90 and 90",
            )
            continue
        usual = float(np.median(np.abs(curve.values)))
        if not LEAST <= usual <= MOST:
            yield Problem(
                at,
                f"{curve.source}: its impedances are about {usual:.3g} ohm, and drivers have "
                f"{LEAST:g} to {MOST:g} ohm; check the unit: write ohm, or dB re 1 ohm with dB in "
                "the column's head",
            )
            continue
        wanted = [grid[end] for end in ("lowest", "highest") if end in grid]
        beyond = drivers.get(name, {}).get("extrapolate_impedance", True)
        if len(wanted) == 2 and not beyond:
            _, outside = at_frequencies(curve, np.array(wanted), beyond=True)
            if outside.any():
                yield Problem(
                    at,
                    f"{curve.source} goes from {band_words(*curve.frequency[[0, -1]])}, and the "
                    f"case from {band_words(*wanted)}; measure further, change frequencies.lowest "
                    "or frequencies.highest, or write extrapolate_impedance = true, with which "
                    "the ends of the table are carried on",
                )


@lru_cache(maxsize=8)
def _curve(text: str, source: str) -> Curve:
    # Every point of a sweep reads the same tables.
    return curve_of(text, source, "impedance", assumed=WRITTEN)
