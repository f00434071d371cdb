"""Responses and impedances of a finished loudspeaker from text tables, and what is no such."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.measured_model import LevelUnit
from acoustics.case.files.response_files import REFERENCES
from acoustics.curves import GUESS, Curve, CurveError, CurveForm, curve_of
from acoustics.curves.columns import Roles, heads_of, roles_of
from acoustics.curves.rows import Rows, rows_of

FULL_TURN = 6.0
"""Phases that fill this range and none wider than 2π are in radians."""

QUARTER = 1.6
"""Phases of impedances in radians lie within; a quarter of a turn is 1.571."""

VARIES = 2.0
"""Ratio of an impedance's highest to its lowest from which its phase turns by tens of degrees."""


@dataclass(frozen=True, eq=False)
class Table:
    """A curve, and whether the table's heads say in what unit its values are."""

    curve: Curve
    says_unit: bool


def response_in(text: str, name: str, unit: LevelUnit | None, calibrated: bool) -> Table:
    """Pressures (Pa) in a table, or what is proportional to them.

    Args:
        text: of the file.
        name: of the file.
        unit: what its levels are; None for what its heads say, else dB re 20 µPa.
        calibrated: whether levels are sound pressures.

    Raises:
        CurveError: no such table.
    """
    rows = rows_of(text, name, GUESS)
    kinds = {head.kind for head in heads_of(rows)}
    if "impedance" in kinds and "level" not in kinds:
        raise CurveError(
            "holds an impedance by its heads, and a response is expected; give it as an impedance",
            name,
        )
    roles = roles_of(rows, name, "level", GUESS)
    words = roles.words(roles.value)
    says_dB = any(word.startswith("db") for word in words) or "spl" in words
    says = says_dB or bool(words & {"pa", "linear", "lin"}) or roles.real_imaginary
    says = says or unit is not None
    if unit is None:
        unit = "dB re 20 uPa"
        if says:
            unit = "Pa" if not says_dB else "dB re 1 Pa" if "pa" in words else unit
    linear = unit == "Pa" or (not says and not calibrated)
    form = GUESS if linear else CurveForm(magnitude="dB")
    assumed = CurveForm(magnitude="linear") if unit == "Pa" else GUESS
    curve = curve_of(text, name, "level", form, assumed)
    _refuse_radians(rows, roles, name, response=True)
    return Table(replace(curve, values=curve.values * REFERENCES[unit]), says)


def impedance_in(text: str, name: str) -> Table:
    """Impedances (ohm) in a table. Raises CurveError where it is no such table."""
    rows = rows_of(text, name, GUESS)
    heads = heads_of(rows)
    kinds = {head.kind for head in heads}
    levels = {word for head in heads if head.kind == "level" for word in head.words}
    if "impedance" not in kinds and (
        levels & {"spl", "pa", "pressure"} or any(word.startswith("db") for word in levels)
    ):
        raise CurveError(
            "holds a response by its heads, and an impedance is expected; give it as a response",
            name,
        )
    roles = roles_of(rows, name, "impedance", GUESS)
    curve = curve_of(text, name, "impedance", GUESS, CurveForm(magnitude="linear"))
    _refuse_radians(rows, roles, name, response=False)
    return Table(curve, bool(kinds & {"impedance", "level", "real"}))


def _refuse_radians(rows: Rows, roles: Roles, name: str, *, response: bool) -> None:
    """Phases that their head calls degrees and that can only be radians."""
    if roles.second is None or roles.real_imaginary:
        return
    if not roles.words(roles.second) & {"deg", "degs", "degree", "degrees", "°"}:
        return
    phase = rows.numbers[:, roles.second]
    sizes = rows.numbers[:, roles.value]
    largest = float(np.abs(phase).max())
    if response:
        wrong = largest <= np.pi * 1.001 and np.ptp(phase) > FULL_TURN
    else:
        varied = sizes.min() > 0 and sizes.max() > VARIES * sizes.min()
        wrong = largest <= QUARTER and varied
    if wrong:
        raise CurveError(
            f"its phases lie between {phase.min():.3g} and {phase.max():.3g}, as radians do, and "
            "their head says degrees; write rad into the head, or the phases in degrees",
            name,
        )
