"""Finished loudspeakers that nobody built, measured as a workshop would: their truth is known.

What stands there comes from changed text of a case, through the reading of case files; what is
heard from the parts of the prediction, the field solved exactly where the microphone truly is. So
nothing here knows how a diagnosis reckons with builds.
"""

from __future__ import annotations

import pathlib
import tomllib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.driver_files import merged
from acoustics.case.model import Case, FrequencyGrid
from acoustics.case.read import checked_case
from acoustics.case.sweep_paths import put
from acoustics.case.varied import ABOUT_THE_CASE
from acoustics.field import solve_field
from acoustics.prediction.built import FixedFilters, fixed_filters
from acoustics.prediction.filters import filters_of
from acoustics.prediction.layout import layout_of
from acoustics.prediction.predict import predict
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of
from acoustics.source.measured import driver_impedance
from acoustics.studies.tolerance.fixed_once import fixed_once
from acoustics.studies.verification.readings import ImpedanceReading, Readings, ResponseReading

Data = dict[str, Any]
"""A case file as TOML gives it."""

GRID = FrequencyGrid(lowest=10.0, highest=20_000.0, per_octave=24)
GATED = (250.0, 20_000.0)
"""Hz: what a window against the first reflection of a small room leaves."""

DISTANCE = 1.0
OFF_AXIS = np.radians(30.0)

NORMAL_95 = 1.959963984540054
MICROPHONE, LEVEL = 0.010, 1.0
"""m each way and dB, within 95 %"""

RESPONSE_NOISE, IMPEDANCE_NOISE = 0.3, 0.01
"""dB and a share, standard deviations"""

PART_SPREAD = 0.02
"""Standard deviation of every part's value, as a share."""

DRIVER_SPREADS = {"compliance": 0.15, "moving_mass": 0.05, "force_factor": 0.05}
"""Shares within 95 %, of the harder set alone: as a case's usual tolerance has them."""

LONGEST_DELAY = 0.5e-3
"""s"""

PART_KEYS = {"capacitor": ("uF", 1e6), "inductor": ("mH", 1e3), "resistor": ("ohm", 1.0)}

DB = np.log(10) / 20
"""nepers"""


@dataclass(frozen=True)
class Plan:
    """What one build has that others do not.

    edit: what is built otherwise, in the case's text. moved: m by which the microphone stands off
    beside its usual error. gain: dB likewise. heard: what the sound of all drivers is multiplied
    by at Hz, shape (frequency,). fixed: keys of parts whose value does not stray, because it is
    that of the fault.
    """

    seed: int
    edit: Callable[[Data], None] | None = None
    moved: tuple[float, float, float] = (0.0, 0.0, 0.0)
    gain: float = 0.0
    heard: Callable[[np.ndarray], np.ndarray] | None = None
    fixed: tuple[str, ...] = ()
    drivers_stray: bool = False
    each_alone: bool = False
    with_phase: bool = True
    off_axis: bool = False

    @cached_property
    def drawn(self) -> Drawn:
        """Everything about it that is left to chance, but for noise and parts."""
        rng = np.random.default_rng([self.seed, 1])
        error = rng.normal(0, MICROPHONE / NORMAL_95, (2, 3))
        return Drawn(
            error + np.array(self.moved),
            float(rng.normal(0, LEVEL / NORMAL_95)) + self.gain,
            rng.uniform(-LONGEST_DELAY, LONGEST_DELAY, 2),
        )


@dataclass(frozen=True)
class Drawn:
    """m by which the microphone is off on and off the axis, dB of all levels, s of each clock."""

    off: np.ndarray
    gain: float
    delays: np.ndarray


