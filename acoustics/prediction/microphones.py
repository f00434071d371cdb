"""Where drivers were measured, and the sources that follow from what was heard there."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from acoustics.case.model import Case
from acoustics.case.shape import faces_of
from acoustics.prediction.together import together
from acoustics.source.cone import resistance_before
from acoustics.source.drive import Drive
from acoustics.source.inferred import Inferred, inferred_source
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


def microphone_points(case: Case) -> np.ndarray:
    """The place of each driver's microphone, m, shape (driver, 3); NaN where it has none."""
    points = np.full((len(case.drivers), 3), np.nan)
    for number, microphone in microphones_of(case).items():
        points[number] = microphone.place
    return points


def with_measured(
    case: Case, drive: Drive, field: np.ndarray, off: np.ndarray, frequency: np.ndarray
) -> tuple[Drive, dict[str, np.ndarray]]:
    """The drive with the sources of measured drivers in place of the model's.

    What share of it each radiator sends out stays the model's. A driver is measured with its
    terminals as they are marked; its polarity in the design and what lies between amplifier and
    terminals come on top, as far as its impedance is known.

    Args:
        case: the design.
        drive: by the model.
        field: of each radiator at each driver's microphone, Pa per m³/s, complex (radiator, driver,
            frequency).
        off: by how much that may be off, likewise.
        frequency: Hz, shape (frequency,).

    Returns:
        The drive, and what is told of it by the names of `conventions.VARIABLES`; nothing where no
        driver was measured.
    """
    microphones = microphones_of(case)
    if not microphones:
        return drive, {}
    whole = together(field, drive.shares)
    whole_off = together(off, np.abs(drive.shares))
    impedance = driver_impedance(case, drive.motion, frequency)
    shape = drive.source.shape
    told = {
        "source_measured": np.zeros(shape, dtype=bool),
        "source_extrapolated": np.zeros(shape, dtype=bool),
        "source_uncertainty": np.full(shape, np.nan),
        "source_mismatch": np.full((shape[0], len(JOINS)), np.nan),
        "microphone_field": np.full(shape, np.nan + 0j),
    }
    sources = drive.source.copy()
    for number, microphone in microphones.items():
        told["microphone_field"][number] = whole[number, number]
        found, sources[number] = _source(
            case, drive, number, microphone, impedance[number], whole[number, number],
            whole_off[number, number], frequency,
        )  # fmt: skip
        told["source_measured"][number] = found.measured
        told["source_extrapolated"][number] = found.extrapolated
        told["source_uncertainty"][number] = found.uncertainty
        told["source_mismatch"][number] = found.mismatch
    return replace(drive, source=sources), told


def _source(
    case: Case,
    drive: Drive,
    number: int,
    microphone: Microphone,
    impedance: np.ndarray,
    field: np.ndarray,
    off: np.ndarray,
    frequency: np.ndarray,
) -> tuple[Inferred, np.ndarray]:
    """What is inferred at the terminals of one driver, and its source per volt at the input."""
    driver, speed = case.drivers[number], case.air.speed_of_sound
    heard = driver.measured
    assert heard is not None
    polarity = -1.0 if driver.inverted else 1.0
    before = resistance_before(case, number)
    known = before > 0 and not np.isnan(impedance).any()
    divided = impedance / (impedance + before) if known else np.ones(frequency.shape)
    # A model of constant sensitivity knows of no impedance.
    model = drive.source[number] / (polarity * (divided if driver.small_signal else 1.0))
    found = inferred_source(
        heard,
        frequency,
        field=field,
        off=off,
        flight=microphone.way / speed,
        model=model,
        late=driver.acoustic_depth / speed,
    )
    return found, polarity * divided * found.source
