"""The best box for an aim: volume, and tuning where there is one, looked for freely."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.optimize import minimize

from acoustics.case.design.enclosure_model import Enclosure, port_part
from acoustics.case.design.model import Case
from acoustics.case.geometry.shell import shell_in
from acoustics.conventions import DRIVE_VOLTAGE, RoundoverError
from acoustics.source.limits import input_limits
from acoustics.source.motion import motion_of, total
from acoustics.source.together import together
from acoustics.studies.box.curves import half_space_level, lowest, reference_level
from acoustics.studies.box.retuned import retuned

BoxAim = Literal["flat", "deep", "loud"]
BOX_AIMS = ("flat", "deep", "loud")

PEAK = 1.0
"""dB: what a deep box may rise above its reference level"""

HALF_POWER = 10 * math.log10(2)
"""dB"""

JUDGED_TO = 200.0
"""Hz: farther up the box changes little, and coil and cabinet come in"""

PER_OCTAVE = 48
LOWEST = 10.0
"""Hz: the frequencies at which boxes are judged"""

SMALLEST = 0.05
"""of the largest volume: where the search begins"""

TUNINGS = (0.3, 2.0)
"""over the resonance of the driver in free air: between which tunings are looked for"""

NOTABLE = {"flat": 0.02, "deep": 0.005, "loud": 0.05}
"""By how much a box must be better, dB (deep: the logarithm of frequency)"""

SAME = 1e-9
"""relative: volumes that differ by less are the same"""

FITTINGS, FITS = 8, 1e-4
"""How often the volume is made smaller by what longer ports take, and how exactly it must fit."""

VOLUMES_TRIED, TUNINGS_TRIED = 14, 24


@dataclass(frozen=True)
class Judged:
    """How boxes are judged: by which aim, and down to which frequency (Hz)."""

    aim: BoxAim
    reach: float


@dataclass(frozen=True)
class FoundBox:
    """The best box: the enclosure, and what was sought of it and of the one it came from.

    `figure` and `present` are in dB rms (flat), Hz (deep) or dB (loud); `reach` (Hz) is the
    frequency down to which boxes were judged, `most_volume` (m³) the largest net volume.
    """

    enclosure: Enclosure
    aim: BoxAim
    figure: float
    present: float
    reach: float
    most_volume: float


def find_box(
    case: Case,
    enclosure: str,
    aim: BoxAim,
    *,
    most_volume: float | None = None,
    reach: float | None = None,
) -> FoundBox:
    """Look for the net volume, and the tuning, that serve an aim best.

    flat: the smallest rms departure from the mean level between `reach` and 200 Hz. deep: the
    lowest frequency at which the level is 6 dB under its reference, with at most 1 dB of peak.
    loud: the highest level that every stated limit allows for a steady sine, at its lowest between
    `reach` and 200 Hz, with at most 1 dB of peak. Where no box is notably better, the present one
    is kept if it is small enough. The kind of box, its losses, its drivers, and size and number of
    its ports stay. The air load is the one with which the drivers were measured.

    A grid over volume and tuning, whose best point is then refined by the simplex of Nelder & Mead
    (Computer J. 7, 1965, 308): the same answer every time.

    Args:
        case: the design.
        enclosure: which of its enclosures.
        aim: one of `BOX_AIMS`.
        most_volume: largest net volume, m³; unless given what the cabinet's inside leaves for the
            only enclosure in it, where its walls are stated, else the present one.
        reach: Hz; the brief's unless given; else, of flat, the first driver's resonance, and of
            loud, the frequency at which the present box is 3 dB down.

    Raises:
        RoundoverError: no such enclosure or aim, drivers without small-signal parameters, no limit
            stated by which a box could be loud, or no box that could be made.

    Example:
        >>> case = ac.read_case("cases/compact-centred")  # doctest: +SKIP
        >>> find_box(case, "bass", "deep", most_volume=0.02).enclosure.volume  # doctest: +SKIP
    """
    if aim not in BOX_AIMS:
        raise RoundoverError(f"'{aim}' is no aim of a box; choose flat, deep or loud")
    present, alone = _alone(case, enclosure)
    most, gross = (most_volume, math.inf) if most_volume is not None else _room(case, present)
    if not most > 0:
        raise RoundoverError("the largest volume of a box must be above 0")
    frequency = LOWEST * 2 ** np.arange(
        0, math.log2(2 * JUDGED_TO / LOWEST), 1 / PER_OCTAVE, dtype=float
    )
    judged = Judged(aim, _reach(alone, present, aim, reach, frequency))
    if not judged.reach < JUDGED_TO:
        raise RoundoverError(
            f"boxes are judged up to {JUDGED_TO:g} Hz; give a reach below that, "
            f"not {judged.reach:g} Hz"
        )

    def made(point: np.ndarray) -> Enclosure | None:
        volume, tuning = math.exp(point[0]), math.exp(point[1]) if len(point) > 1 else None
        return _fitted(alone, present, volume, tuning, gross)

    def cost(point: np.ndarray) -> float:
        box = made(point)
        return math.inf if box is None else cost_of(alone, box, judged, frequency)

    best = _minimum(cost, _grid(alone, present, most))
    if best is None:
        raise RoundoverError(
            f"enclosure '{enclosure}': no box of at most {1000 * most:.3g} litres serves that with "
            "the drivers, ports or passive radiators it has; allow more volume or change those"
        )
    box = made(best)
    assert box is not None
    gain = cost_of(alone, present, judged, frequency) - cost_of(alone, box, judged, frequency)
    if present.volume <= most * (1 + SAME) and not gain > NOTABLE[aim]:
        box = present
    return FoundBox(
        enclosure=box,
        aim=aim,
        figure=figure_of(alone, box, judged, frequency),
        present=figure_of(alone, present, judged, frequency),
        reach=judged.reach,
        most_volume=min(most, gross - (box.gross - box.volume)),
    )


def cost_of(case: Case, box: Enclosure, judged: Judged, frequency: np.ndarray) -> float:
    """What is made as small as can be: the figure, and a fine for what is not allowed."""
    played = _played(case, box, frequency)
    figure = _figure(played, judged, frequency)
    if math.isnan(figure):
        return math.inf
    if judged.aim == "flat":
        return figure
    over = max(0.0, float(played.level.max()) - played.reference - PEAK)
    # A dB of peak is fined by more than any box gains by it: a decade of depth, 10 dB of level.
    return math.log(figure) + 2.3 * over if judged.aim == "deep" else 10.0 * over - figure


def figure_of(case: Case, box: Enclosure, judged: Judged, frequency: np.ndarray) -> float:
    """What is sought of a box, see `find_box`; NaN where it has none.

    Args:
        case: with this box's drivers alone, in the order in which the box has them.
        box: the enclosure.
        judged: by which aim.
        frequency: Hz, shape (frequency,).
    """
    return _figure(_played(case, box, frequency), judged, frequency)


def inside_of(case: Case) -> float | None:
    """Volume inside the cabinet's walls, m³; None if they are not stated."""
    if case.cabinet.shape == "plate":
        return None
    return shell_in(case).inside


