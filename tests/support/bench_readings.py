"""Readings without data, as they are asked of a bench before anything is measured."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)

NOTHING = np.zeros(0)


def response(
    case: Case,
    place: tuple[float, float, float],
    band: tuple[float, float],
    *,
    playing: Sequence[int] | None = None,
    reversed: Sequence[int] = (),
    name: str = "response",
) -> ResponseReading:
    """A response at a place (m) over a band (Hz); all drivers play unless said otherwise."""
    return ResponseReading(
        name=name,
        source=f"{name}.txt",
        playing=tuple(range(len(case.drivers))) if playing is None else tuple(playing),
        reversed=tuple(reversed),
        place=place,
        frequency=NOTHING,
        pressure=NOTHING + 0j,
        has_phase=True,
        calibrated=True,
        clock="",
        band=band,
        uncertainty=0.1,
    )


def impedance(
    driver: int | None = None, band: tuple[float, float] = (20.0, 20_000.0), name: str = "impedance"
) -> ImpedanceReading:
    """An impedance at the loudspeaker's terminals or at those of a driver, over a band (Hz)."""
    return ImpedanceReading(
        name=name,
        source=f"{name}.txt",
        driver=driver,
        frequency=NOTHING,
        impedance=NOTHING + 0j,
        has_phase=True,
        band=band,
        uncertainty=0.01,
    )


def readings(
    responses: Sequence[ResponseReading] = (), impedances: Sequence[ImpedanceReading] = ()
) -> Readings:
    """Of a microphone within 10 mm and levels within 0.5 dB."""
    return Readings(tuple(responses), tuple(impedances), microphone=0.01, level=0.5)


def on_arc(case: Case, degrees: float, plane: str = "horizontal") -> tuple[float, float, float]:
    """A place on the arc of a prediction, m."""
    turn = np.deg2rad(degrees)
    x, y = case.reference.point
    distance = case.reference.distance
    aside = float(distance * np.sin(turn))
    ahead = float(distance * np.cos(turn))
    return (x + aside, y, ahead) if plane == "horizontal" else (x, y + aside, ahead)
