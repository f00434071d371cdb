"""Narrow wrinkles of measured impedances, and what in the cabinet may make them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.measurement.wrinkles import Wrinkle, find_wrinkles
from acoustics.prediction.passive import passive_of
from acoustics.source.motion import motion_of
from acoustics.structure.air_inside import AirError
from acoustics.structure.air_modes import air_modes
from acoustics.structure.wall_modes import wall_modes
from acoustics.studies.structure.usual import usual_structure
from acoustics.studies.verification.enclosures.air_load import Load
from acoustics.studies.verification.enclosures.impedance_found import load_of, trusted
from acoustics.studies.verification.enclosures.model import EnclosureFound
from acoustics.studies.verification.enclosures.terminals import Way, designed_impedance, way_to
from acoustics.studies.verification.readings.readings import ImpedanceReading, Readings
from acoustics.studies.wording import hertz, listed

WALL_NEAR = 0.05
AIR_NEAR = 0.03
"""How far, as a share, a mode may be from where walls or air are computed to have it: boards and
joints differ more than air does (common practice, no source)."""

CROSSOVER_Q = 12.0
CROSSOVER_SHARE = 0.03
"""Behind a passive crossover broader or smaller wrinkles are not told: parts and drivers within
their tolerances make such ones about its corners."""

ORDINALS = ("first", "second", "third", "fourth", "fifth")

REMEDIES = {
    "wall": "brace or damp the wall",
    "air": "line the walls more, or fill the box where the air moves",
}

NOTHING_NEAR = (
    "no mode of the walls or the air is near; look for a loose part, a leak that whistles, or a "
    "resonance of a surround or spider"
)


@dataclass(frozen=True)
class Cause:
    """A mode of walls or of the air ("wall", "air"), in words, and where it is computed, Hz."""

    kind: str
    what: str
    frequency: float


@dataclass(frozen=True)
class WrinkleFound:
    """A narrow wrinkle of one reading, what may make it, the nearest first, and a sentence."""

    reading: str
    wrinkle: Wrinkle
    causes: tuple[Cause, ...]
    words: str


@dataclass(frozen=True)
class Modes:
    """All that may ring in a cabinet; `unknown` says what is not known of it, "" if nothing."""

    causes: tuple[Cause, ...]
    unknown: str = ""


def wrinkles_found(
    case: Case,
    readings: Readings,
    enclosures: Sequence[EnclosureFound] = (),
    *,
    load: Load | None = None,
) -> tuple[WrinkleFound, ...]:
    """Narrow wrinkles of all impedances, each with the modes near it.

    What is smooth is the design's impedance, with what was fitted to a driver in its box
    (`enclosures`, from `enclosures_found`) in place of what was designed about its resonances.

    Args:
        case: the design.
        readings: what was measured.
        enclosures: what was found of their tuning.
        load: `load_of` these readings, where it is known already.
    """
    known = load or load_of(case, readings)
    found = [
        (reading, wrinkle)
        for reading in map(trusted, readings.impedances)
        for wrinkle in _wrinkles(case, reading, enclosures, known)
    ]
    if not found:
        return ()
    modes = modes_of(case)
    return tuple(_explained(reading.name, wrinkle, modes) for reading, wrinkle in found)


def modes_of(case: Case) -> Modes:
    """Modes of walls and air; of walls of which nothing is stated the usual ones."""
    try:
        structure = case.structure or usual_structure(case)
        walls = wall_modes(case, structure)
    except RoundoverError as error:
        return Modes((), f"what walls and air do is not known ({error})")
    alike: dict[tuple[int, int], list[str]] = {}
    for wall in walls:
        for number, frequency in enumerate(wall.frequency):
            alike.setdefault((number, round(float(frequency))), []).append(wall.wall.name)
    causes = [
        Cause("wall", f"the {_ordinal(number)} mode of the {listed(names)}", float(frequency))
        for (number, frequency), names in alike.items()
    ]
    try:
        waves = air_modes(case, structure)
    except AirError:
        return Modes(tuple(causes), "standing waves of the air inside are not known")
    causes += [
        Cause("air", f"the {_ordinal(number)} standing wave of the air inside", float(frequency))
        for number, frequency in enumerate(waves.frequency)
    ]
    return Modes(tuple(causes))


def _ordinal(number: int) -> str:
    return ORDINALS[number] if number < len(ORDINALS) else f"{number + 1}th"


def _wrinkles(
    case: Case, reading: ImpedanceReading, enclosures: Sequence[EnclosureFound], load: Load
) -> tuple[Wrinkle, ...]:
    frequency = reading.frequency
    if not frequency.size:
        return ()
    model = _model(case, reading, enclosures, load)
    usable = np.isfinite(model) & (np.abs(reading.impedance) > 0)
    found = find_wrinkles(
        frequency[usable],
        reading.impedance[usable],
        model[usable],
        has_phase=reading.has_phase,
    )
    if reading.driver is None and any(each.slopes == "passive" for each in case.crossover):
        return tuple(
            each for each in found if each.q > CROSSOVER_Q and each.share > CROSSOVER_SHARE
        )
    return found


def _model(
    case: Case, reading: ImpedanceReading, enclosures: Sequence[EnclosureFound], load: Load
) -> np.ndarray:
    """What a reading should be where nothing rings, ohm, complex; NaN where that is not known."""
    frequency = reading.frequency
    motion = motion_of(case, frequency, load(frequency))
    own = {each.enclosure: each for each in enclosures if each.reading == reading.name}
    for enclosure in case.enclosures:
        told = own.get(enclosure.name)
        if told is None or told.measured is None or told.measured.reason:
            continue
        way = way_to(case, motion, enclosure, reading.driver, frequency)
        assert isinstance(way, Way)
        designed = designed_impedance(case, motion, way.drivers, frequency)
        # Over the octave above the fitted band, from what was fitted to what was designed.
        past = np.log2(frequency / told.measured.band[1])
        fitted = told.measured.impedance(frequency)
        share = np.clip(past, 0.0, 1.0)
        share = share**2 * (3 - 2 * share)
        return way.seen(fitted ** (1 - share) * designed**share)
    if reading.driver is not None:
        return designed_impedance(case, motion, (reading.driver,), frequency)
    passive = None
    if any(branch.slopes == "passive" for branch in branches_of(case)):
        passive = passive_of(case, motion, frequency)
    if passive is not None:
        return passive.network.input_impedance
    if len(case.drivers) == 1:
        return designed_impedance(case, motion, (0,), frequency)
    return np.full(frequency.size, np.nan + 0j)


def _explained(reading: str, wrinkle: Wrinkle, modes: Modes) -> WrinkleFound:
    def apart(cause: Cause) -> float:
        return abs(np.log(wrinkle.frequency / cause.frequency)) / (
            WALL_NEAR if cause.kind == "wall" else AIR_NEAR
        )

    near = tuple(sorted((each for each in modes.causes if apart(each) <= 1.0), key=apart))
    what = (
        f"a narrow wrinkle at {hertz(wrinkle.frequency)}, {wrinkle.size:.2g} ohm "
        f"({100 * wrinkle.share:.1f} % of the impedance there, Q about {wrinkle.q:.0f})"
    )
    return WrinkleFound(reading, wrinkle, near, f"{what}: {'; '.join(_why(near, modes))}")


def _why(near: Sequence[Cause], modes: Modes) -> Iterator[str]:
    if near:
        told = [f"{each.what} ({hertz(each.frequency)})" for each in near[:3]]
        yield listed(told, "or")
        kinds = {each.kind for each in near[:3]}
        yield listed([remedy for kind, remedy in REMEDIES.items() if kind in kinds], "or")
    elif not modes.unknown:
        yield NOTHING_NEAR
    else:
        yield "look for a loose part, a leak that whistles, or a resonance of a surround or spider"
    if modes.unknown:
        yield modes.unknown