def _room(case: Case, box: Enclosure) -> tuple[float, float]:
    """The largest net volume and the largest gross one (m³) of a box that stays in its cabinet."""
    inside = inside_of(case)
    if inside is None or len(case.enclosures) > 1:
        return box.volume, math.inf
    ports = {port_part(port.name) for port in box.ports}
    kept = sum(volume for what, volume in box.taken if what not in ports)
    gross = max(inside, box.gross)
    return gross - kept, gross


def _fitted(
    case: Case, present: Enclosure, volume: float, tuning: float | None, gross: float
) -> Enclosure | None:
    """A box of some net volume, or of what its ports leave of the largest gross one."""
    for _ in range(FITTINGS):
        box = retuned(case, present, volume, tuning)
        if box is None or box.gross <= gross * (1 + FITS):
            return box
        volume -= box.gross - gross
        if volume <= 0:
            return None
    return None


def _alone(case: Case, name: str) -> tuple[Enclosure, Case]:
    """An enclosure, and the case with nothing else in it and straight at the amplifier."""
    boxes = {each.name: each for each in case.enclosures}
    if name not in boxes:
        has = ", ".join(boxes) or "none"
        raise RoundoverError(f"the case has no enclosure '{name}'; it has: {has}")
    box = boxes[name]
    drivers = tuple(case.driver(driver) for driver in box.drivers)
    if any(driver.small_signal is None for driver in drivers):
        raise RoundoverError(
            f"enclosure '{name}': a box can be looked for only where all its drivers have "
            "small-signal parameters"
        )
    return box, replace(case, drivers=drivers, enclosures=(box,), crossover=())


