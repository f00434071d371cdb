"""What a microphone would have recorded of a design: known truths to try measurements on."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import xarray as xr
from scipy.fft import irfft, next_fast_len, rfft

from acoustics.case.design.model import Case, Surface, SurfaceName
from acoustics.case.text.phrases import choice
from acoustics.conventions import DRIVE_VOLTAGE, RoundoverError
from acoustics.curves import Curve, at_frequencies
from acoustics.curves.minimum_phase import minimum_phase
from acoustics.curves.sampled import carried, closing
from acoustics.measurement.near_field import CLOSE, near_point
from acoustics.measurement.recording import Recording
from acoustics.measurement.sweep import Sweep, make_sweep
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import layout_of
from acoustics.prediction.moving import radiator_name
from acoustics.prediction.together import together
from acoustics.room.images import mirrored
from acoustics.source.drive import drive_of
from acoustics.source.radiators import radiators_of

LOWEST = 2.0
"""Hz, to which the design is solved, so far below any sweep that nothing comes before it is sent;
below, everything falls as fast as a vented box."""

PER_OCTAVE = 16
"""Frequencies solved, where they would else lie further apart than `APART`."""

APART = 100.0
"""Hz: what edges and surfaces send back is 2 ms late at most, a fifth of a turn over this."""

FILTERED_FROM = 0.9
"""Of half the sampling rate: where the converters' filters begin to close."""

BITS = 24


@dataclass(frozen=True)
class Setup:
    """How a design is measured; lengths in m, in the cabinet's own coordinates.

    Attributes:
        sweep: that is played.
        microphone: far away.
        surfaces: where each surface lies: the floor's and the ceiling's height, and how far the
            walls are from the middle of the front face.
        reflection: factor of all of them.
        calibration: how the microphone responds, or None for a perfect one; taken to be minimum
            phase.
        volts: peak at the driver for a far field.
        sensitivity: full scale over the microphone's pressure, 1/Pa; a sine of 100 dB fills it
            unless said otherwise.
        headroom: of full scale, that a near field may reach; the volts are turned down for it.
        noise: rms of the recorder's, full scale being 1.
        latency: of the converters, s.
        loopback: full scale in channel 2 per volt; 0 for no such channel.
        distortion: amplitudes of the second and third harmonic over the first.
        lead, tail: silence before and after the sweep, s.
        seed: of the noise.
    """

    sweep: Sweep = field(default_factory=lambda: make_sweep(10.0, 22_500.0, 1.5, 48_000.0))
    microphone: tuple[float, float, float] = (0.0, 0.0, 1.0)
    surfaces: Mapping[SurfaceName, float] = field(default_factory=dict)
    reflection: float = 0.9
    calibration: Curve | None = None
    volts: float = DRIVE_VOLTAGE * math.sqrt(2)
    sensitivity: float = 1 / (2 * math.sqrt(2))
    headroom: float = 0.5
    noise: float = 3e-5
    latency: float = 0.0113
    loopback: float = 0.1
    distortion: tuple[float, float] = (0.003, 0.002)
    lead: float = 0.5
    tail: float = 0.4
    seed: int = 1


@dataclass(frozen=True)
class Take:
    """One recording to be made: of a driver, far away or near a radiator.

    `near` is a radiator's name, as `prediction.moving.radiator_name` has it, None for the far
    microphone; `distance` that of the near one.
    """

    driver: str
    near: str | None = None
    distance: float = CLOSE


@dataclass(frozen=True, eq=False)
class Truth:
    """What a perfect microphone in free space would have found.

    `frequency` Hz, (frequency,); `response` Pa per volt, complex, flight kept, (frequency,);
    `arrival` s, when the sound of the driver itself comes.
    """

    frequency: np.ndarray
    response: np.ndarray
    arrival: float


@dataclass(frozen=True, eq=False)
class Taken:
    """A recording, and the truth about it."""

    recording: Recording
    truth: Truth


