"""What drivers and ports do to the standing waves in a cabinet, and hear of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.structure.air_inside import structure_of, the_enclosure
from acoustics.structure.air_modes import AirModes, air_modes
from acoustics.structure.air_near import near_masses
from acoustics.structure.air_places import Opening, felt, openings_of
from acoustics.structure.lining_damping import BARE_LOSS, damped
from acoustics.structure.lining_layer import LOOSE_RESISTIVITY
from acoustics.structure.lining_parts import treated


@dataclass(frozen=True)
class AirResponse:
    """Pressure inside a cabinet for what its drivers push into it.

    Args:
        names: of all that meets the air, drivers first, then ports, then passive radiators.
        frequency: Hz, shape (frequency,).
        strength: mean of each standing wave's shape over each opening, shape (opening, mode):
            0 leaves it alone, 1 drives it as much as the mean over the volume would.
        pressure: at one opening for the volume velocity of another, Pa s/m³, complex, shape
            (felt at, driven by, frequency). Of an opening for its own, without the air right
            before it, which its moving mass or end correction has already (`near_masses`).
        level: that over what the air as a spring alone would give, dB, likewise.
        ports: names of the ports.
        drivers: names of the drivers.
        port_flow: an estimate of the volume velocity out of each port over that of each driver,
            complex, shape (port, driver, frequency).
    """

    names: tuple[str, ...]
    frequency: np.ndarray
    strength: np.ndarray
    pressure: np.ndarray
    level: np.ndarray
    ports: tuple[str, ...]
    drivers: tuple[str, ...]
    port_flow: np.ndarray


def standing_wave_response(
    case: Case, structure: Structure | None, frequency: np.ndarray, *, bare: bool = False
) -> AirResponse:
    """What each driver and port excites and hears of the standing waves.

    Args:
        case: the design, whose inside is one space.
        structure: walls, linings and reach in place of the case's own.
        frequency: Hz, shape (frequency,); beyond the reach of the structure nothing is told.
        bare: without linings and fill.

    Raises:
        AirError: see `one_space`; linings that leave no air.
    """
    modes = air_modes(case, structure)
    openings = openings_of(case, modes.inside, structure)
    losses = None if bare else planned_losses(case, structure, modes)
    return response(modes, openings, np.asarray(frequency, dtype=float), losses)


def planned_losses(
    case: Case, structure: Structure | None, modes: AirModes
) -> tuple[np.ndarray, np.ndarray]:
    """Frequency (Hz) and loss factor of each standing wave with the linings and fill of a case."""
    enclosure, known = the_enclosure(case), structure_of(case, structure)
    treatment = treated(
        modes,
        () if known is None else known.linings,
        fill=0.0 if enclosure is None else enclosure.fill,
        fill_resistivity=fill_resistivity(known),
    )
    return damped(modes, treatment)


def fill_resistivity(structure: Structure | None) -> float:
    """Flow resistivity of loose fibre, Pa s/m²; assumed where it is not stated."""
    stated = None if structure is None else structure.fill_resistivity
    return LOOSE_RESISTIVITY if stated is None else stated


def response(
    modes: AirModes,
    openings: tuple[Opening, ...],
    frequency: np.ndarray,
    losses: tuple[np.ndarray, np.ndarray] | None = None,
) -> AirResponse:
    """Likewise of known standing waves.

    Args:
        modes: of the bare space.
        openings: drivers and the rest.
        frequency: Hz, not 0, shape (frequency,).
        losses: frequency and loss factor of each wave with what damps it, shape (mode,) each;
            None: a bare box.
    """
    seen = felt(modes, openings)
    pressure = pressure_per_flow(modes, seen, frequency, losses)
    own = range(len(openings))
    pressure[own, own] -= 2j * np.pi * frequency * near_masses(modes, openings)[:, None]
    air, volume = modes.air, modes.inside.volume
    spring = air.density * air.speed_of_sound**2 / (2j * np.pi * frequency * volume)
    ports = [number for number, one in enumerate(openings) if one.kind == "port"]
    drivers = [number for number, one in enumerate(openings) if one.kind == "driver"]
    masses = np.array([openings[number].mass for number in ports], dtype=float)
    return AirResponse(
        tuple(each.name for each in openings),
        frequency,
        seen[:, 1 : 1 + modes.count],
        pressure,
        20 * np.log10(np.abs(pressure / spring)),
        tuple(openings[number].name for number in ports),
        tuple(openings[number].name for number in drivers),
        _port_flow(pressure, ports, drivers, masses, frequency),
    )


def pressure_per_flow(
    modes: AirModes,
    seen: np.ndarray,
    frequency: np.ndarray,
    losses: tuple[np.ndarray, np.ndarray] | None,
) -> np.ndarray:
    """Σ jωρc²/V · φ(x)φ(y)/(ω_n²(1 + jη_n) − ω²), the uniform pressure included.

    Morse & Ingard, Theoretical Acoustics (1968), 9.4 (from memory). Waves beyond the reach keep
    the frequency and loss of the bare box: there they are a mass.

    Args:
        modes: of the bare space.
        seen: mean of every term over every opening, shape (opening, term).
        frequency: Hz, shape (frequency,).
        losses: as in `response`.

    Returns:
        Pa s/m³, complex, shape (felt at, driven by, frequency).
    """
    own = modes.terms.copy()
    loss = np.where(own > 0, BARE_LOSS, 0.0)
    if losses is not None:
        waves = slice(1, 1 + modes.count)
        # A wave that cannot be followed is all but gone, wherever it is put.
        own[waves] = np.where(np.isnan(losses[0]), own[waves], losses[0])
        loss[waves] = losses[1]
    turn = 2 * np.pi * frequency
    below = ((2 * np.pi * own) ** 2 * (1 + 1j * loss))[:, None] - turn**2
    scale = 1j * turn * modes.air.density * modes.air.speed_of_sound**2 / modes.inside.volume
    answer: np.ndarray = np.einsum("at,bt,tf->abf", seen, seen, scale / below, optimize=True)
    return answer


def _port_flow(
    pressure: np.ndarray,
    ports: list[int],
    drivers: list[int],
    masses: np.ndarray,
    frequency: np.ndarray,
) -> np.ndarray:
    """(jωM + Z) U = Z U_driver: the air in the ports moves as one and pushes back."""
    if not ports:
        return np.zeros((0, len(drivers), frequency.size), dtype=complex)
    own = pressure[np.ix_(ports, ports)].transpose(2, 0, 1).copy()
    own[:, range(len(ports)), range(len(ports))] += 2j * np.pi * frequency[:, None] * masses
    driven = pressure[np.ix_(ports, drivers)].transpose(2, 0, 1)
    answer: np.ndarray = np.linalg.solve(own, driven).transpose(1, 2, 0)
    return answer