class Remembering:
    """The field solver, asked once for each set of pistons and receivers on one body."""

    def __init__(self) -> None:
        self._known: dict[Any, xr.DataArray] = {}

    def __call__(
        self, body: Any, pistons: Any, receivers: Any, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        """As `solve_field`."""
        where = np.asarray(receivers).tobytes()
        key = (tuple(pistons), where, frequency.tobytes(), how.get("air"), how.get("accuracy"))
        if key not in self._known:
            self._known[key] = solve_field(body, pistons, receivers, frequency, **how)
        return self._known[key]


@dataclass(frozen=True)
class Heard:
    """Of each driver at each place, Pa/V, (driver, place, frequency); impedances by driver."""

    pressure: np.ndarray
    impedances: dict[int | None, np.ndarray]


@dataclass
class Workshop:
    """A design, and what all builds of it share."""

    design: Case
    solve: Remembering = field(default_factory=Remembering)

    def __post_init__(self) -> None:
        self.design = replace(self.design, frequencies=GRID)
        self.frequency = GRID.values()

    @cached_property
    def settled(self) -> Data:
        """The design's text with lengths of ports and added masses in place of its tunings."""
        text = self.design.text
        assert text is not None
        data = merged(tomllib.loads(text.case), text.others.drivers)
        for table in ABOUT_THE_CASE:
            data.pop(table, None)
        made, without = fixed_once(self.design, ())
        for enclosure, key in without:
            del data["enclosures"][enclosure][key]
        for key, value in made.items():
            put(data, key, value)
        # Checking braces takes longer than all else; what they take of the volume stays.
        for key in ("braces", "linings"):
            data.get("structure", {}).pop(key, None)
        for box in self.design.enclosures:
            braces = dict(box.taken).get("braces", 0.0)
            data["enclosures"][box.name]["braces"] = f"{1e3 * braces!r} l"
        for driver in self.design.drivers:
            signal = driver.small_signal
            if signal is not None:
                root = (signal.moving_mass / signal.compliance) ** 0.5
                data["drivers"][driver.name]["small_signal"] = {
                    "resonance": f"{root / signal.moving_mass / (2 * np.pi)!r} Hz",
                    "mechanical_q": float(root / signal.mechanical_resistance),
                    "dc_resistance": f"{signal.dc_resistance!r} ohm",
                    "force_factor": f"{signal.force_factor!r} T m",
                    "moving_mass": f"{signal.moving_mass * 1e3!r} g",
                }
        return data

    @cached_property
    def filters(self) -> FixedFilters | None:
        """Computed filters: those of the design, whatever is built; None where there are none."""
        if all(branch.slopes != "acoustic" for branch in self.design.crossover):
            return None
        return fixed_filters(self.design, predict(self.design))

    def built(self, edits: Iterable[Callable[[Data], None]]) -> Case:
        """The case of changed text, read as files are."""
        text = self.design.text
        assert text is not None
        data = _copy(self.settled)
        for edit in edits:
            edit(data)
        case = checked_case(pathlib.Path(self.design.path), text.case, data, text.others)
        return replace(case, frequencies=GRID)

    def places(self, plans: Sequence[Plan]) -> np.ndarray:
        """Where microphones truly stand, on the axis and 30° to the right, m, (2·plan, 3)."""
        off = np.array([plan.drawn.off for plan in plans])
        return (np.array(self.stated) + off).reshape(-1, 3)

    @property
    def stated(self) -> tuple[tuple[float, float, float], ...]:
        """On the axis and off it, m."""
        x, y = self.design.reference.point
        aside, ahead = DISTANCE * np.sin(OFF_AXIS), DISTANCE * np.cos(OFF_AXIS)
        return ((x, y, DISTANCE), (float(x + aside), y, float(ahead)))

    def heard(self, case: Case, places: np.ndarray) -> Heard:
        """What a build sounds like at true places (m, (place, 3)), and its impedances."""
        f = self.frequency
        layout = layout_of(case)
        asked = {"air": case.air, "accuracy": case.accuracy}
        solved = self.solve(layout.body, layout.pistons, places, f, **asked)
        return self.heard_with(case, np.swapaxes(solved.values, 1, 2))

    def heard_with(self, case: Case, pistons: np.ndarray) -> Heard:
        """The same from the field of its pistons, Pa per m³/s, (piston, place, frequency)."""
        f, layout = self.frequency, layout_of(case)
        drive = drive_of(case, f, self.solve)
        fields = together(layout.per_radiator(pistons), drive.shares)
        found = filters_of(
            case, f, drive, fields[:, 0], layout.centres, np.ones_like(drive.source), self.filters
        )
        pressure = (found.filters * drive.source)[:, None] * fields
        if found.passive is not None:
            return Heard(pressure, {None: found.passive.network.input_impedance})
        each = driver_impedance(case, drive.motion, f)
        return Heard(pressure, dict(enumerate(each)))

    def nominal(self, edit: Callable[[Data], None] | None) -> Heard:
        """What the design with one edit sounds like where microphones are stated; no part strays."""
        return self.heard(self.built(() if edit is None else (edit,)), np.array(self.stated))

    @property
    def gated(self) -> np.ndarray:
        """Which frequencies a response has, shape (frequency,)."""
        return (self.frequency >= GATED[0]) & (self.frequency <= GATED[1])

    def builds(self, plans: Sequence[Plan]) -> Iterator[Readings]:
        """What is measured of each build; the fields of all are solved in one go."""
        design = self.built(())
        layout = layout_of(design)
        asked = {"air": design.air, "accuracy": design.accuracy}
        places = self.places(plans)
        solved = solve_field(layout.body, layout.pistons, places, self.frequency, **asked)
        fields = np.swapaxes(solved.values, 1, 2)
        for n, plan in enumerate(plans):
            here = slice(2 * n, 2 * n + 2)
            case = self.built(self.edits(plan))
            same = layout_of(case).pistons == layout.pistons
            heard = (
                self.heard_with(case, fields[:, here]) if same else self.heard(case, places[here])
            )
            yield self.read(plan, heard)

    def edits(self, plan: Plan) -> list[Callable[[Data], None]]:
        """All that is built otherwise: what strays, then the fault."""
        rng = np.random.default_rng([plan.seed, 2])
        strays: list[Callable[[Data], None]] = [lambda data: _stray_parts(data, rng, plan.fixed)]
        if plan.drivers_stray:
            strays.append(lambda data: _stray_drivers(data, rng))
        return strays if plan.edit is None else [*strays, plan.edit]

    def read(self, plan: Plan, heard: Heard) -> Readings:
        """Readings with noise, a gate, an unknown delay and a level that is a little off."""
        rng = np.random.default_rng([plan.seed, 3])
        names = [driver.name for driver in self.design.drivers]
        all_of_them = tuple(range(len(names)))
        asked: list[tuple[str, tuple[int, ...], int]] = [("axis", all_of_them, 0)]
        if plan.each_alone:
            asked += [(f"{name} alone", (n,), 0) for n, name in enumerate(names)]
        if plan.off_axis:
            asked.append(("30 degrees right", all_of_them, 1))
        gated = self.gated
        f = self.frequency[gated]
        responses = []
        for name, playing, place in asked:
            pressure = heard.pressure[list(playing), place].sum(axis=0)[gated]
            pressure = pressure * 10 ** (plan.drawn.gain / 20)
            if plan.heard is not None:
                pressure = pressure * plan.heard(f)
            noise = RESPONSE_NOISE * DB * (_normal(rng, f.size) + 1j * _normal(rng, f.size))
            pressure = pressure * np.exp(noise - 2j * np.pi * f * plan.drawn.delays[place])
            responses.append(
                ResponseReading(
                    name=name,
                    source="",
                    playing=playing,
                    reversed=(),
                    place=self.stated[place],
                    frequency=f,
                    pressure=pressure if plan.with_phase else np.abs(pressure) + 0j,
                    has_phase=plan.with_phase,
                    calibrated=True,
                    clock="" if len(asked) == 1 else f"place {place + 1}",
                    band=GATED,
                    uncertainty=RESPONSE_NOISE,
                )
            )
        impedances = []
        for driver, impedance in heard.impedances.items():
            size = self.frequency.size
            noise = IMPEDANCE_NOISE * (_normal(rng, size) + 1j * _normal(rng, size))
            impedances.append(
                ImpedanceReading(
                    name="impedance" if driver is None else f"impedance of {names[driver]}",
                    source="",
                    driver=driver,
                    frequency=self.frequency,
                    impedance=impedance * np.exp(noise),
                    has_phase=True,
                    band=(GRID.lowest, GRID.highest),
                    uncertainty=IMPEDANCE_NOISE,
                )
            )
        return Readings(tuple(responses), tuple(impedances), MICROPHONE, LEVEL)


def times(data: Data, key: str, factor: float) -> None:
    """Multiply what stands at a key, text with a unit or a bare number."""
    here: Any = data
    *way, last = key.split(".")
    for part in way:
        here = here[int(part) - 1] if isinstance(here, list) else here[part]
    value = here[last]
    if isinstance(value, str):
        number, unit = value.split(" ", 1)
        here[last] = f"{float(number) * factor!r} {unit}"
    else:
        here[last] = value * factor


def parameter_times(data: Data, driver: str, parameter: str, factor: float) -> None:
    """Multiply one of a driver's parameters, the others as they are.

    Resonance 1/(2π√(MC)) and Q √(M/C)/R follow; compliance and resistance are no keys of the text.
    """
    at = f"drivers.{driver}.small_signal"
    if parameter == "compliance":
        times(data, f"{at}.resonance", factor**-0.5)
        times(data, f"{at}.mechanical_q", factor**-0.5)
        return
    times(data, f"{at}.{parameter}", factor)
    if parameter == "moving_mass":
        times(data, f"{at}.resonance", factor**-0.5)
        times(data, f"{at}.mechanical_q", factor**0.5)


def part_keys(data: Data) -> list[str]:
    """Keys of all values of the parts of a passive crossover, in the order of the text."""
    return [
        f"crossover.{driver}.parts.{n}.{key}"
        for driver, branch in data.get("crossover", {}).items()
        for n, part in enumerate(branch.get("parts", ()), start=1)
        for key in PART_KEYS
        if key in part
    ]


def _stray_parts(data: Data, rng: np.random.Generator, fixed: Sequence[str]) -> None:
    for key in part_keys(data):
        factor = 1 + PART_SPREAD * float(rng.standard_normal())
        if key not in fixed:
            times(data, key, factor)


def _stray_drivers(data: Data, rng: np.random.Generator) -> None:
    for name, driver in data["drivers"].items():
        for parameter, within in DRIVER_SPREADS.items():
            factor = 1 + within / NORMAL_95 * float(rng.standard_normal())
            if "small_signal" in driver:
                parameter_times(data, name, parameter, factor)


def _normal(rng: np.random.Generator, size: int) -> np.ndarray:
    return rng.standard_normal(size)


def _copy(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _copy(value) for key, value in data.items()}
    return [_copy(value) for value in data] if isinstance(data, list) else data