def record(
    case: Case,
    takes: Sequence[Take],
    setup: Setup,
    *,
    solve: Callable[..., xr.DataArray] | None = None,
) -> list[Taken]:
    """Record drivers of a design with sweeps, equal input giving equal samples.

    The sweep with its harmonics goes through source × field of the driver and all it moves, in free
    space for near fields and with the first reflections of every surface for far ones, through the
    microphone and the converters' filters, which begin at 0.9 of half the sampling rate. The
    circuit is linear, so harmonics are the sweep's own. Samples are rounded to 24 bits.

    Args:
        case: the design; its crossover takes no part, nor what was measured of its drivers.
        takes: what to record.
        setup: how.
        solve: in place of `acoustics.field.solve_field`.
    """
    case = by_parameters(case)
    heard = _heard(case, takes, setup, solve)
    answer = []
    for number, take in enumerate(takes):
        row = next(n for n, driver in enumerate(case.drivers) if driver.name == take.driver)
        pressures, flights, behind = heard.at(row, number)
        factors = [1.0] + [setup.reflection] * (len(flights) - 1)
        ways = [
            (factor * way, late)
            for factor, way, late in zip(factors, pressures, flights, strict=True)
        ]
        recording = _recorded(setup, heard.frequency, ways, take, number)
        answer.append(Taken(recording, Truth(heard.frequency, pressures[0], flights[0] + behind)))
    return answer


@dataclass(frozen=True, eq=False)
class _Heard:
    """What every driver makes of a volt at every microphone.

    pressure: Pa/V, (driver, point, frequency). own: of it that of a driver's own cone. points: m,
    (point, 3). rows: for each take its microphone and that one's images. close: the driver at whose
    cone a take's microphone is, -1 for all others.
    """

    case: Case
    frequency: np.ndarray
    centres: np.ndarray
    pressure: np.ndarray
    own: np.ndarray
    points: np.ndarray
    rows: list[list[int]]
    close: list[int]

    def at(self, driver: int, take: int) -> tuple[list[np.ndarray], list[float], float]:
        """Pressures of a driver on every way of a take, Pa/V, flights, and the cone's delay, s."""
        speed = self.case.air.speed_of_sound
        depth = self.case.drivers[driver].acoustic_depth
        pressures = [self.pressure[driver, row] for row in self.rows[take]]
        if self.close[take] == driver:
            # The microphone is behind the face by as much as the cone.
            turn = np.exp(2j * np.pi * self.frequency * depth / speed)
            pressures = [pressures[0] + self.own[driver, self.rows[take][0]] * (turn - 1)]
            depth = 0.0
        paths = np.linalg.norm(self.points[self.rows[take]] - self.centres[driver], axis=1)
        return pressures, (paths / speed).tolist(), depth / speed


def by_parameters(case: Case) -> Case:
    """A design whose drivers are what their parameters say, whatever was measured of them."""
    return replace(case, drivers=tuple(replace(each, measured=None) for each in case.drivers))


def _heard(
    case: Case, takes: Sequence[Take], setup: Setup, solve: Callable[..., xr.DataArray] | None
) -> _Heard:
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field
    layout = layout_of(case)
    radiators = [radiator_name(each) for each in radiators_of(case)]
    drivers = [driver.name for driver in case.drivers]
    far = np.array(setup.microphone)
    points = [far, *(mirrored(far, Surface(name, at)) for name, at in setup.surfaces.items())]
    all_far = list(range(len(points)))
    rows, close = [], []
    for take in takes:
        for name, known in ((take.driver, drivers), (take.near, radiators)):
            if name is not None and name not in known:
                raise RoundoverError(f"there is no {name!r} in this case; {choice(known, name)}")
        close.append(drivers.index(take.near) if take.near in drivers else -1)
        rows.append(all_far if take.near is None else [len(points)])
        if take.near is not None:
            points.append(near_point(layout, radiators.index(take.near), take.distance))
    frequency = _solved(setup.sweep.sampling_rate / 2)
    solved = solve(
        layout.body,
        layout.pistons,
        np.array(points),
        frequency,
        air=case.air,
        accuracy=case.accuracy,
        memory=case.memory,
    )
    field = layout.per_radiator(by_receiver(solved))  # (radiator, point, frequency)
    drive = drive_of(case, frequency)
    alone = drive.shares[np.arange(len(drivers)), np.arange(len(drivers))]
    return _Heard(
        case,
        frequency,
        layout.centres,
        drive.source[:, None] * together(field, drive.shares),
        (drive.source * alone)[:, None] * field[: len(drivers)],
        np.array(points),
        rows,
        close,
    )


