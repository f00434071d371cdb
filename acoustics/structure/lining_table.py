"""What lining and fill do to each standing wave: as planned, and what else could be done."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Lining, Structure
from acoustics.structure.air_inside import lining_fault, structure_of, the_enclosure
from acoustics.structure.air_modes import AirModes, air_modes
from acoustics.structure.air_response import fill_resistivity
from acoustics.structure.lining_damping import BARE_LOSS, STRONG_Q, damped
from acoustics.structure.lining_layer import LINING_RESISTIVITY
from acoustics.structure.lining_parts import Treatment, treated

THICKNESSES = (0.025, 0.050)
"""m: of the linings of all walls that are always compared"""

PLANNED = "linings as planned"
MIDDLE = "the same as loose fill in the middle"
WALLS = "the same as loose fill at the walls"
FILL = "fill as stated"
BOTH = "linings and fill together"


@dataclass(frozen=True)
class LiningTable:
    """What is done about standing waves, and how much that damps each.

    Args:
        names: of the standing waves, as `AirModes.names`.
        frequency: of the bare box, shape (mode,), Hz.
        treatments: what is done, in words.
        volumes: of the material it takes, shape (treatment,), m³.
        damped_frequency: shape (treatment, mode), Hz.
        loss: loss factor, likewise; that of the bare box included.
        left_out: what could not be compared, and why.
    """

    names: tuple[str, ...]
    frequency: np.ndarray
    treatments: tuple[str, ...]
    volumes: np.ndarray
    damped_frequency: np.ndarray
    loss: np.ndarray
    left_out: tuple[str, ...]

    @property
    def quality(self) -> np.ndarray:
        """Q of each wave, shape (treatment, mode)."""
        return 1 / self.loss

    @property
    def drop(self) -> np.ndarray:
        """By how much the peak of each wave is lower than in the bare box, dB, likewise."""
        answer: np.ndarray = 20 * np.log10(self.loss / BARE_LOSS)
        return answer

    @property
    def strong(self) -> np.ndarray:
        """Whether a wave is so strongly damped that its numbers say little, likewise.

        Of one that cannot be followed the frequency is NaN and the loss 1.
        """
        return self.quality < STRONG_Q


def lining_table(
    case: Case, structure: Structure | None = None, modes: AirModes | None = None
) -> LiningTable:
    """How strongly each standing wave is damped by what is planned and by what could be done.

    Compared are linings of 25 and 50 mm on all walls, the linings of the structure, their volume
    of material (without any, that of the 25 mm) as loose fill in the middle and at the walls, the
    fill that the enclosure states, and linings and fill together.

    Args:
        case: the design, whose inside is one space.
        structure: linings in place of the case's own; the resistivity of the first is that of the
            others compared.
        modes: of its air, if they are known.

    Raises:
        AirError: see `one_space`; linings as planned that leave no air.
    """
    structure = structure_of(case, structure)
    modes = air_modes(case, structure) if modes is None else modes
    linings = () if structure is None else structure.linings
    enclosure = the_enclosure(case)
    fill = 0.0 if enclosure is None else enclosure.fill
    loose = fill_resistivity(structure)
    resistivity = linings[0].flow_resistivity if linings else LINING_RESISTIVITY
    walls = tuple(wall for wall in modes.inside.walls if wall)
    done: dict[str, Treatment] = {}
    left_out = []
    for thickness in THICKNESSES:
        everywhere = (Lining(walls, thickness, resistivity, 0.0),)
        title = f"{1e3 * thickness:.0f} mm on all walls"
        fault = lining_fault(modes.inside, everywhere)
        if fault:
            left_out.append(f"{title}: {fault}")
        else:
            done[title] = treated(modes, everywhere)
    if linings:
        done[PLANNED] = treated(modes, linings)
    same = done.get(PLANNED) or next(iter(done.values()), None)
    if same is not None:
        share = same.layer_volume / modes.inside.volume
        done[MIDDLE] = treated(modes, fill=share, fill_resistivity=loose)
        done[WALLS] = treated(modes, fill=share, fill_resistivity=loose, at_walls=True)
    if fill > 0:
        done[FILL] = treated(modes, fill=fill, fill_resistivity=loose)
        if linings:
            done[BOTH] = treated(modes, linings, fill=fill, fill_resistivity=loose)
    found = [damped(modes, one) for one in done.values()]
    return LiningTable(
        modes.names,
        modes.frequency,
        tuple(done),
        np.array([one.layer_volume + one.fibre_volume for one in done.values()]),
        np.array([frequency for frequency, _ in found]).reshape(len(found), modes.count),
        np.array([loss for _, loss in found]).reshape(len(found), modes.count),
        tuple(left_out),
    )
