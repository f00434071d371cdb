"""What shakes the walls: pressure inside and the forces of drivers, through their filters."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.design.enclosure_model import Enclosure, port_part
from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover.acoustic import heard_low_end
from acoustics.prediction.filters import filters_of
from acoustics.prediction.layout import layout_of
from acoustics.prediction.predict import predict
from acoustics.prediction.together import together
from acoustics.source.box import box_admittance
from acoustics.source.cone import cone_impedance, mass_impedance, pressure_per_volt
from acoustics.source.drive import Drive, drive_of
from acoustics.source.motion import Motion
from acoustics.source.radiators import Radiator
from acoustics.structure.air_modes import AirModes
from acoustics.structure.air_places import Opening, felt
from acoustics.structure.air_response import pressure_per_flow
from acoustics.structure.plate_points import polygon_points
from acoustics.structure.walls import Wall
from acoustics.studies.structure.found import Excitation
from acoustics.studies.structure.wall_fields import WallFields

Solve = Callable[..., xr.DataArray]

AirParts = tuple[AirModes, tuple[Opening, ...], tuple[np.ndarray, np.ndarray]]
"""Standing waves, where they meet what moves, and frequencies and loss factors with what damps
them."""

WALL_POINTS = 8
"""Points each way on a triangle of a wall, for the mean pressure on it."""


@dataclass(frozen=True)
class Played:
    """What the drivers do at the input voltage of a prediction, complex, through their filters.

    voltage: at each driver's own circuit, polarity in it, V rms, shape (driver, frequency).
    sent: volume velocity out of every radiator, delays of cones in it, m³/s, shape
    (radiator, frequency). drive: what both follow from, per volt.
    """

    voltage: np.ndarray
    sent: np.ndarray
    drive: Drive


def played(case: Case, heard: WallFields, solve: Solve) -> Played:
    """The drivers with their crossover as built.

    Drivers that were measured, and computed filters that a processor plays, need all frequencies of
    a prediction; anything else is found at these frequencies alone.
    """
    frequency = heard.frequency
    drive = drive_of(case, frequency, solve)
    source = drive.source
    measured = any(driver.measured is not None for driver in case.drivers)
    if measured or case.processor is not None:
        # Arcs of two angles: the field is not wanted, and the fewest receivers are the quickest.
        whole = predict(replace(case, arc_step=180.0), solve=solve)
        wait = float(whole.attrs.get("latency", 0.0))
        filters = _interpolated(whole, "filter", frequency, wait)
        source = _interpolated(whole, "source", frequency, 0.0)
    else:
        cones = heard.radiators[: len(case.drivers), 0]
        on_axis = together(heard.radiators[:, 0], drive.shares)
        low_ends = heard_low_end(drive.low_end, on_axis, cones)
        centres = layout_of(case).centres
        filters = filters_of(case, frequency, drive, on_axis, centres, low_ends).filters
    way = np.array([-1.0 if driver.inverted else 1.0 for driver in case.drivers])
    voltage = DRIVE_VOLTAGE * filters
    sent = np.einsum("rdf,df->rf", drive.shares, voltage * source)
    return Played(voltage * way[:, None], sent, drive)


def _interpolated(
    prediction: xr.Dataset, name: str, frequency: np.ndarray, wait: float
) -> np.ndarray:
    """A variable (driver, frequency) at other frequencies, a common delay (s) taken out."""
    known = prediction.frequency.values
    values = prediction[name].transpose("driver", "frequency").values
    values = values * np.exp(2j * np.pi * known * wait)
    return np.array([np.interp(np.log(frequency), np.log(known), each) for each in values])


def excitation(
    case: Case,
    walls: Sequence[Wall],
    playing: Played,
    frequency: np.ndarray,
    air: AirParts | None,
) -> Excitation | None:
    """Pressure on every wall and force of every driver, at the input voltage of a prediction.

    Where several enclosures part the inside every wall feels the mean of their pressures weighted
    by their shares of it, because the case does not say where the boards between them stand. Where
    the air inside is one space, the mean over each wall of its standing waves comes in; what is
    uneven over a wall is left out.

    Args:
        case: the design.
        walls: that bend.
        playing: the drivers.
        frequency: Hz, shape (frequency,).
        air: standing waves, where they meet what moves, and what they are damped by; None where
            they are not known.

    Returns:
        None where no driver has small-signal parameters.
    """
    motion = playing.drive.motion
    known = [n for n, driver in enumerate(case.drivers) if driver.small_signal is not None]
    if not known:
        return None
    moved = np.einsum("rdf,df->rf", motion.volume_velocity, playing.voltage)
    told = [each for each in case.enclosures if pressure_known(case, each)]
    pressures = np.zeros((len(told), frequency.size), dtype=complex)
    for row, each in enumerate(told):
        pressures[row] = box_pressure(case, each, motion, moved, frequency)
    # With one enclosure its pressure is that on every wall, whatever share is stated.
    shares = np.ones(1) if len(case.enclosures) == 1 else _shares(case, told)
    even = shares[: len(told)] @ pressures
    on_walls = np.tile(even, (len(walls), 1))
    if air is not None and told:
        on_walls = on_walls + standing_pressure(walls, motion, moved, frequency, air)
    total = playing.sent.sum(axis=0)
    names = tuple(case.drivers[number].name for number in known)
    force = np.array([reaction_force(case, n, playing, moved[n], frequency) for n in known])
    return Excitation(
        frequency=frequency,
        enclosures=tuple(each.name for each in told),
        box_pressure=pressures,
        walls=tuple(wall.name for wall in walls),
        wall_pressure=on_walls,
        drivers=names,
        force=force,
        drivers_volume=total,
    )


def pressure_known(case: Case, enclosure: Enclosure) -> bool:
    """Whether the circuit of an enclosure is complete: all its drivers have their parameters."""
    return all(case.driver(name).small_signal is not None for name in enclosure.drivers)


def box_pressure(
    case: Case, enclosure: Enclosure, motion: Motion, moved: np.ndarray, frequency: np.ndarray
) -> np.ndarray:
    """Even pressure in an enclosure, −ΣU/Y_b (see `motion_of`), Pa, complex (frequency,).

    Args:
        case: the design.
        enclosure: whose drivers have small-signal parameters.
        motion: whose radiators they are.
        moved: volume velocity out of every radiator, m³/s, (radiator, frequency).
        frequency: Hz.
    """
    own = [n for n, each in enumerate(motion.radiators) if each.enclosure == enclosure.name]
    taken = box_admittance(case, enclosure, motion.tuning[enclosure.name], frequency)
    answer: np.ndarray = -moved[own].sum(axis=0) / taken
    return answer


def _shares(case: Case, told: Sequence[Enclosure]) -> np.ndarray:
    whole = sum(each.gross for each in case.enclosures)
    return np.array([each.gross / whole for each in told])


def standing_pressure(
    walls: Sequence[Wall],
    motion: Motion,
    moved: np.ndarray,
    frequency: np.ndarray,
    air: AirParts,
) -> np.ndarray:
    """What standing waves add to the mean pressure on each wall, Pa, (wall, frequency)."""
    modes, openings, losses = air
    numbers = {_opening_name(each): n for n, each in enumerate(motion.radiators)}
    own = [numbers[opening.name] for opening in openings]
    rows = [felt(modes, openings)]
    for wall in walls:
        points = polygon_points(wall.corners, WALL_POINTS)
        inner = wall.frame.points(points.x, points.y) - wall.thickness * wall.frame.outward
        shapes = modes.term_shapes(modes.inside.moved_in(inner))
        rows.append((shapes @ points.weight / points.weight.sum())[None])
    seen = np.concatenate(rows)
    # The first term is the even pressure, which the circuit of the enclosure knows better.
    seen[:, 0] = 0.0
    answer = pressure_per_flow(modes, seen, frequency, losses)
    flow = -moved[own]
    standing: np.ndarray = np.einsum("wof,of->wf", answer[len(openings) :, : len(openings)], flow)
    return standing


def _opening_name(radiator: Radiator) -> str:
    """What a radiator is called where it meets the air inside, see `openings_of`."""
    if radiator.kind == "cone":
        return radiator.name
    return (
        port_part(radiator.name) if radiator.kind == "port" else f"passive radiator {radiator.name}"
    )


def reaction_force(
    case: Case, driver: int, playing: Played, moved: np.ndarray, frequency: np.ndarray
) -> np.ndarray:
    """Force of a driver's motor and suspension on its frame, outward, N, complex (frequency,).

    As great as that on the cone, the other way: −S·[V Bl/(S Z_e) − (Z − jωM/S²)·U], with the
    cone's impedance Z. Where neither spring nor air counts it is −jωM·U/S, moving mass times
    acceleration.

    Args:
        case: the design.
        driver: its number; it has small-signal parameters.
        playing: for its voltage.
        moved: its volume velocity, m³/s, (frequency,).
        frequency: Hz.
    """
    signal = case.drivers[driver].small_signal
    assert signal is not None
    held = cone_impedance(case, driver, frequency, True)
    held = held - mass_impedance(case, driver, frequency, True)
    push = pressure_per_volt(case, driver, frequency) * playing.voltage[driver]
    answer: np.ndarray = -signal.effective_area * (push - held * moved)
    return answer
