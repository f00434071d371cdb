"""What a fit rests on: the drivers without a crossover, in all directions, solved once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Branch, Case, Driver
from acoustics.case.design.section_model import PassFilter
from acoustics.conventions import DRIVE_VOLTAGE, RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.listening.levels import window_weights
from acoustics.listening.standard_curves import ON_AXIS, ORBITS, curve_shares, responses
from acoustics.prediction import predict
from acoustics.prediction.fields import Solve
from acoustics.prediction.passive import as_wired, induced_currents
from acoustics.source.cone import series_resistance
from acoustics.source.drive import drive_of
from acoustics.source.limits import LIMITS, displacement, input_limits
from acoustics.source.motion import Motion
from acoustics.source.terminals import terminal_admittance
from acoustics.studies.wording import hertz

PER_OCTAVE = 12
"""frequencies of the fit; more are left out, because the curves are smoothed"""

POINTS_PER_OCTAVE = 12
"""at which smoothed curves are looked at"""

DIRECTIONS = (ON_AXIS, *(each for each in ORBITS if each != ON_AXIS))
"""All directions of both orbits, the reference axis first."""

USUAL_IMPEDANCE = 3.2
"""ohm: least input impedance where nothing is stated, four fifths of the 4 ohm that most amplifiers
are made for (the fifth is that of IEC 60268-5, from memory)"""

CURVES = ("listening_window", "estimated_in_room", "sound_power")


@dataclass(frozen=True)
class Scene:
    """Everything that stays as it is while parts change. Drivers from the largest piston on.

    names: of the drivers on the passive crossover. frequency: Hz, (frequency,). pressure: Pa for
    DRIVE_VOLTAGE at a driver's terminals, what is active before the amplifier included, complex,
    (direction, driver, frequency), directions as in `DIRECTIONS`. others: Pa of the drivers with
    amplifiers of their own, (direction, frequency). admittance: A/V, (driver, driver, frequency).
    induced: by those others in shorted drivers of the same box, A per volt of the amplifier's
    source, complex, (driver, frequency), None where there is nothing.
    resistance: of amplifier and cable, ohm. before: what is active before the amplifier, V/V,
    complex, (frequency,).
    begins, ends: Hz, about where a driver with an amplifier of its own hands over to the first of
    these, and the last of these to such a one; None where there is none.
    moved: peak displacement of one driver for a volt rms of a sine at the terminals of another,
    over the most that it stands, 0 where that is not known, complex, (driver, driver, frequency).
    pushed: the same by drivers with amplifiers of their own, for a volt at the input, complex,
    (driver, frequency).
    power: V rms that a driver stands at its terminals, infinite where not known, (driver,
    frequency). voltage: highest of the amplifier, V rms, None if not known.
    shares: of the directions in each of `CURVES`, (curve, direction). smooth: (point, frequency),
    averages of power over the fit's band, at `points`, Hz.
    """

    names: tuple[str, ...]
    frequency: np.ndarray
    pressure: np.ndarray
    others: np.ndarray
    admittance: np.ndarray
    induced: np.ndarray | None
    resistance: float
    before: np.ndarray
    moved: np.ndarray
    pushed: np.ndarray
    power: np.ndarray
    voltage: float | None
    shares: np.ndarray
    smooth: np.ndarray
    points: np.ndarray
    begins: float | None = None
    ends: float | None = None


def fit_asked(case: Case) -> Fit:
    """What a case asks of a fit: its table [fit], or the usual, and a lowest impedance.

    Raises:
        RoundoverError: the usual band is not predicted.
    """
    fit = case.fit or Fit()
    if case.fit is None:
        grid = case.frequencies
        if fit.band[0] < grid.lowest or fit.band[1] > grid.highest:
            raise RoundoverError(
                f"{case.path or case.title}: a fit looks at {hertz(fit.band[0])} to "
                f"{hertz(fit.band[1])} unless it is told otherwise, and the prediction does not "
                "reach as far; add a table [fit] with a band, or change frequencies.lowest and "
                "frequencies.highest"
            )
    if fit.least_impedance is None:
        stated = None if case.amplifier is None else case.amplifier.lowest_impedance
        fit = replace(fit, least_impedance=USUAL_IMPEDANCE if stated is None else stated)
    return fit


def fitted_drivers(case: Case) -> tuple[str, ...]:
    """The drivers that a fit makes a passive crossover for: all but those with electrical slopes.

    Raises:
        RoundoverError: there are none.
    """
    names = tuple(
        driver.name
        for driver, branch in zip(case.drivers, branches_of(case), strict=True)
        if not _keeps_its_own(case, branch)
    )
    if not names:
        raise RoundoverError(
            f"{case.path or case.title}: every driver has a filter of its own (electrical slopes), "
            'so there is no passive crossover to fit; write slopes = "passive" and parts = [] '
            "for those that are to hang on one"
        )
    return names


def _keeps_its_own(case: Case, branch: Branch) -> bool:
    return branch.slopes == "electrical" and any(b.driver == branch.driver for b in case.crossover)


def bare_case(case: Case) -> Case:
    """The case with its drivers straight on one amplifier, but for those with their own."""
    given = {branch.driver: branch for branch in case.crossover}
    passive = fitted_drivers(case)
    unknown = [name for name in passive if not _impedance_known(case.driver(name))]
    if unknown:
        raise RoundoverError(
            f"{case.path or case.title}: nothing tells the impedance of {', '.join(unknown)}, and "
            "a passive crossover depends on it; add a table small_signal to the driver, its "
            "impedance as measured, or its rated_impedance for a first look"
        )
    branches = (
        Branch(driver.name, slopes="passive") if driver.name in passive else given[driver.name]
        for driver in case.drivers
    )
    return replace(case, crossover=tuple(branches))


def _impedance_known(driver: Driver) -> bool:
    told = (driver.small_signal, driver.impedance, driver.rated_impedance)
    return any(each is not None for each in told)


def scene_of(case: Case, solve: Solve) -> Scene:
    """Solve the drivers of a case without their crossover, and keep what a fit asks for.

    Args:
        case: the design.
        solve: as in `predict`, one that remembers: it is asked twice for the same.
    """
    fit = fit_asked(case)
    bare = bare_case(case)
    prediction = predict(bare, solve=solve)
    frequency = prediction.frequency.values
    kept = _kept(frequency, case.frequencies.per_octave)
    drive = drive_of(bare, frequency, solve)
    names = fitted_drivers(case)
    numbers = sorted(
        (n for n, driver in enumerate(case.drivers) if driver.name in names),
        key=lambda n: -case.drivers[n].piston_diameter,
    )
    rest = [n for n in range(len(case.drivers)) if n not in numbers]
    fields = responses(prediction, DIRECTIONS, "arc_field").values[..., kept]
    unfiltered = fields * (DRIVE_VOLTAGE * prediction.source.values[:, kept])
    filters = prediction["filter"].transpose("driver", "frequency").values
    before = np.ones(kept.size, dtype=complex)
    if "amplifier_filter" in prediction:
        before = prediction.amplifier_filter.values[kept]
    moved = _moved(bare, drive.motion, numbers, frequency)[..., kept]
    induced = induced_currents(bare, drive.motion, numbers, frequency, filters)
    drawn = terminal_admittance(bare, drive.motion, numbers, frequency)
    power = input_limits(bare, drive.motion, frequency)[LIMITS.index("power"), numbers]
    shares = curve_shares()
    order = [ORBITS.index(each) for each in DIRECTIONS]
    smooth, points = _smoothing(frequency[kept], fit.band, fit.smoothing)
    begins, ends = _active_neighbours(case, names)
    return Scene(
        names=tuple(case.drivers[n].name for n in numbers),
        frequency=frequency[kept],
        pressure=unfiltered[:, numbers] * before,
        others=(unfiltered[:, rest] * filters[rest][:, kept]).sum(axis=1),
        admittance=as_wired(bare, numbers, drawn)[..., kept],
        induced=None if induced is None else induced[:, kept] / before,
        resistance=series_resistance(case),
        before=before,
        moved=moved[:, numbers],
        pushed=np.einsum("ijf,jf->if", moved[:, rest], filters[rest][:, kept]),
        power=np.nan_to_num(power[:, kept], nan=np.inf, posinf=np.inf),
        voltage=None if case.amplifier is None else case.amplifier.voltage,
        shares=np.array([shares[name][order] for name in CURVES]),
        smooth=smooth,
        points=points,
        begins=begins,
        ends=ends,
    )


def _moved(case: Case, motion: Motion, numbers: Sequence[int], frequency: np.ndarray) -> np.ndarray:
    """`Scene.moved` of some drivers for a volt at each of all drivers, with their polarity."""
    way = np.array([-1.0 if driver.inverted else 1.0 for driver in case.drivers])
    answer = np.zeros((len(numbers), way.size, frequency.size), dtype=complex)
    for row, number in enumerate(numbers):
        most = case.drivers[number].most_displacement
        if most is None:
            continue
        for column in range(way.size):
            turn = np.exp(1j * np.angle(motion.volume_velocity[number, column]))
            size = displacement(motion, number, column, frequency)
            answer[row, column] = way[number] * way[column] * turn * size / most
    return answer


def _active_neighbours(case: Case, names: Sequence[str]) -> tuple[float | None, float | None]:
    """`begins` and `ends` of a scene: the corner of the active neighbour's filter, as stated.

    Where its filter states none, the frequency at which the lower one's piston begins to beam less
    half an octave.
    """
    size = {driver.name: driver.piston_diameter for driver in case.drivers}
    own = [size[name] for name in names]
    speed = case.air.speed_of_sound
    active = sorted((n for n in size if n not in names), key=lambda name: size[name])
    below = next((name for name in active if size[name] > max(own)), None)
    above = next((name for name in reversed(active) if size[name] < min(own)), None)
    begins = ends = None
    if below is not None:
        low_pass = _corners(case, below, "high_corner")
        begins = min(low_pass, default=case.driver(below).trusted_to(speed) / np.sqrt(2))
    if above is not None:
        last = min(names, key=lambda name: size[name])
        high_pass = _corners(case, above, "low_corner")
        ends = max(high_pass, default=case.driver(last).trusted_to(speed) / np.sqrt(2))
    return (None if begins is None else float(begins), None if ends is None else float(ends))


def _corners(case: Case, name: str, which: str) -> list[float]:
    sections = next(each.sections for each in case.crossover if each.driver == name)
    corners = [getattr(each, which) for each in sections if isinstance(each, PassFilter)]
    return [corner for corner in corners if corner is not None]


def _kept(frequency: np.ndarray, per_octave: float) -> np.ndarray:
    """Which of the predicted frequencies a fit looks at: not many more than `PER_OCTAVE`."""
    step = max(round(per_octave / PER_OCTAVE), 1)
    return np.arange(frequency.size)[::step]


def _smoothing(
    frequency: np.ndarray, band: tuple[float, float], fraction: float
) -> tuple[np.ndarray, np.ndarray]:
    """Weights (point, frequency) that average power over 1/fraction octave, and the points, Hz."""
    octaves = np.log2(frequency)
    count = max(round(POINTS_PER_OCTAVE * np.log2(band[1] / band[0])), 2) + 1
    points = np.linspace(np.log2(band[0]), np.log2(band[1]), count)
    start = np.maximum(points - 0.5 / fraction, octaves[0])
    stop = np.minimum(points + 0.5 / fraction, octaves[-1])
    return window_weights(octaves, start, stop), 2**points
