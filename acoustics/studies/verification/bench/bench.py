"""The bench: what was measured of a design, and what would be measured of any build of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.prediction.fields import Solve
from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.bench.fields import Place, key_of
from acoustics.studies.verification.bench.fixed import Fixed, fixed_of
from acoustics.studies.verification.bench.grid import (
    HIGHEST,
    LOWEST,
    grid_between,
    impedance_at,
    places_of,
    response_at,
)
from acoustics.studies.verification.bench.sound import Sound
from acoustics.studies.verification.readings.readings import (
    ImpedanceReading,
    Readings,
    ResponseReading,
)

IMAGINED = (100.0, HIGHEST)
"""Hz: where responses are solved, at least, if more places are asked for."""


@dataclass(frozen=True, eq=False)
class DesignBench:
    """A `Bench` whose fields are solved; see `bench_of`.

    `responses_at` and `impedances_at` are the numbers of the compared frequencies: of a response
    among those that sound, of an impedance among all of the grid.
    """

    design: Built
    readings: Readings
    frequencies: Answers
    measured: Answers
    sound: Sound
    responses_at: tuple[np.ndarray, ...]
    impedances_at: tuple[np.ndarray, ...]

    def answers(self, built: Built) -> Answers:
        """What the readings would be of a build, without noise and without unknown delay.

        Raises:
            RoundoverError: a build that cannot be.
        """
        responses = []
        for response, at in zip(self.readings.responses, self.responses_at, strict=True):
            turned = tuple(sorted(response.reversed))
            heard = self.sound.heard(built, key_of(response.place), turned)
            responses.append(heard[list(response.playing)].sum(axis=0)[at])
        impedances = [
            self.sound.impedance(built, impedance.driver)[at]
            for impedance, at in zip(self.readings.impedances, self.impedances_at, strict=True)
        ]
        return Answers(tuple(responses), tuple(impedances))


def bench_of(
    case: Case,
    readings: Readings,
    *,
    solve: Solve | None = None,
    more_places: Sequence[Place] = (),
) -> DesignBench:
    """Solve what is needed to say what any build of a design would measure.

    Args:
        case: the design. It stands free: readings are without a room.
        readings: what was measured.
        solve: what computes the field, with the signature of `acoustics.field.solve_field` (the
            default).
        more_places: of microphones, m, beside those of the readings: for `imagined`.

    Raises:
        GeometryError: a microphone inside the cabinet.
        RoundoverError: a reading of something that the design does not have or of which nothing is
            known, or one without a frequency in its band.
    """
    _check_all(case, readings)
    bands = [response.band for response in readings.responses]
    if more_places:
        bands.append(IMAGINED)
    all_bands = [*bands, *(impedance.band for impedance in readings.impedances)]
    highest = max([HIGHEST, *(high for _, high in all_bands)])
    if case.processor is not None:  # nothing sounds from half its rate on
        highest = min(highest, 0.499 * case.processor.sampling_rate)
    lowest = min([LOWEST, *(low for low, _ in all_bands if low > 0)])
    grid = grid_between(lowest, highest)
    sounding = np.zeros(0, dtype=int)
    if bands:
        sounding = grid.within((min(low for low, _ in bands), max(high for _, high in bands)))
    named = [*(response.place for response in readings.responses), *more_places]
    places = tuple(dict.fromkeys(key_of(place) for place in named))
    return _bench(Sound(fixed_of(case, grid, sounding, places, solve)), readings)


def imagined(bench: DesignBench, readings: Readings) -> DesignBench:
    """The bench with other readings, for choosing what to measure next; nothing is solved.

    Args:
        bench: where it would be measured.
        readings: what would be; their values may be NaN, or their tables empty. Of a band only
            what the bench has solved is kept.

    Raises:
        RoundoverError: as in `bench_of`, and a microphone where nothing was solved.
    """
    unchanged = bench.sound.unchanged
    _check_all(unchanged.case, readings)
    for response in readings.responses:
        if key_of(response.place) not in unchanged.fields:
            raise RoundoverError(
                f"{response.name}: no field is solved at its place; name it among the bench's "
                "more_places"
            )
    return _bench(bench.sound, readings)


def _bench(sound: Sound, readings: Readings) -> DesignBench:
    unchanged = sound.unchanged
    frequency = unchanged.frequency
    at_responses, heard = [], []
    for response in readings.responses:
        places = places_of(unchanged.grid, response)
        places = places[np.isin(places, unchanged.sounding)]
        at_responses.append(np.searchsorted(unchanged.sounding, places))
        flight = _flight(unchanged, response)
        heard.append(_or_nothing(response, frequency[places], flight))
    at_impedances = [places_of(unchanged.grid, impedance) for impedance in readings.impedances]
    seen = [
        _or_nothing(impedance, frequency[places], 0.0)
        for impedance, places in zip(readings.impedances, at_impedances, strict=True)
    ]
    return DesignBench(
        design=Built(unchanged.case),
        readings=readings,
        frequencies=Answers(
            tuple(frequency[unchanged.sounding][at] for at in at_responses),
            tuple(frequency[at] for at in at_impedances),
        ),
        measured=Answers(tuple(heard), tuple(seen)),
        sound=sound,
        responses_at=tuple(at_responses),
        impedances_at=tuple(at_impedances),
    )


def _or_nothing(
    reading: ResponseReading | ImpedanceReading, frequency: np.ndarray, flight: float
) -> np.ndarray:
    """A reading at the frequencies by which it is compared; NaN where nothing was measured yet."""
    if not reading.frequency.size:
        return np.full(frequency.shape, np.nan, dtype=complex if reading.has_phase else float)
    if isinstance(reading, ResponseReading):
        return response_at(reading, frequency, flight)
    return impedance_at(reading, frequency)


def _flight(unchanged: Fixed, reading: ResponseReading) -> float:
    """About how long sound takes from the drivers that play to the microphone, s."""
    centres = unchanged.centres[list(reading.playing)]
    ways = np.linalg.norm(centres - np.array(reading.place), axis=1)
    return float(ways.mean()) / unchanged.case.air.speed_of_sound


def _check_all(case: Case, readings: Readings) -> None:
    """Refuse readings of what there is not.

    Raises:
        RoundoverError: what there is instead.
    """
    for response in readings.responses:
        if not response.playing:
            raise RoundoverError(f"{response.name}: no driver plays in it; name those that do")
        for number in (*response.playing, *response.reversed):
            _check_number(case, response.name, number)
    for impedance in readings.impedances:
        _check_impedance(case, impedance)


def _check_impedance(case: Case, reading: ImpedanceReading) -> None:
    if reading.driver is None:
        if any(branch.slopes == "passive" for branch in branches_of(case)):
            return
        if len(case.drivers) > 1:
            raise RoundoverError(
                f"{reading.name}: every driver of this design has an amplifier of its own, so the "
                "loudspeaker has no one pair of terminals; say which driver was measured"
            )
    number = reading.driver or 0
    _check_number(case, reading.name, number)
    driver = case.drivers[number]
    if driver.small_signal is None and driver.impedance is None:
        raise RoundoverError(
            f"{reading.name}: of {driver.name} the design has neither small-signal parameters nor "
            "an impedance, so nothing is known to compare it with; give it either, or leave the "
            "reading out"
        )


def _check_number(case: Case, name: str, number: int) -> None:
    if not 0 <= number < len(case.drivers):
        raise RoundoverError(
            f"{name}: there is no driver {number}; they are 0 to {len(case.drivers) - 1}"
        )
