"""How the finished loudspeaker was measured, and where the tables and recordings are."""

from __future__ import annotations

from dataclasses import dataclass

from acoustics.case.design.measured_model import LevelUnit


@dataclass(frozen=True)
class TakenResponse:
    """A response of the finished loudspeaker; its file as the case has it, from its folder.

    The microphone stood `distance` (m) from the reference point on the front face, turned from the
    reference axis by `right` and `up` (degrees), as the arcs of a prediction are. `playing` are the
    drivers that were connected, none for all of them, `reversed` those connected the wrong way
    round on purpose. `voltage` is the rms voltage at the loudspeaker, `unit` what a table's levels
    are and `removed_delay` (s) what was taken out of its phase, both None for what its head says;
    `timing` names the clock by which it was taken, None for its own. `band` (Hz) is where it can be
    trusted, None for all of the table; `uncertainty` (dB) the standard deviation of each level.
    """

    name: str
    file: str
    distance: float
    right: float = 0.0
    up: float = 0.0
    playing: tuple[str, ...] = ()
    reversed: tuple[str, ...] = ()
    voltage: float = 2.83
    unit: LevelUnit | None = None
    calibrated: bool = True
    removed_delay: float | None = None
    timing: str | None = None
    band: tuple[float, float] | None = None
    uncertainty: float = 0.3


@dataclass(frozen=True)
class TakenImpedance:
    """An impedance of the finished loudspeaker, or of one `driver` in it at its own terminals.

    Where the loudspeaker's terminals are its only driver's, `driver` is that one. `uncertainty` is
    the standard deviation of each value as a share of it.
    """

    name: str
    file: str
    driver: str | None = None
    band: tuple[float, float] | None = None
    uncertainty: float = 0.01


@dataclass(frozen=True)
class Verification:
    """All measurements of the finished loudspeaker.

    `microphone` (m): how far it may have stood off, each way. `level` (dB): how far the calibration
    of levels may be off. 95 % lie within. `usual` is how a response was taken of which nothing
    else is said, without name and file; None where the case says nothing at all.
    """

    responses: tuple[TakenResponse, ...] = ()
    impedances: tuple[TakenImpedance, ...] = ()
    microphone: float = 0.01
    level: float = 1.0
    usual: TakenResponse | None = None