def _solved(half: float) -> np.ndarray:
    """Frequencies up to half the sampling rate, few below and evenly spaced above, Hz."""
    ratio = 2 ** (1 / PER_OCTAVE)
    turn = APART / (ratio - 1)
    steps = math.ceil(math.log2(turn / LOWEST) * PER_OCTAVE)
    low = LOWEST * ratio ** np.arange(steps)
    count = math.ceil((half - low[-1]) / APART)
    answer: np.ndarray = np.concatenate([low, np.linspace(low[-1], half, count + 1)[1:]])
    return answer


def _recorded(
    setup: Setup,
    solved: np.ndarray,
    parts: Sequence[tuple[np.ndarray, float]],
    take: Take,
    number: int,
) -> Recording:
    """Both channels of a take: `parts` are responses and the delays that they hold."""
    sweep = setup.sweep
    rate = sweep.sampling_rate
    size = round(setup.lead * rate) + sweep.samples.size + round(setup.tail * rate)
    length = next_fast_len(2 * size, real=True)
    frequency = np.fft.rfftfreq(length, 1 / rate)
    played = sweep.samples
    for order, share in enumerate(setup.distortion, start=2):
        played = played + share * sweep.overtone(order)
    late = closing(frequency, rate / 2, FILTERED_FROM) * np.exp(
        -2j * np.pi * frequency * (setup.latency + round(setup.lead * rate) / rate)
    )
    response = sum(
        (carried(frequency, solved, way, delay) for way, delay in parts),
        np.zeros(frequency.size, dtype=complex),
    )
    response = response * _microphone(frequency, setup.calibration)
    pressure = irfft(rfft(played, length) * response * late, length)[:size]
    volts = setup.volts
    if take.near is not None:
        most = setup.sensitivity * float(np.abs(pressure).max())
        volts = min(volts, setup.headroom / most)
    channels = [setup.sensitivity * volts * pressure]
    if setup.loopback:
        sent = irfft(rfft(sweep.samples, length) * late, length)[:size]
        channels.append(setup.loopback * volts * sent)
    samples = np.array(channels)
    random = np.random.default_rng([setup.seed, number])
    samples += setup.noise * random.standard_normal(samples.shape)
    steps = 2.0 ** (BITS - 1)
    samples = np.clip(np.round(samples * steps), -steps, steps - 1) / steps
    name = f"{take.driver} far" if take.near is None else f"{take.driver} near {take.near}"
    return Recording(samples, rate, name, 1.0, np.zeros(samples.shape[0]))


def _microphone(frequency: np.ndarray, calibration: Curve | None) -> np.ndarray:
    """Response of the microphone, minimum phase; 1 without a table."""
    if calibration is None:
        return np.ones(frequency.size, dtype=complex)
    grid = np.geomspace(LOWEST, frequency[-1], 600)
    size = np.abs(at_frequencies(calibration, grid, beyond=True)[0])
    inside = np.clip(frequency, grid[0], grid[-1])
    place = np.log(inside)
    level = np.exp(np.interp(place, np.log(grid), np.log(size)))
    phase = np.interp(place, np.log(grid), minimum_phase(grid, size))
    answer: np.ndarray = level * np.exp(1j * phase)
    return answer
