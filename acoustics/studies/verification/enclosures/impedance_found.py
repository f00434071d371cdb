"""What every enclosure is really tuned to, by the impedances that were measured."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import xarray as xr

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.conventions import Variable
from acoustics.measurement.tuning import FIGURES, Figure, Given, TuningFit, fit_tuning
from acoustics.prediction.labels import labelled, origin_of
from acoustics.source.box import box_compliance
from acoustics.source.motion import motion_of
from acoustics.source.radiators import passive_area
from acoustics.studies.verification.enclosures.air_load import Load, air_load
from acoustics.studies.verification.enclosures.allowed import Scene, allowed
from acoustics.studies.verification.enclosures.model import (
    EnclosureFound,
    FigureFound,
    Within,
)
from acoustics.studies.verification.enclosures.terminals import MOST, designed_impedance, way_to
from acoustics.studies.verification.enclosures.words import words_of
from acoustics.studies.verification.readings.readings import COVERED, ImpedanceReading, Readings

LEAST = {"tuning": 0.02, "box_stiffness": 0.03, "leakage_q": 0.25, "mechanical_q": 0.15}
LEAST_OTHER = 0.05
"""Shares of the designed value that are allowed whatever the tolerances say: cases seldom state
those of volumes, ports, losses and coils (common practice, no source)."""

_TUNED = ("tuned",)
_FIGURE = ("tuned", "figure")

TUNING: dict[str, Variable] = {
    "enclosure": Variable(_TUNED, "1", "enclosure"),
    "reading": Variable(_TUNED, "1", "impedance that tells of it"),
    "kind": Variable(_TUNED, "1", "closed, vented or passive radiator"),
    "drivers": Variable(_TUNED, "1", "drivers whose impedance was fitted, several as one"),
    "trusted_from": Variable(_TUNED, "Hz", "from where the impedance at the driver is known"),
    "trusted_up_to": Variable(_TUNED, "Hz", "up to where the impedance at the driver is known"),
    "misfit": Variable(_TUNED, "1", "root mean square of ln(measured/fitted)"),
    "reason": Variable(_TUNED, "1", "why nothing is told, empty if something is"),
    "words": Variable(_TUNED, "1", "what is found, in words"),
    "figure": Variable(("figure",), "1", "what was found"),
    "figure_unit": Variable(("figure",), "1", "its unit"),
    "measured": Variable(_FIGURE, "1", "value as measured, in the figure's unit"),
    "measured_uncertainty": Variable(_FIGURE, "1", "its standard deviation"),
    "designed": Variable(_FIGURE, "1", "value of the design"),
    "difference": Variable(_FIGURE, "1", "measured less designed"),
    "allowed": Variable(_FIGURE, "1", "by how much builds within tolerances differ at most"),
    "within": Variable(_FIGURE, "1", "whether that is within tolerances: yes, no or not known"),
    "untold": Variable(_FIGURE, "1", "why the measured value is not known, empty if it is"),
}


def enclosures_found(
    case: Case,
    readings: Readings,
    *,
    load: Load | None = None,
) -> tuple[EnclosureFound, ...]:
    """Every enclosure that some impedance shows, with each reading that shows it.

    The same circuit is fitted to what was measured and to what the design has, over the same
    frequencies, so that both mean the same by a figure.

    Args:
        case: the design.
        readings: what was measured.
        load: `load_of` these readings, where it is known already.

    Returns:
        By reading and enclosure, in their order; an enclosure that a reading does not concern is
        left out.
    """
    known = load or load_of(case, readings)
    return tuple(
        _found(case, reading, number, known)
        for reading in map(trusted, readings.impedances)
        for number, enclosure in enumerate(case.enclosures)
        if reading.driver is None or case.drivers[reading.driver].name in enclosure.drivers
    )


def load_of(
    case: Case, readings: Readings, solve: Callable[..., xr.DataArray] | None = None
) -> Load:
    """What the air adds on the frequencies of all impedances; `solve` stands for `solve_field`."""
    bands = [trusted(reading).frequency for reading in readings.impedances]
    ends = [float(end) for band in bands if band.size for end in (band[0], band[-1])]
    return air_load(case, (min(ends), max(ends)), solve) if ends else lambda frequency: None


def given_of(case: Case, enclosure: Enclosure) -> Given:
    """What a fit takes as the design states it."""
    passives = enclosure.passive_radiators
    if enclosure.kind == "vented":
        return Given(enclosure.absorption_q, enclosure.port_q)
    if not passives:
        return Given(
            enclosure.absorption_q,
            leakage_q=enclosure.leakage_q,
            air_share=_air_share(case, enclosure),
        )
    soft = sum(passive_area(each) ** 2 * each.compliance for each in passives)
    first = passives[0]
    q = math.sqrt(first.moving_mass / first.compliance) / first.mechanical_resistance
    return Given(
        enclosure.absorption_q,
        passive_ratio=soft / box_compliance(enclosure, case.air),
        passive_q=q,
    )


def _air_share(case: Case, enclosure: Enclosure) -> float:
    """How much of the stiffness of a closed box's resonance is its air's; 0 if not known."""
    signals = [case.driver(name).small_signal for name in enclosure.drivers]
    by_box = sum(
        each.compliance * each.effective_area**2 for each in signals if each is not None
    ) / box_compliance(enclosure, case.air)
    return by_box / (1 + by_box)


def trusted(reading: ImpedanceReading) -> ImpedanceReading:
    """A reading where it can be trusted."""
    low, high = reading.band
    kept = (reading.frequency >= low) & (reading.frequency <= high)
    return replace(reading, frequency=reading.frequency[kept], impedance=reading.impedance[kept])


def _found(case: Case, reading: ImpedanceReading, number: int, loads: Load) -> EnclosureFound:
    enclosure = case.enclosures[number]
    frequency, measured = reading.frequency, reading.impedance

    def nothing(reason: str) -> EnclosureFound:
        return EnclosureFound(enclosure.name, reading.name, enclosure.drivers, reason=reason)

    if not frequency.size:
        return nothing("nothing was measured within the band that can be trusted")
    load = loads(frequency)
    motion = motion_of(case, frequency, load)
    way = way_to(case, motion, enclosure, reading.driver, frequency)
    if isinstance(way, str):
        return nothing(way)
    own = designed_impedance(case, motion, way.drivers, frequency)
    growth = way.growth(own)
    if np.isnan(own).any():
        return nothing(f"nothing is stated of the impedance of {enclosure.drivers[0]}")
    known = growth <= MOST
    spread = np.where(known, reading.uncertainty * np.maximum(growth, 1.0), np.nan)
    given = given_of(case, enclosure)
    through = None if way.direct or reading.has_phase else way.coefficients

    def fit(impedance: np.ndarray, start: np.ndarray | None = None) -> TuningFit:
        return fit_tuning(
            frequency,
            np.abs(impedance) if not reading.has_phase else impedance,
            enclosure.kind,
            uncertainty=spread,
            has_phase=reading.has_phase,
            given=given,
            start=start,
            through=through,
        )

    def fit_driver(impedance: np.ndarray, start: np.ndarray | None = None) -> TuningFit:
        return fit(impedance if through is None else way.seen(impedance), start)

    designed = fit_driver(own)
    found = fit(measured if way.direct or not reading.has_phase else way.behind(measured))
    scene = Scene(case, number, reading.driver, frequency, load, motion, way)
    bounds = allowed(scene, designed, fit_driver) if designed.fitted else {}
    figures = tuple(
        _figure(name, figure, designed.figures[name], bounds.get(name, math.nan))
        for name, figure in found.figures.items()
    )
    seen = frequency[known]
    return EnclosureFound(
        enclosure.name,
        reading.name,
        tuple(case.drivers[n].name for n in way.drivers),
        found,
        designed,
        (float(seen[0]), float(seen[-1])) if seen.size else (0.0, 0.0),
        figures,
        tuple(words_of(enclosure.kind, enclosure.name, figures)),
        found.reason,
    )


def _figure(name: str, measured: Figure, designed: Figure, bound: float) -> FigureFound:
    difference = measured.value - designed.value
    within: Within = "not known"
    bound = max(bound, abs(LEAST.get(name, LEAST_OTHER) * designed.value))
    reach = math.hypot(bound, COVERED * measured.uncertainty)
    if math.isfinite(difference) and math.isfinite(reach):
        within = "yes" if abs(difference) <= reach else "no"
    return FigureFound(name, FIGURES[name], measured, designed, difference, bound, within)


def tuning_dataset(case: Case, found: Sequence[EnclosureFound]) -> xr.Dataset:
    """Label what was found of enclosures; a figure that one does not have is NaN."""
    kinds = {each.name: each.kind for each in case.enclosures}
    by_name = [{figure.name: figure for figure in each.figures} for each in found]

    def numbers(value: Callable[[FigureFound], float]) -> np.ndarray:
        rows = [
            [value(own[name]) if name in own else math.nan for name in FIGURES] for own in by_name
        ]
        return np.array(rows, dtype=float).reshape(len(found), len(FIGURES))

    def words(value: Callable[[FigureFound], str], none: str) -> np.ndarray:
        rows = [[value(own[name]) if name in own else none for name in FIGURES] for own in by_name]
        return np.array(rows, dtype=str).reshape(len(found), len(FIGURES))

    def each_word(value: Callable[[EnclosureFound], str]) -> np.ndarray:
        return np.array([value(each) for each in found], dtype=str)

    arrays = {
        "enclosure": each_word(lambda each: each.enclosure),
        "reading": each_word(lambda each: each.reading),
        "kind": each_word(lambda each: kinds[each.enclosure]),
        "drivers": each_word(lambda each: ", ".join(each.drivers)),
        "trusted_from": np.array([each.trusted[0] for each in found], dtype=float),
        "trusted_up_to": np.array([each.trusted[1] for each in found], dtype=float),
        "misfit": np.array(
            [math.nan if each.measured is None else each.measured.misfit for each in found]
        ),
        "reason": each_word(lambda each: each.reason),
        "words": each_word(lambda each: "; ".join(each.words)),
        "figure_unit": np.array(list(FIGURES.values())),
        "measured": numbers(lambda one: one.measured.value),
        "measured_uncertainty": numbers(lambda one: one.measured.uncertainty),
        "designed": numbers(lambda one: one.designed.value),
        "difference": numbers(lambda one: one.difference),
        "allowed": numbers(lambda one: one.allowed),
        "within": words(lambda one: one.within, "not known"),
        "untold": words(lambda one: one.measured.reason, "a box of this kind has none"),
    }
    return labelled(arrays, {"figure": np.array(list(FIGURES))}, origin_of(case), TUNING)
