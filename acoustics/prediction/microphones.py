"""Where drivers were measured, and the sources that follow from what was heard there."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import faces_of
from acoustics.prediction.together import together
from acoustics.source.cone import resistance_before
from acoustics.source.drive import Drive
from acoustics.source.inferred import inferred_source
from acoustics.source.measured import driver_impedance

JOINS = ("lowest", "highest")
"""The ends of a table, where a model takes over."""


class Microphone(NamedTuple):
    """Where a driver was measured (x, y, z), and its centre, m."""

    place: np.ndarray
    centre: np.ndarray

    @property
    def way(self) -> float:
        """From the one to the other, m."""
        return float(np.linalg.norm(self.place - self.centre))


def microphones_of(case: Case) -> dict[int, Microphone]:
    """The microphones of a case by the number of their driver."""
    faces = faces_of(case.cabinet)
    found = {}
    for number, driver in enumerate(case.drivers):
        heard = driver.measured
        if heard is None:
            continue
        frame = faces.frame(driver.face)
        centre = np.array(frame.point(*driver.position))
        if heard.at == "driver":
            place = centre + heard.distance * frame.outward
        else:
            point = case.reference.point if heard.point is None else heard.point
            place = np.array([*point, heard.distance])
        found[number] = Microphone(place, centre)
    return found


class AtMicrophones(NamedTuple):
    """What is heard of the radiators of a design where its drivers were measured.

    field: of each radiator at each driver's microphone, Pa per m³/s, complex (radiator, driver,
    frequency), NaN where there is none. off: by how much that may be off, likewise. drive: of that
    design, by the model.
    """

    case: Case
    drive: Drive
    field: np.ndarray
    off: np.ndarray


def microphone_points(case: Case) -> np.ndarray:
    """The place of each driver's microphone, m, shape (driver, 3); NaN where it has none.

    Nor has it any here if it was measured in another design.
    """
    points = np.full((len(case.drivers), 3), np.nan)
    if case.measured_in is None:
        for number, microphone in microphones_of(case).items():
            points[number] = microphone.place
    return points


def with_measured(
    case: Case, drive: Drive, heard: AtMicrophones, frequency: np.ndarray
) -> tuple[Drive, dict[str, np.ndarray]]:
    """The drive with the sources of measured drivers in place of the model's.

    What share of it each radiator sends out stays the model's. A driver is measured with its
    terminals as they are marked; its polarity in the design and what lies between amplifier and
    terminals come on top, as far as its impedance is known. If it was measured in another design,
    what the model changes from there to here is changed of the source too.

    Args:
        case: the design.
        drive: by the model.
        heard: in the design in which drivers were measured.
        frequency: Hz, shape (frequency,).

    Returns:
        The drive, and what is told of it by the names of `conventions.VARIABLES`; nothing where no
        driver was measured.
    """
    microphones = microphones_of(heard.case)
    if not microphones:
        return drive, {}
    whole = together(heard.field, heard.drive.shares)
    whole_off = together(heard.off, np.abs(heard.drive.shares))
    shape = drive.source.shape
    told = {
        "source_measured": np.zeros(shape, dtype=bool),
        "source_extrapolated": np.zeros(shape, dtype=bool),
        "source_uncertainty": np.full(shape, np.nan),
        "source_mismatch": np.full((shape[0], len(JOINS)), np.nan),
        "microphone_field": np.full(shape, np.nan + 0j),
    }
    sources = drive.source.copy()
    here = _at_terminals(case, drive, frequency)
    there = _at_terminals(heard.case, heard.drive, frequency)
    for number, microphone in microphones.items():
        driver, speed = heard.case.drivers[number], heard.case.air.speed_of_sound
        assert driver.measured is not None
        field = whole[number, number]
        found = inferred_source(
            driver.measured,
            frequency,
            field=field,
            off=whole_off[number, number],
            flight=microphone.way / speed,
            model=there.source[number],
            late=driver.acoustic_depth / speed,
            falls=driver.small_signal is not None,
        )
        change = 1.0 if heard.case is case else here.source[number] / there.source[number]
        sources[number] = here.before[number] * change * found.source
        told["microphone_field"][number] = field
        told["source_measured"][number] = found.measured
        told["source_extrapolated"][number] = found.extrapolated
        told["source_uncertainty"][number] = found.uncertainty
        told["source_mismatch"][number] = found.mismatch
    return replace(drive, source=sources), told


class _AtTerminals(NamedTuple):
    """Sources by the model per volt at the drivers' terminals, and what a volt before them is."""

    source: np.ndarray
    before: np.ndarray


def _at_terminals(case: Case, drive: Drive, frequency: np.ndarray) -> _AtTerminals:
    impedance = driver_impedance(case, drive.motion, frequency)
    source = drive.source.copy()
    before = np.ones(source.shape, dtype=complex)
    for number, driver in enumerate(case.drivers):
        resistance = resistance_before(case, number)
        if resistance > 0 and not np.isnan(impedance[number]).any():
            before[number] = impedance[number] / (impedance[number] + resistance)
        polarity = -1.0 if driver.inverted else 1.0
        source[number] /= polarity
        # The model knows of its own impedance, whatever was measured, and one of constant
        # sensitivity of none.
        own = drive.motion.impedance[number]
        if resistance > 0 and driver.small_signal is not None:
            source[number] /= own / (own + resistance)
        before[number] *= polarity
    return _AtTerminals(source, before)
