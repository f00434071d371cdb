"""Finished loudspeakers that nobody built, measured as a workshop would: their truth is known.

What stands there comes from changed text of a case, through the reading of case files; what is
heard from the parts of the prediction, the field solved exactly where the microphone truly is. So
nothing here knows how a diagnosis reckons with builds.
"""

from __future__ import annotations

import pathlib
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case, FrequencyGrid
from acoustics.case.files.driver_files import merged
from acoustics.case.messages.sweep_paths import put
from acoustics.case.read import checked_case
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
from acoustics.studies.verification.readings.readings import Readings
from support.build_plans import Plan
from support.edited_text import Data, Edit, copied, stray_drivers, stray_parts
from support.noisy_readings import Heard, measured

GRID = FrequencyGrid(lowest=10.0, highest=20_000.0, per_octave=24)

DISTANCE = 1.0
OFF_AXIS = np.radians(30.0)


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

    def built(self, edits: Iterable[Edit]) -> Case:
        """The case of changed text, read as files are."""
        text = self.design.text
        assert text is not None
        data = copied(self.settled)
        for edit in edits:
            edit(data)
        case = checked_case(pathlib.Path(self.design.path), text.case, data, text.others)
        return replace(case, frequencies=GRID)

    def places(self, plans: Sequence[Plan]) -> np.ndarray:
        """Where microphones truly stand, on the axis and 30° to the right, m, (2·plan, 3).

        They are off to the right, up and away as seen from the reference point.
        """
        off = np.array([plan.drawn.off for plan in plans])
        sine, cosine = np.sin(OFF_AXIS), np.cos(OFF_AXIS)
        turn = np.array([np.eye(3), [[cosine, 0, -sine], [0, 1, 0], [sine, 0, cosine]]])
        return (np.array(self.stated) + np.einsum("pso,sox->psx", off, turn)).reshape(-1, 3)

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

    def nominal(self, edit: Edit | None) -> Heard:
        """What the design with one edit sounds like at the stated places; no part strays."""
        return self.heard(self.built(() if edit is None else (edit,)), np.array(self.stated))

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
            names = [driver.name for driver in self.design.drivers]
            yield measured(plan, heard, names, self.stated, self.frequency)

    def edits(self, plan: Plan) -> list[Edit]:
        """All that is built otherwise: what strays, then the fault."""
        rng = np.random.default_rng([plan.seed, 2])
        strays: list[Edit] = [lambda data: stray_parts(data, rng, plan.fixed)]
        if plan.drivers_stray:
            strays.append(lambda data: stray_drivers(data, rng))
        return strays if plan.edit is None else [*strays, plan.edit]
