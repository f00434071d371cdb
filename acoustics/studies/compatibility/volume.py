"""The air each driver wants behind it against the air there is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from acoustics.cabinet import flat_parts, outer_volume
from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import body_of
from acoustics.source.alignments import closed_alignment, vented_alignment
from acoustics.source.box import box_compliance
from acoustics.source.cone import driven_q
from acoustics.studies.compatibility.line import Line, Verdict, at_least, at_most, worst
from acoustics.studies.compatibility.ways import Ways, names

LEAKAGE_Q = 7.0
"""Of a box that is not yet stated (Small, J. Audio Eng. Soc. 21, 1973, 363; from memory)."""

Q_WANTED = 1 / math.sqrt(2)
"""Of a closed box: maximally flat."""

LEAST, MOST = 0.7, 1.5
"""Volume there over the one wanted."""

FAR_LEAST, FAR_MOST = 0.5, 2.0
"""Likewise at a second look."""

OWN_CHAMBER = 1000.0
"""Hz: drivers that begin above usually are closed behind (common practice, no source)."""


def volume_lines(case: Case, ways: Ways) -> Iterator[Line]:
    """Volume of every enclosure, and of drivers that should have one, against what they want."""
    housed = {name for each in case.enclosures for name in each.drivers}
    for home in case.enclosures:
        members = tuple(i for i, driver in enumerate(case.drivers) if driver.name in home.drivers)
        if members:
            yield _enclosure_line(case, home, members, bool(set(members) & set(ways.lowest)))
    for number, driver in enumerate(case.drivers):
        if driver.name in housed or driver.both_sides or case.cabinet.depth == 0:
            continue
        if number in ways.lowest or 0 < ways.bands[number].low < OWN_CHAMBER:
            unknown = () if driver.small_signal else (f"drivers.{driver.name}.small_signal",)
            outside = outer_volume(flat_parts(body_of(case.cabinet)))
            closed, vented = (wanted_volume(case, (number,), kind) for kind in ("closed", "vented"))
            yield Line(
                "volume",
                (driver.name,),
                {
                    "closed": closed,
                    "vented": vented,
                    "outer": outside,
                },
                missing=("enclosures", *unknown),
            )


def _enclosure_line(case: Case, home: Enclosure, members: tuple[int, ...], bass: bool) -> Line:
    kind = "closed" if home.kind == "closed" else "vented"
    closed, vented = (
        wanted_volume(case, members, one, home.leakage_q) for one in ("closed", "vented")
    )
    wanted = closed if kind == "closed" else vented
    lacking = [case.drivers[i].name for i in members if case.drivers[i].small_signal is None]
    # Fibre makes the air seem more than it is.
    seeming = box_compliance(home, case.air) * case.air.density * case.air.speed_of_sound**2
    ratio = seeming / wanted
    return Line(
        "volume",
        names(case, members),
        {
            "ratio": ratio,
            "volume": home.volume,
            "wanted": wanted,
            "closed": closed,
            "vented": vented,
            "is_vented": float(kind == "vented"),
            "bass": float(bass),
        },
        "not known" if lacking else _judged(ratio, bass),
        missing=tuple(f"drivers.{name}.small_signal" for name in lacking),
    )


def _judged(ratio: float, bass: bool) -> Verdict:
    """How a volume fits. NaN: none fits the driver's Q.

    A driver that does not make the bass minds no larger volume, and what a smaller one does to it
    is above all a higher resonance, which has a check of its own.
    """
    if bass:
        if math.isnan(ratio):
            return "bad"
        return worst((at_least(ratio, LEAST, FAR_LEAST), at_most(ratio, MOST, FAR_MOST)))
    return "good" if ratio >= LEAST else "look twice"


def wanted_volume(
    case: Case, members: tuple[int, ...], kind: str, leakage_q: float = LEAKAGE_Q
) -> float:
    """Volume in which drivers are maximally flat, or as near as their Q allows, m³.

    Closed: Q_TC = 0.707, without losses. Vented, or with passive radiators: B4, QB3 or C4,
    whichever fits the Q. The resistance of amplifier and cable raises the Q. Volumes of several
    drivers add. NaN where no volume will do, or the parameters are not stated.
    """
    total = 0.0
    for i in members:
        signal = case.drivers[i].small_signal
        if signal is None:
            return math.nan
        given = signal.resonance, driven_q(case, signal), signal.equivalent_volume(case.air)
        found = (
            closed_alignment(*given, Q_WANTED)
            if kind == "closed"
            else vented_alignment(*given, leakage_q)
        )
        if found is None:
            return math.nan
        total += found.volume
    return total