def _reach(
    case: Case, box: Enclosure, aim: BoxAim, reach: float | None, frequency: np.ndarray
) -> float:
    played = _played(case, box, frequency)
    if aim == "loud" and not np.isfinite(played.headroom).all():
        raise RoundoverError(
            f"enclosure '{box.name}': how loud it plays cannot be told, because nothing is stated "
            "that limits it; add most_displacement and power to the driver, or an [amplifier]"
        )
    if reach is not None:
        return reach
    if case.brief is not None and case.brief.reach is not None:
        return case.brief.reach
    signal = case.drivers[0].small_signal
    assert signal is not None
    if aim == "flat":
        return signal.resonance
    three = lowest(frequency, played.level, played.reference, HALF_POWER)
    return signal.resonance if math.isnan(three) else three


def _grid(case: Case, box: Enclosure, most: float) -> list[np.ndarray]:
    """Logarithms of the volumes, and of the tunings, that are tried first."""
    volumes = np.log(np.geomspace(SMALLEST * most, most, VOLUMES_TRIED))
    if box.kind == "closed":
        return [volumes]
    signal = case.drivers[0].small_signal
    assert signal is not None
    low, high = (ratio * signal.resonance for ratio in TUNINGS)
    return [volumes, np.log(np.geomspace(low, high, TUNINGS_TRIED))]


def _minimum(cost: Callable[[np.ndarray], float], grid: list[np.ndarray]) -> np.ndarray | None:
    """Where a cost is least inside a grid; None where it is infinite everywhere."""
    points = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, len(grid))
    costs = np.array([cost(point) for point in points])
    start = points[int(costs.argmin())]
    if not np.isfinite(costs.min()):
        return None
    steps = np.array([axis[1] - axis[0] for axis in grid])
    # A step inward, so that a start on the border leaves the simplex room.
    middle = np.array([axis.mean() for axis in grid])
    corners = [start, *(start + np.where(start > middle, -s, s) for s in np.diag(steps) * 0.7)]
    low, high = (np.array([axis[end] for axis in grid]) for end in (0, -1))
    found = minimize(
        lambda point: min(cost(np.clip(point, low, high)), 1e9),
        start,
        method="Nelder-Mead",
        bounds=list(zip(low, high, strict=True)),
        options={"initial_simplex": np.array(corners), "xatol": 1e-4, "fatol": 1e-5},
    )
    answer: np.ndarray = found.x if found.fun <= costs.min() else start
    return answer


def _figure(played: _Played, judged: Judged, frequency: np.ndarray) -> float:
    band = (frequency >= judged.reach) & (frequency <= JUDGED_TO)
    if judged.aim == "flat":
        return float(played.level[band].std())
    if judged.aim == "deep":
        return lowest(frequency, played.level, played.reference, 6.0)
    return float((played.level + played.headroom)[band].min())


@dataclass(frozen=True)
class _Played:
    """All drivers of a box together: level for 2.83 V, its reference, and how much more they stand.

    dB; `level` and `headroom` over frequency, the latter infinite where nothing limits it.
    """

    level: np.ndarray
    reference: float
    headroom: np.ndarray


def _played(case: Case, box: Enclosure, frequency: np.ndarray) -> _Played:
    drivers = range(len(case.drivers))
    placed = replace(case, enclosures=(box,))
    moved = together(placed, motion_of(placed, frequency), drivers, frequency)
    limits = input_limits(placed, moved, frequency)
    most = np.where(np.isnan(limits), np.inf, limits).min(axis=(0, 1))
    return _Played(
        level=half_space_level(total(moved)[0], frequency, case.air),
        reference=reference_level(case, drivers),
        headroom=20 * np.log10(most / DRIVE_VOLTAGE),
    )
