"""Measurements that could be made next: what is usual, less what is at hand."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.verification_model import TakenResponse
from acoustics.crossover.branch import branches_of
from acoustics.studies.verification.readings.microphone import microphone_at
from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)

BAND, SEEN = (200.0, 20_000.0), (20.0, 20_000.0)
"""Hz: where a response without a room, and an impedance, can usually be trusted (common practice,
no source)"""

UNCERTAIN, SHARE = 0.2, 0.01
"""dB, and a share: of every value of a response and of an impedance"""

Place = tuple[float, float, float]

TURNS = (("30° to the right", 30.0, 0.0), ("15° up", 0.0, 15.0), ("15° down", 0.0, -15.0))
"""words, and degrees to the right and up"""


def candidates(case: Case, readings: Readings) -> tuple[Readings, ...]:
    """Measurements that are not at hand, each as readings without values.

    Drivers alone and one reversed, where the first response was measured; all of them from aside,
    above, below and at half the distance; impedances of the loudspeaker and of each driver.
    """
    known = {(r.playing, tuple(sorted(r.reversed)), _rounded(r.place)) for r in readings.responses}
    seen = {reading.driver for reading in readings.impedances}
    found = []
    for response in _responses(case, readings):
        key = (response.playing, response.reversed, _rounded(response.place))
        if key not in known:
            found.append(Readings((response,), (), readings.microphone, readings.level))
    found += [
        Readings((), (impedance,), readings.microphone, readings.level)
        for impedance in _impedances(case)
        if impedance.driver not in seen
    ]
    return tuple(found)


def candidate_places(case: Case, readings: Readings) -> tuple[Place, ...]:
    """Where the microphone stands in them, for `bench_of`'s `more_places`."""
    places = (r.place for one in candidates(case, readings) for r in one.responses)
    return tuple(dict.fromkeys(places))


def _responses(case: Case, readings: Readings) -> Iterator[ResponseReading]:
    x, y = case.reference.point[:2]
    first = (x, y, case.reference.distance)
    if readings.responses:
        first = readings.responses[0].place
    everything = tuple(range(len(case.drivers)))
    if len(everything) > 1:
        for number in everything:
            yield _response(f"{case.drivers[number].name} alone", (number,), first)
        name = case.drivers[0].name
        yield _response(f"all with the {name} reversed", everything, first, (0,))
    yield _response("the loudspeaker on its axis", everything, first)
    distance = math.dist(first, (x, y, 0.0))
    for words, right, up in TURNS:
        place = microphone_at(case, TakenResponse("", "", distance, right, up))
        yield _response(f"the loudspeaker from {words}", everything, place)
    near = microphone_at(case, TakenResponse("", "", distance / 2))
    yield _response("the loudspeaker at half the distance", everything, near)


def _response(
    name: str, playing: tuple[int, ...], place: Place, turned: tuple[int, ...] = ()
) -> ResponseReading:
    nothing = np.zeros(0)
    return ResponseReading(
        name, "", playing, turned, place, nothing, nothing, True, True, "", BAND, UNCERTAIN
    )


def _impedances(case: Case) -> Iterator[ImpedanceReading]:
    nothing = np.zeros(0)
    if any(branch.slopes == "passive" for branch in branches_of(case)):
        name = "impedance of the loudspeaker at its terminals"
        yield ImpedanceReading(name, "", None, nothing, nothing, True, SEEN, SHARE)
    for number, driver in enumerate(case.drivers):
        if driver.small_signal is not None or driver.impedance is not None:
            name = f"impedance of the {driver.name} at its own terminals"
            yield ImpedanceReading(name, "", number, nothing, nothing, True, SEEN, SHARE)


def _rounded(place: Place) -> tuple[float, ...]:
    return tuple(round(each, 3) for each in place)
