"""How drivers were measured, and where the recordings are."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

RecordingKind = Literal["sweep", "impulse"]
TableKind = Literal["response", "correction"]
FadeName = Literal["hann", "blackman-harris", "none"]
Spot = Literal["driver", "reference axis"]


@dataclass(frozen=True)
class PlayedSweep:
    """The sweep that was played: from `lowest` to `highest` (Hz) in about `duration` (s)."""

    lowest: float = 20.0
    highest: float = 20_000.0
    duration: float = 2.0


@dataclass(frozen=True)
class DriverMeasurement:
    """Recordings of one driver; paths as the case has them, counted from its folder.

    `far` are repeats of one measurement with the microphone at `at`, `distance` (m) from the front
    face or, in front of the driver's own centre, from its face. `near` are repeats close to the
    cone, `near_ports` by port close to its mouth, `near_distance` (m) from their middles. `voltage`
    is the rms voltage of the `sweep` at the driver.
    """

    driver: str
    far: tuple[str, ...]
    distance: float
    at: Spot = "reference axis"
    near: tuple[str, ...] = ()
    near_ports: tuple[tuple[str, tuple[str, ...]], ...] = ()
    near_distance: float = 0.005
    voltage: float = 2.83
    sweep: PlayedSweep = field(default_factory=PlayedSweep)


@dataclass(frozen=True)
class Measurement:
    """What all recordings have in common.

    `kind` says what they are. `sampling_rate` (Hz) is only checked; None takes what the files
    have. Channels count from 1; `loopback` is None where what was sent was not recorded.
    `level_of_full_scale` is the level (dB re 20 µPa) of a sine that just fills the microphone's
    channel; None where it is not known. `base_height` (m) is how high the cabinet stood above the
    floor; `surfaces` are distances (m): of the ceiling from the floor, of side walls from the line
    between cabinet and microphone, of the front wall behind the front face, of the rear wall behind
    the microphone. `gate` (s) is stated, or follows from the first reflection; `fade` is the shape
    of its ends.
    """

    kind: RecordingKind = "sweep"
    sweep: PlayedSweep = field(default_factory=PlayedSweep)
    sweep_file: str | None = None
    sampling_rate: float | None = None
    channel: int = 1
    loopback: int | None = None
    calibration: str | None = None
    calibration_is: TableKind = "response"
    level_of_full_scale: float | None = None
    base_height: float = 0.0
    surfaces: tuple[tuple[str, float], ...] = ()
    gate: float | None = None
    fade: FadeName = "hann"
    drivers: tuple[DriverMeasurement, ...] = ()

    def driver(self, name: str) -> DriverMeasurement:
        """The recordings of the driver called `name`."""
        return next(each for each in self.drivers if each.driver == name)
